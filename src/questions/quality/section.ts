import { completenessChart } from '../../charts/completenessChart.js'
import { type Message, message, opening, type Words } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { problemWords } from '../../messages/problemWords.js'
import {
  type Block,
  type Cell,
  type Column,
  figure,
  foreignCell,
  numberCell,
  numberColumn,
  paragraph,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { count, entriesWith, type Path } from '../words/place.js'
import type { QualityResult } from './answer.js'

type RecordProblem = QualityResult['problems'][number]

/** Every problem, every row set aside, every field. */
export function qualityBlocks(result: QualityResult, at: Path<QualityResult>): readonly Block[] {
  const { problems, completeness } = result
  const incomplete = completeness.some(({ unknown }) => unknown > 0)
  return [
    paragraph(foundSentence(at)),
    rowsTable(result, at),
    ...(problems.length === 0 ? [] : [problemsTable(result, at)]),
    ...(problems.some(({ severity }) => severity === 'set-aside') ? [setAsideTable(result, at)] : []),
    paragraph(completenessSentence(at)),
    ...(incomplete
      ? [
          figure('completeness', message('caption.figure.completeness'), (options) =>
            completenessChart(completeness, options),
          ),
        ]
      : []),
    ...(completeness.length === 0 ? [] : [completenessTable(result, at)]),
    ...unknownTable(result, at, 'completenessByClinic', 'unknown-by-clinic'),
    ...unknownTable(result, at, 'completenessByTighteningGroup', 'unknown-by-tightening'),
  ]
}

/** What the checks of the records found, in one sentence. */
function foundSentence(at: Path<QualityResult>): Message {
  const { read, setAside } = at.rows.restorations
  return message('cohort.quality', {
    kinds: count(at.problems.length),
    read: count(read),
    setAside: count(setAside),
  })
}

/** What can be said of completeness in one sentence. */
function completenessSentence({ completeness }: Path<QualityResult>): Message {
  return message('cohort.completeness', {
    fields: count(completeness.length),
    complete: count(entriesWith(completeness, 'unknown', 0).length),
  })
}

type Heading =
  | 'count'
  | 'expected'
  | 'expectedAndMend'
  | 'field'
  | 'file'
  | 'known'
  | 'mend'
  | 'place'
  | 'problem'
  | 'read'
  | 'rows'
  | 'setAside'
  | 'table'
  | 'unknown'
  | 'what'

function headed(name: Heading): Message {
  return message(`label.column.${name}`)
}

/** A column with a second line, which has a column of its own in CSV. */
function doubleColumn(name: Heading, csv: readonly [Heading, Heading]): Column {
  return { title: headed(name), align: 'start', csvTitles: csv.map(headed) }
}

/** Rows read and set aside of each table. */
export function rowsTable({ rows }: QualityResult, at: Path<QualityResult>): Table {
  return table('rows', message('caption.table.rows'), {
    columns: [textColumn(headed('table')), numberColumn(headed('read')), numberColumn(headed('setAside'))],
    rows: (Object.keys(rows) as (keyof typeof rows)[]).map((name) => [
      foreignCell(name),
      numberCell(at.rows[name].read),
      numberCell(at.rows[name].setAside),
    ]),
  })
}

const severityOrder = ['stop', 'set-aside', 'warn', 'note'] as const

/** Problems with their places in the results, the gravest first. */
function orderedProblems(
  { problems }: QualityResult,
  at: Path<QualityResult>,
): readonly { readonly problem: RecordProblem; readonly place: Path<RecordProblem> }[] {
  return problems
    .map((problem, index) => ({ problem, place: at.problems[index]! }))
    .sort(
      (one, two) => severityOrder.indexOf(one.problem.severity) - severityOrder.indexOf(two.problem.severity),
    )
}

/** What the checks found, where, and what to do about it, the gravest first. */
export function problemsTable(result: QualityResult, at: Path<QualityResult>): Table {
  return table('problems', message('caption.table.problems'), {
    columns: [
      doubleColumn('problem', ['problem', 'place']),
      textColumn(headed('what')),
      doubleColumn('expectedAndMend', ['expected', 'mend']),
      doubleColumn('rows', ['count', 'rows']),
    ],
    rows: orderedProblems(result, at).map(({ problem: one, place: where }) => {
      const words = problemWords(one)
      return [
        doubleCell(opening(words.found), placeOf(one)),
        wordCell(message(`severity.${one.severity}`)),
        doubleCell(opening(words.expected), opening(words.mend)),
        countedRowsCell(one, where),
      ]
    }),
    notes: [message('evidence.source-rows')],
  })
}

function placeOf({ place }: RecordProblem): Words {
  const named = [place.file ?? '', place.column ?? ''].filter((part) => part !== '').join(', ')
  return named === '' ? message('label.wholeFile') : foreign(named)
}

/** A cell of words with a second line, which has a column of its own in CSV. */
function doubleCell(content: Words, under: Words): Cell {
  return { content, under, csv: [{ text: content }, { text: under }] }
}

function countedRowsCell(problem: RecordProblem, place: Path<RecordProblem>): Cell {
  const counted = numberCell(place.count)
  const rows = rowsCell(problem, place, 12)
  return { content: counted.content, under: rows.content, csv: [...counted.csv, ...rows.csv] }
}

function setAsideTable(result: QualityResult, at: Path<QualityResult>): Table {
  const setAside = orderedProblems(result, at).filter(({ problem }) => problem.severity === 'set-aside')
  return table('set-aside', message('caption.table.set-aside'), {
    columns: (['problem', 'file', 'rows'] as const).map((name) => textColumn(headed(name))),
    rows: setAside.map(({ problem, place }) => [
      wordCell(opening(problemWords(problem).found)),
      problem.place.file === undefined
        ? wordCell(message('label.wholeFile'))
        : foreignCell(problem.place.file),
      rowsCell(problem, place, 1000),
    ]),
    notes: [message('evidence.source-rows')],
  })
}

/** Rows as ranges; where not all are shown, how many there are. */
function rowsCell(problem: RecordProblem, place: Path<RecordProblem>, most: number): Cell {
  if (problem.rows.length === 0) return wordCell(message('label.noRows'))
  const all = rowRanges(problem.rows, Number.POSITIVE_INFINITY).text
  const { text, shown } = rowRanges(problem.rows, most)
  const more = shown < problem.count ? [message('evidence.more-rows', { rows: count(place.count) })] : []
  return { content: [text, ...more], csv: [{ text: all }] }
}

function completenessTable({ completeness }: QualityResult, at: Path<QualityResult>): Table {
  return table('completeness', message('caption.table.completeness'), {
    columns: [textColumn(headed('field')), numberColumn(headed('known')), numberColumn(headed('unknown'))],
    rows: completeness.map((one, index) => {
      const place = at.completeness[index]!
      return [foreignCell(nameOf(one)), numberCell(place.known), numberCell(place.unknown)]
    }),
  })
}

function nameOf({ table: name, field }: QualityResult['completeness'][number]): string {
  return `${name}: ${field}`
}

/** More groups than these make a table that nobody reads on a page; the results have them all. */
const mostGroups = 8

/** Unknown values of every field that has some, by clinic or by reported tightening group. */
function unknownTable(
  result: QualityResult,
  at: Path<QualityResult>,
  key: 'completenessByClinic' | 'completenessByTighteningGroup',
  id: 'unknown-by-clinic' | 'unknown-by-tightening',
): readonly Table[] {
  const entries = result[key] ?? []
  const groups = [...new Set(entries.map(({ group }) => group))]
  if (groups.length < 2 || groups.length > mostGroups) return []
  const fields = result.completeness.filter(({ unknown, known }) => unknown > 0 && known > 0)
  if (fields.length === 0) return []
  const cellOf = (one: (typeof fields)[number], group: string): Cell => {
    const index = entries.findIndex(
      (entry) => entry.table === one.table && entry.field === one.field && entry.group === group,
    )
    return index < 0 ? wordCell('–') : numberCell(at[key][index]!.unknown)
  }
  return [
    table(id, message(`caption.table.${id}`), {
      columns: [textColumn(headed('field')), ...groups.map((group) => numberColumn(foreign(group)))],
      rows: fields.map((one) => [foreignCell(nameOf(one)), ...groups.map((group) => cellOf(one, group))]),
    }),
  ]
}

/** Row numbers as ranges ("3, 7–9, 12"), up to a number of rows; gives how many rows the text names. */
export function rowRanges(
  rows: readonly number[],
  most: number,
): { readonly text: string; readonly shown: number } {
  const sorted = [...new Set(rows)].sort((a, b) => a - b)
  const kept = sorted.slice(0, Math.min(most, sorted.length))
  const parts: string[] = []
  for (let start = 0; start < kept.length; ) {
    let end = start
    while (end + 1 < kept.length && kept[end + 1] === kept[end]! + 1) end++
    if (end - start >= 2) parts.push(`${kept[start]}–${kept[end]}`)
    else for (let index = start; index <= end; index++) parts.push(String(kept[index]))
    start = end + 1
  }
  return { text: parts.join(', '), shown: kept.length }
}
