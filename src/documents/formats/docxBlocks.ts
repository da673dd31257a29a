import {
  AlignmentType,
  BorderStyle,
  type FileChild,
  HeadingLevel,
  ImageRun,
  Paragraph,
  type ParagraphChild,
  SimpleField,
  TableCell,
  TableLayoutType,
  TableRow,
  TextRun,
  WidthType,
  Table as WordTable,
} from 'docx'
import { pictureSizePx } from '../../charts/specification.js'
import { textWidth, widestText } from '../../charts/textWidth.js'
import { neutralInk } from '../../charts/theme.js'
import {
  type Block,
  type Cell,
  type Column,
  type Figure,
  type KeyFigures,
  type Phrase,
  plainText,
  type Table,
  type TermList,
} from '../model/document.js'
import type { FrameWords } from '../model/frameWords.js'
import { docxPage, docxStyleNames, tableTextHalfPoints } from './docxStyle.js'
import { bookmarked, phraseRuns } from './docxText.js'

/** What blocks need besides themselves. */
export interface WordContext {
  /** PNG of each figure, by its identifier. */
  readonly numbers: ReadonlyMap<string, string>
  readonly words: FrameWords
}

/** Tables of up to this many rows stay on one page. */
const shortRows = 12
const pixelsPerMm = 96 / 25.4
const pixelsPerHalfPoint = 96 / 144

/** Paragraphs and tables of one block; `style` is that of running text where it is not the usual one. */
export function blockChildren(block: Block, context: WordContext, style?: string): FileChild[] {
  switch (block.kind) {
    case 'paragraph':
      return [paragraph(block.content, toneStyle[block.tone] ?? style)]
    case 'heading':
      return [new Paragraph({ heading: HeadingLevel.HEADING_2, children: [new TextRun(block.text)] })]
    case 'list':
      return block.items.map((item) => listItem(item, block.numbered === true, style))
    case 'terms':
      return termChildren(block)
    case 'key-figures':
      return keyFigureChildren(block)
    case 'table':
      return tableChildren(block, context)
    case 'figure':
      return figureChildren(block, context)
  }
}

const toneStyle: Readonly<Record<string, string>> = { lead: docxStyleNames.lead, note: docxStyleNames.note }

/** A paragraph of running text. */
export function paragraph(content: Phrase, style?: string): Paragraph {
  return new Paragraph({ children: phraseRuns(content), ...(style === undefined ? {} : { style }) })
}

/** Names of the numberings of lists, as docx.ts defines them. */
export const listNumbering = Object.freeze({ bullets: 'bullets', numbers: 'numbers' })

function listItem(item: Phrase, numbered: boolean, style?: string): Paragraph {
  return new Paragraph({
    children: phraseRuns(item),
    style: style ?? 'ListParagraph',
    numbering: { reference: numbered ? listNumbering.numbers : listNumbering.bullets, level: 0 },
  })
}

function termChildren({ entries }: TermList): Paragraph[] {
  return entries.map(
    ({ term, meaning }) =>
      new Paragraph({
        children: [new TextRun({ text: `${term}. `, bold: true }), ...phraseRuns(meaning)],
      }),
  )
}

function keyFigureChildren({ figures }: KeyFigures): Paragraph[] {
  return figures.map(
    ({ value, label, interval }) =>
      new Paragraph({
        children: [
          ...phraseRuns(value, true),
          new TextRun(' '),
          ...phraseRuns(label),
          new TextRun(' ('),
          ...phraseRuns(interval),
          new TextRun(')'),
        ],
        style: 'ListParagraph',
        numbering: { reference: listNumbering.bullets, level: 0 },
      }),
  )
}

/** "Table 3." as a field that Word counts on, bold as the style says, and the caption, which is not. */
function caption(name: string, id: string, text: string, { numbers }: WordContext): ParagraphChild[] {
  const [, prefix = '', digits = ''] = /^(\D*)(\d*)$/.exec(numbers.get(id) ?? '') ?? []
  const number = new SimpleField(`SEQ ${name} \\* ARABIC`, digits)
  return [
    bookmarked(id, [new TextRun(`${name} ${prefix}`), number as unknown as ParagraphChild]),
    new TextRun('. '),
    new TextRun({ text, bold: false }),
  ]
}

function tableChildren(table: Table, context: WordContext): FileChild[] {
  const widths = columnWidths(
    table,
    docxPage.textWidth,
    docxPage.textWidthMm * pixelsPerMm,
    tableTextHalfPoints * pixelsPerHalfPoint,
  )
  const head = new TableRow({
    tableHeader: true,
    cantSplit: true,
    children: table.columns.map((column, index) =>
      headCell(column, widths[index]!, table.columns[index - 1]?.align === 'end'),
    ),
  })
  const rows = table.rows.map(
    (cells, row) =>
      new TableRow({
        cantSplit: true,
        children: cells.map((cell, index) =>
          bodyCell(cell, table.columns[index]!, {
            width: widths[index]!,
            afterNumbers: table.columns[index - 1]?.align === 'end',
            last: row === table.rows.length - 1,
            kept: table.rows.length <= shortRows && row < table.rows.length - 1,
          }),
        ),
      }),
  )
  return [
    new Paragraph({
      style: 'Caption',
      keepNext: true,
      children: caption(context.words.table, table.id, table.caption, context),
    }),
    new WordTable({
      rows: [head, ...rows],
      columnWidths: [...widths],
      width: { size: docxPage.textWidth, type: WidthType.DXA },
      layout: TableLayoutType.FIXED,
      borders: noBorders,
    }),
    ...table.notes.map((note) => paragraph(note, docxStyleNames.note)),
    new Paragraph({ style: docxStyleNames.note, children: [] }),
  ]
}

const none = { style: BorderStyle.NONE, size: 0, color: 'auto' } as const
const noBorders = {
  top: none,
  bottom: none,
  left: none,
  right: none,
  insideHorizontal: none,
  insideVertical: none,
}
const rule = (eighths: number, colour: string) => ({
  style: BorderStyle.SINGLE,
  size: eighths,
  color: colour.slice(1),
})
/** White space in a cell; words that follow a column of numbers stand further away from it. */
function cellMargins(align: Column['align'], afterNumbers: boolean) {
  return { left: align === 'start' && afterNumbers ? 220 : 60, right: 60, top: 0, bottom: 0 }
}

function headCell({ title, align }: Column, width: number, afterNumbers: boolean): TableCell {
  return new TableCell({
    width: { size: width, type: WidthType.DXA },
    margins: cellMargins(align, afterNumbers),
    verticalAlign: 'bottom',
    borders: { top: rule(12, neutralInk.text.light), bottom: rule(6, neutralInk.text.light) },
    children: [
      new Paragraph({
        style: docxStyleNames.headCell,
        alignment: alignmentOf(align),
        children: [new TextRun(title)],
      }),
    ],
  })
}

interface CellPlace {
  readonly width: number
  readonly afterNumbers: boolean
  /** Whether it stands in the last row. */
  readonly last: boolean
  /** Whether it has to stay on the page of the row after it. */
  readonly kept: boolean
}

function bodyCell({ content, under }: Cell, { align }: Column, place: CellPlace): TableCell {
  const line = (phrase: Phrase): Paragraph =>
    new Paragraph({
      style: docxStyleNames.cell,
      alignment: alignmentOf(align),
      keepNext: place.kept,
      children: phraseRuns(phrase),
    })
  return new TableCell({
    width: { size: place.width, type: WidthType.DXA },
    margins: cellMargins(align, place.afterNumbers),
    borders: { bottom: place.last ? rule(12, neutralInk.text.light) : rule(2, neutralInk.grid.light) },
    children: [line(content), ...(under === undefined ? [] : [line(under)])],
  })
}

function alignmentOf(align: Column['align']): (typeof AlignmentType)['END' | 'START'] {
  return align === 'end' ? AlignmentType.END : AlignmentType.START
}

/**
 * The library hashes and compresses whatever it is given as a picture, and has to wait for it. It is given the name of
 * the figure, whose place the PNG takes when the file is closed.
 */
function figureChildren(figure: Figure, context: WordContext): FileChild[] {
  return [
    new Paragraph({
      style: docxStyleNames.figure,
      children: [
        new ImageRun({
          type: 'png',
          data: new TextEncoder().encode(figure.id),
          transformation: fittedSize(figure.sizePx ?? pictureSizePx(figure.page)),
          altText: {
            name: figure.id,
            title: `${context.words.figure} ${context.numbers.get(figure.id) ?? ''}`,
            description: figure.page.description,
          },
        }),
      ],
    }),
    new Paragraph({
      style: 'Caption',
      children: caption(context.words.figure, figure.id, figure.caption, context),
    }),
    ...figure.notes.map((note) => paragraph(note, docxStyleNames.note)),
  ]
}

/** As wide as the text, or narrower where it would not fit on a page with its caption; in pixels at 96 to the inch. */
function fittedSize({ width, height }: { readonly width: number; readonly height: number }): {
  width: number
  height: number
} {
  const scale = Math.min(
    (docxPage.textWidthMm * pixelsPerMm) / width,
    (docxPage.figureHeightMm * pixelsPerMm) / height,
  )
  return { width: Math.round(width * scale), height: Math.round(height * scale) }
}

/** A word longer than this many pixels is broken rather than given a column of its own width. */
const longestWordPx = 150
/** Text wider than this is wrapped before it takes room from other columns. */
const widestLinePx = 330
/** White space at both sides of a cell. */
const paddingPx = 18

/**
 * Widths of the columns of a table that together fill a given width: every column at least as wide as its longest
 * word, a column of numbers as its longest line, so that no interval is broken; the rest by what the texts want.
 *
 * @param table the table
 * @param total width to fill, in whole units of the format (twentieths of a point, or whatever it counts in)
 * @param totalPx the same width in pixels of the text, which is taken to be of size `sizePx`
 * @param sizePx size of the text of the table
 */
export function columnWidths(
  table: Table,
  total: number,
  totalPx: number,
  sizePx: number,
): readonly number[] {
  const texts = table.columns.map(({ title }, index) => ({ title, lines: linesOf(table, index) }))
  const least = texts.map(({ title, lines }, index) => {
    const whole = table.columns[index]!.align === 'end' ? lines : lines.flatMap(wordsOf)
    const words = [...wordsOf(title), ...whole]
    return paddingPx + Math.min(longestWordPx, widestText(words, sizePx, 'bold'))
  })
  const wished = texts.map(({ title, lines }, index) =>
    Math.max(
      least[index]!,
      paddingPx +
        Math.min(widestLinePx, Math.max(...[title, ...lines].map((text) => textWidth(text, sizePx)))),
    ),
  )
  return wholeShares(fitted(least, wished, totalPx), total)
}

/** Every line of the cells of a column. */
function linesOf(table: Table, index: number): readonly string[] {
  return table.rows.flatMap((row) => {
    const { content, under } = row[index]!
    return under === undefined ? [plainText(content)] : [plainText(content), plainText(under)]
  })
}

function wordsOf(text: string): readonly string[] {
  return text.split(/\s+/)
}

/** Widths between the least and the wished ones where these do not fit, and wider in proportion where they leave room. */
function fitted(least: readonly number[], wished: readonly number[], total: number): readonly number[] {
  const sum = (widths: readonly number[]): number => widths.reduce((all, width) => all + width, 0)
  const wanted = sum(wished)
  if (wanted <= total) return wished.map((width) => (width * total) / wanted)
  const needed = sum(least)
  if (needed >= total) return least.map((width) => (width * total) / needed)
  const share = (total - needed) / (wanted - needed)
  return least.map((width, index) => width + share * (wished[index]! - width))
}

/** Whole numbers in the proportions given that add up to the total exactly. */
function wholeShares(widths: readonly number[], total: number): readonly number[] {
  const sum = widths.reduce((all, width) => all + width, 0)
  let before = 0
  let exact = 0
  return widths.map((width) => {
    exact += (width / sum) * total
    const whole = Math.round(exact) - before
    before += whole
    return whole
  })
}
