import { message } from '../../messages/message.js'
import type { Speaker } from '../../messages/speaker.js'
import type * as unworded from '../../questions/words/blocks.js'
import type { Block, Cell, Column, CsvValue, Figure, Table } from './document.js'

/** What a document decides about its blocks besides the language. */
export interface Wording {
  /** Whether the data are generated: figures then say so. */
  readonly generated: boolean
  /** Whether figures on request are drawn. */
  readonly full: boolean
}

/** Blocks of messages as blocks of running text in the language of a speaker. */
export function wordedBlocks(
  blocks: readonly unworded.Block[],
  by: Speaker,
  wording: Wording,
): readonly Block[] {
  return blocks.map((block) => wordedBlock(block, by, wording))
}

function wordedBlock(block: unworded.Block, by: Speaker, wording: Wording): Block {
  switch (block.kind) {
    case 'paragraph':
      return { ...block, content: by.phrase(block.content) }
    case 'heading':
      return { kind: 'heading', text: by.text(block.text) }
    case 'list':
      return { ...block, items: block.items.map(by.phrase) }
    case 'terms':
      return {
        kind: 'terms',
        entries: block.entries.map(({ term, meaning }) => ({
          term: by.text(term),
          meaning: by.phrase(meaning),
        })),
      }
    case 'key-figures':
      return {
        kind: 'key-figures',
        figures: block.figures.map(({ label, value, interval }) => ({
          label: by.phrase(label),
          value: by.phrase(value),
          interval: by.phrase(interval),
        })),
      }
    case 'table':
      return wordedTable(block, by)
    case 'figure':
      if (block.onRequest && !wording.full) {
        return { kind: 'paragraph', tone: 'note', content: by.phrase(message('document.figure-on-request')) }
      }
      return wordedFigure(block, by, wording)
  }
}

/** A table in the language of a speaker. */
function wordedTable(table: unworded.Table, by: Speaker): Table {
  return {
    ...table,
    caption: by.text(table.caption),
    columns: table.columns.map((column) => wordedColumn(column, by)),
    rows: table.rows.map((row) => row.map((cell) => wordedCell(cell, by))),
    notes: table.notes.map(by.phrase),
  }
}

function wordedFigure({ id, caption, draw, notes }: unworded.Figure, by: Speaker, wording: Wording): Figure {
  const options = { generated: wording.generated, language: by.language }
  return {
    kind: 'figure',
    id,
    caption: by.text(caption),
    page: draw({ ...options, size: 'page' }),
    column: draw({ ...options, size: 'column' }),
    notes: notes.map(by.phrase),
  }
}

function wordedColumn({ title, longTitle, align, csvTitles }: unworded.Column, by: Speaker): Column {
  return {
    title: by.text(title),
    ...(longTitle === undefined ? {} : { longTitle: by.text(longTitle) }),
    align,
    csvTitles: csvTitles.map(by.text),
  }
}

function wordedCell({ content, under, csv }: unworded.Cell, by: Speaker): Cell {
  return {
    content: by.phrase(content),
    ...(under === undefined ? {} : { under: by.phrase(under) }),
    csv: csv.map((value): CsvValue => ('number' in value ? value : { text: by.text(value.text) })),
  }
}
