import { completenessChart } from '../../charts/completenessChart.js'
import { printable } from '../../charts/words.js'
import { opening } from '../../messages/message.js'
import { problemWords } from '../../messages/problemWords.js'
import type { CohortSummary } from '../../questions/audit.js'
import {
  doubleCell,
  doubleColumn,
  foreignCell,
  numberCell,
  numberColumn,
  phraseCell,
  textColumn,
  wordCell,
  wordsCell,
} from '../model/cells.js'
import type { Citations } from '../model/citation.js'
import { type Block, type Cell, paragraph, type Section, type Table } from '../model/document.js'
import { rowRanges } from '../model/rowRanges.js'
import { completenessSentence, labelsOf, qualitySentence, severityWords } from '../wording/index.js'
import { figure, type SectionContext, table } from './context.js'

type RecordProblem = CohortSummary['quality']['problems'][number]

/** Data quality: every problem, every row set aside, every field. */
export function qualitySection(context: SectionContext): Section {
  const { audit, cite } = context
  const { problems, completeness } = audit.summary.quality
  const blocks: Block[] = [paragraph(qualitySentence(audit, cite)), rowsTable(context)]
  if (problems.length > 0) blocks.push(problemsTable(context))
  if (problems.some((problem) => problem.severity === 'set-aside')) blocks.push(setAsideTable(context))
  blocks.push(paragraph(completenessSentence(audit, cite)))
  if (completeness.some((field) => field.unknown > 0)) {
    blocks.push(figure('completeness', context, (options) => completenessChart(completeness, options)))
  }
  if (completeness.length > 0) blocks.push(completenessTable(context))
  blocks.push(...unknownByGroup(context))
  return { id: 'quality', title: labelsOf(cite.by).sections.quality, blocks }
}

function rowsTable({ audit, cite }: SectionContext): Table {
  const { columns } = labelsOf(cite.by)
  return table(
    'rows',
    { cite },
    {
      columns: [textColumn(columns.table), numberColumn(columns.read), numberColumn(columns.setAside)],
      rows: Object.keys(audit.summary.quality.rows).map((name) => {
        const at = `summary.quality.rows.${name}`
        return [
          foreignCell(name),
          numberCell(cite, `${at}.read`, 'count'),
          numberCell(cite, `${at}.setAside`, 'count'),
        ]
      }),
    },
  )
}

const severityOrder = ['stop', 'set-aside', 'warn', 'note'] as const

/** Problems with their places in the results, the gravest first. */
function orderedProblems(context: SectionContext): { problem: RecordProblem; index: number }[] {
  return context.audit.summary.quality.problems
    .map((problem, index) => ({ problem, index }))
    .sort((a, b) => severityOrder.indexOf(a.problem.severity) - severityOrder.indexOf(b.problem.severity))
}

function placeOf({ place }: RecordProblem, { by }: Citations): string {
  const file = place.file ?? ''
  return [file, place.column ?? ''].filter((part) => part !== '').join(', ') || labelsOf(by).wholeFile
}

function problemsTable(context: SectionContext): Table {
  const { cite } = context
  const { columns } = labelsOf(cite.by)
  return table(
    'problems',
    { cite },
    {
      columns: [
        doubleColumn(columns.problem, [columns.problem, columns.place]),
        textColumn(columns.what),
        doubleColumn(columns.expectedAndMend, [columns.expected, columns.mend]),
        doubleColumn(columns.rows, [columns.count, columns.rows]),
      ],
      rows: orderedProblems(context).map(({ problem, index }) => {
        const { found, expected, mend } = problemWords(problem)
        return [
          doubleCell(cite.by.phrase(opening(found)), placeOf(problem, cite)),
          wordCell(cite.by.text(severityWords(problem.severity))),
          doubleCell(cite.by.phrase(opening(expected)), cite.by.phrase(opening(mend))),
          countedRowsCell(context, problem, index),
        ]
      }),
      notes: [cite.say('evidence.source-rows')],
    },
  )
}

function countedRowsCell(context: SectionContext, problem: RecordProblem, index: number): Cell {
  const count = numberCell(context.cite, `summary.quality.problems.${index}.count`, 'count')
  const rows = rowsCell(context, problem, index, 12)
  return { content: count.content, under: rows.content, csv: [...count.csv, ...rows.csv] }
}

function setAsideTable(context: SectionContext): Table {
  const { cite } = context
  const { columns, wholeFile } = labelsOf(cite.by)
  const setAside = orderedProblems(context).filter(({ problem }) => problem.severity === 'set-aside')
  return table(
    'set-aside',
    { cite },
    {
      columns: [textColumn(columns.problem), textColumn(columns.file), textColumn(columns.rows)],
      rows: setAside.map(({ problem, index }) => [
        wordsCell(cite.by.phrase(opening(problemWords(problem).found))),
        foreignCell(problem.place.file ?? wholeFile),
        rowsCell(context, problem, index, 1000),
      ]),
      notes: [cite.say('evidence.source-rows')],
    },
  )
}

/** Rows as ranges; where not all are shown, how many there are. */
function rowsCell({ cite }: SectionContext, problem: RecordProblem, index: number, most: number): Cell {
  if (problem.rows.length === 0) return wordCell(labelsOf(cite.by).noRows)
  const all = rowRanges(problem.rows, Number.POSITIVE_INFINITY).text
  const { text, shown } = rowRanges(problem.rows, most)
  const count = cite.number(`summary.quality.problems.${index}.count`, 'count')
  const more = shown < problem.count ? cite.say('evidence.more-rows', { rows: count }) : []
  return phraseCell([text, ...more], all)
}

function completenessTable({ audit, cite }: SectionContext): Table {
  const { columns } = labelsOf(cite.by)
  return table(
    'completeness',
    { cite },
    {
      columns: [textColumn(columns.field), numberColumn(columns.known), numberColumn(columns.unknown)],
      rows: audit.summary.quality.completeness.map(({ table: name, field }, index) => {
        const at = `summary.quality.completeness.${index}`
        return [
          foreignCell(`${name}: ${field}`),
          numberCell(cite, `${at}.known`, 'count'),
          numberCell(cite, `${at}.unknown`, 'count'),
        ]
      }),
    },
  )
}

/** More groups than these make a table that nobody reads on a page; results.json has them all. */
const mostGroups = 8

/** Unknown values of every field that has some, by clinic and by reported tightening group. */
function unknownByGroup(context: SectionContext): readonly Table[] {
  return [
    unknownTable(context, 'completenessByClinic', 'unknown-by-clinic'),
    unknownTable(context, 'completenessByTighteningGroup', 'unknown-by-tightening'),
  ].filter((one) => one !== undefined)
}

function unknownTable(
  { audit, cite }: SectionContext,
  key: 'completenessByClinic' | 'completenessByTighteningGroup',
  id: 'unknown-by-clinic' | 'unknown-by-tightening',
): Table | undefined {
  const entries = audit.summary.quality[key] ?? []
  const groups = [...new Set(entries.map((one) => one.group))]
  if (groups.length < 2 || groups.length > mostGroups) return undefined
  const fields = audit.summary.quality.completeness.filter((one) => one.unknown > 0 && one.known > 0)
  const rows = fields.map(({ table: name, field }) => [
    foreignCell(`${name}: ${field}`),
    ...groups.map((group) => {
      const at = entries.findIndex((one) => one.table === name && one.field === field && one.group === group)
      return at < 0 ? wordCell('–') : numberCell(cite, `summary.quality.${key}.${at}.unknown`, 'count')
    }),
  ])
  if (rows.length === 0) return undefined
  return table(
    id,
    { cite },
    {
      columns: [
        textColumn(labelsOf(cite.by).columns.field),
        ...groups.map((group) => numberColumn(printable(group))),
      ],
      rows,
    },
  )
}
