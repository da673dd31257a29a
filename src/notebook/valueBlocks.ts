import { svgSizePx } from '../charts/svg.js'
import { textAlternative } from '../charts/textAlternative.js'
import {
  type Block,
  type CsvValue,
  type Figure,
  type Phrase,
  paragraph,
  type Table,
} from '../documents/model/document.js'
import { wordedBlocks } from '../documents/model/worded.js'
import { message, speaker } from '../messages/index.js'
import { foreign } from '../messages/phrase.js'
import { inWords } from '../messages/speaker.js'
import { whatWasAsked } from '../questions/answered.js'
import { alone, isOwn, ownBlocksOf } from '../questions/registry.js'
import { askedBlocks, askedTitle } from './askedComparison.js'
import { auditSection } from './auditSections.js'
import { drawnSvg } from './drawing.js'
import { estimateSentence, testSentence } from './estimateWords.js'
import { frameTable, isFrame } from './frameTable.js'
import { type MarkdownBlock, markdownBlocks } from './markdownBlocks.js'
import { narrowOf } from './narrowCharts.js'
import { plainTables } from './plainTables.js'
import { partsOf } from './valueDisplay.js'
import {
  isAskedComparison,
  isAudit,
  isChart,
  isCohort,
  isEstimate,
  isIncidence,
  isMethodName,
  isRecords,
  isRetention,
  isTest,
} from './valueKinds.js'
import { isNumberColumn, shown, type ValueCell, type ValueTable } from './valueTable.js'

/** What is said of a value in a document; undefined for what the toolkit does not know. */
export async function blocksOf(value: object | string): Promise<readonly MarkdownBlock[] | undefined> {
  if (typeof value === 'string') return markdownBlocks(value)
  if (isChart(value)) return [await figureBlock(value, narrowOf(value))]
  if (isAudit(value)) return auditSection(value, 'answer')!.section.blocks
  if (isFrame(value)) return [tableBlock(firstColumns(frameTable(value)))]
  if (isOwn(value)) {
    return wordedBlocks(ownBlocksOf(value), speaker(), { generated: value.generated, full: true })
  }
  const answer = alone(value)
  if (answer !== undefined) {
    const say = speaker()
    const { title, blocks, generated } = answer
    return [
      { kind: 'heading', text: say.text(title) },
      ...wordedBlocks(blocks, say, { generated, full: true }),
    ]
  }
  if (isAskedComparison(value)) return [{ kind: 'heading', text: askedTitle(value) }, ...askedBlocks(value)]
  const parts = await partsOf(value)
  if (parts !== undefined) {
    const { chart, narrow, tables } = parts
    return [
      ...(chart === undefined ? [] : [await figureBlock(chart, narrow)]),
      ...tables.flatMap(tableBlocks),
    ]
  }
  if (isEstimate(value)) return markdownBlocks(estimateSentence(value))
  if (isTest(value)) return markdownBlocks(testSentence(value))
  if (Object.isFrozen(value) && isMethodName(value)) return markdownBlocks(inWords(value))
  return plainTables(value)?.flatMap(tableBlocks)
}

/** Whether a value says that it was made of generated records. */
export function isGenerated(value: object | string): boolean {
  if (typeof value === 'string') return false
  if (isRecords(value)) return value.source.generated
  if (isAudit(value) || isCohort(value)) return value.summary.source.generated
  if (isOwn(value)) return value.generated
  if (isIncidence(value) || isRetention(value) || isAskedComparison(value))
    return value.asked?.generated === true
  return whatWasAsked(value)?.generated === true
}

/** A chart of the toolkit or of the user's own: the size of the latter is known once it is drawn. */
async function figureBlock(chart: object, narrow: object | undefined): Promise<Figure> {
  const description = textAlternative(chart)
  const page = { ...chart, description } as Figure['page']
  const column = { ...(narrow ?? chart), description } as Figure['column']
  const { title, usermeta } = chart as {
    readonly title?: unknown
    readonly usermeta?: { readonly heading?: unknown }
  }
  const caption = [title, usermeta?.heading].find((one) => typeof one === 'string') ?? description
  return {
    kind: 'figure',
    id: 'figure-figure',
    caption,
    page,
    column,
    notes: [],
    sizePx: svgSizePx(await drawnSvg(page)),
  }
}

/** A table with its notes; of one without columns the notes alone. */
function tableBlocks(table: ValueTable): readonly Block[] {
  if (table.columns.length > 0) return [tableBlock(table)]
  const title: Phrase = [table.title]
  return [
    ...(table.title === '' ? [] : [paragraph(title)]),
    ...(table.notes ?? []).map((note) => paragraph([note], 'note')),
  ]
}

/** Columns of a frame that a page bears. */
const mostColumns = 8

/** The first columns of a frame, and how many there are; a cell scrolls, a page does not. */
function firstColumns(table: ValueTable): ValueTable {
  const { columns, rows } = table
  if (columns.length <= mostColumns) return table
  const note = message('asked.columns', { shown: mostColumns - 1, columns: columns.length - 1 })
  return {
    ...table,
    columns: columns.slice(0, mostColumns),
    rows: rows.map((row) => row.slice(0, mostColumns)),
    notes: [speaker().text(note)],
  }
}

function tableBlock(table: ValueTable): Table {
  const { title, columns, rows, notes = [] } = table
  const say = speaker()
  const bare = columns.every((name) => name === '')
  const unnamed = bare ? ([message('asked.what'), message('asked.value')] as const) : [message('asked.row')]
  const names = columns.map((name, at) => (name === '' && at in unnamed ? say.text(unnamed[at]!) : name))
  const aligned = columns.map((_, column) => isNumberColumn(rows, column))
  return {
    kind: 'table',
    id: 'table-table',
    caption: title === '' ? say.text(message('asked.values')) : title,
    columns: names.map((name, column) => ({
      title: name,
      align: aligned[column] ? 'end' : 'start',
      csvTitles: [name],
    })),
    rows: rows.map((row) => row.map((value, column) => cellOf(value, aligned[column]!))),
    notes: notes.map((note) => [note]),
  }
}

/** An estimate stands above its interval; what is no number may have come with the data. */
function cellOf(value: ValueCell, isNumber: boolean): Table['rows'][number][number] {
  const text = shown(value)
  const csv: readonly CsvValue[] = [/^-?\d+(?:\.\d+)?$/.test(text) ? { number: text } : { text }]
  if (!isNumber) return { content: [foreign(text)], csv }
  const { text: estimate, interval } = typeof value === 'object' ? value : { text, interval: undefined }
  return {
    content: [estimate],
    ...(interval === undefined ? {} : { under: [interval] }),
    csv,
  }
}
