import { upperFirst } from '../../charts/words.js'
import { type Estimate, isNumber } from '../../core/estimate.js'
import { type Message, message } from '../../messages/message.js'
import type { FormatName } from '../../messages/numberFormats.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import { compareReports, type TwoReports } from '../../questions/twoReports/answer.js'
import { changesChart } from '../../questions/twoReports/chart.js'
import {
  type Block,
  type Cell,
  estimateCell,
  estimateColumn,
  figure,
  foreignCell,
  numberCell,
  numberColumn,
  paragraph,
  quantityCell,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../../questions/words/blocks.js'
import { type Path, pathsOf, years } from '../../questions/words/place.js'
import type { ReportDocument, Section } from '../model/document.js'
import { wordedBlocks } from '../model/worded.js'
import type { StoredAudit } from '../readAuditResults.js'
import { type WritingOptions, type WrittenReport, writeReportFolder } from '../writeReport.js'
import {
  changeCautions,
  changeSummary,
  changeTitle,
  clinicsSentence,
  readingChangeSentence,
  recordsChangeSentence,
  riskChangeSentence,
  verdictWords,
} from './changeWords.js'

/** What a comparison of two reports needs to know besides the results. */
export interface ChangeOptions {
  readonly date: string
  readonly version: string
  /** Versions that wrote the earlier and the later results. */
  readonly versions: { readonly before: string; readonly after: string }
}

/** Two reports of one practice as a document: what changed in the results, and what in the records. */
export function changeDocument(two: TwoReports, options: ChangeOptions): ReportDocument {
  const by = speaker()
  const at = pathsOf(two)
  const worded = (blocks: readonly Block[]): Section['blocks'] =>
    wordedBlocks(blocks, by, { generated: two.generated, full: true })
  const section = (id: string, title: Message, blocks: readonly Block[]): Section => ({
    id,
    title: by.text(title),
    blocks: worded(blocks),
  })
  return {
    layout: 'compact',
    title: by.phrase(changeTitle(two)),
    kicker: by.text(message('changes.kicker')),
    summary: by.phrase(changeSummary(two)),
    generated: two.generated,
    date: options.date,
    sections: [
      {
        ...section('answer', message('changes.section-answer'), answerBlocks(two)),
        aside: {
          title: by.text(message('changes.read-with-care')),
          blocks: worded([{ kind: 'list', items: changeCautions }]),
        },
      },
      section('results', message('changes.section-results'), [
        ...risksFigure(two),
        risksTable(two, at),
        ratesTable(at),
        comparisonTable(two, at),
      ]),
      section('records', message('changes.section-records'), [
        countsTable(two, at),
        ...(two.problems.length === 0 ? [] : [problemsTable(two, at)]),
        ...fieldsTable(two, at),
      ]),
      section('provenance', message('changes.section-provenance'), [sourcesTable(two, options)]),
    ],
  }
}

function answerBlocks(two: TwoReports): readonly Block[] {
  const clinics = clinicsSentence(two)
  return [
    ...(clinics === undefined ? [] : [paragraph(clinics, 'lead')]),
    paragraph(riskChangeSentence(two), 'lead'),
    paragraph(recordsChangeSentence(two)),
    paragraph(readingChangeSentence(two)),
  ]
}

/** Both risks at each horizon; none where a report withholds its own. */
function risksFigure(two: TwoReports): readonly Block[] {
  if (changesChart(two) === undefined) return []
  return [figure('risk-changes', message('changes.chart-caption'), (options) => changesChart(two, options)!)]
}

const [before, after] = [message('changes.before'), message('changes.after')]

function risksTable({ risks }: TwoReports, at: Path<TwoReports>): Table {
  return table('risk-changes', message('changes.caption-risks'), {
    columns: [
      textColumn(message('changes.years')),
      estimateColumn(before, 'percent'),
      estimateColumn(after, 'percent'),
      numberColumn(message('changes.points')),
    ],
    rows: risks.map(({ index, indexBefore }, row) => [
      wordCell(years(at.risks[row]!.years)),
      estimateCell(at.before.incidence.horizons[indexBefore]!.risk, 'percent'),
      estimateCell(at.after.incidence.horizons[index]!.risk, 'percent'),
      quantityCell(at.risks[row]!.change, 'points'),
    ]),
  })
}

function ratesTable(at: Path<TwoReports>): Table {
  const row = (
    name: Message,
    key: 'proportion' | 'ratePer100Years' | 'medianFollowUpYears',
    format: FormatName,
  ): readonly Cell[] => [
    wordCell(name),
    estimateCell(at.before.incidence[key] as Path<Estimate>, format),
    estimateCell(at.after.incidence[key] as Path<Estimate>, format),
  ]
  return table('rate-changes', message('changes.caption-rates'), {
    columns: [
      textColumn(message('changes.quantity')),
      estimateColumn(before, 'rate'),
      estimateColumn(after, 'rate'),
    ],
    rows: [
      row(message('changes.share'), 'proportion', 'percent'),
      row(message('changes.rate'), 'ratePer100Years', 'rate'),
      row(message('changes.follow-up'), 'medianFollowUpYears', 'years'),
    ],
  })
}

function comparisonTable(two: TwoReports, at: Path<TwoReports>): Table {
  return table('lead-changes', message('changes.caption-comparison'), {
    columns: [
      textColumn(message('changes.report')),
      textColumn(message('changes.what')),
      estimateColumn(message('changes.quantity'), 'points', true),
      numberColumn(message('changes.restorations')),
      numberColumn(message('changes.events')),
    ],
    rows: [comparisonRow(before, two.before, at.before), comparisonRow(after, two.after, at.after)],
  })
}

const none = wordCell('–')
const noEstimate: Cell = { content: '–', csv: [{ text: '–' }, { text: '–' }, { text: '–' }] }

function comparisonRow(
  name: Message,
  { comparison }: TwoReports['before'],
  at: Path<TwoReports['before']>,
): readonly Cell[] {
  if (comparison === undefined) {
    return [wordCell(name), wordCell(message('changes.nothing')), noEstimate, none, none]
  }
  return [
    wordCell(name),
    wordCell(verdictWords(comparison.verdict)),
    comparison.difference === undefined ? noEstimate : estimateCell(at.comparison.difference, 'points'),
    numberCell(at.comparison.restorations),
    numberCell(at.comparison.events),
  ]
}

function countsTable({ counts }: TwoReports, at: Path<TwoReports>): Table {
  return table('count-changes', message('changes.caption-counts'), {
    columns: [
      textColumn(message('changes.quantity')),
      numberColumn(before),
      numberColumn(after),
      numberColumn(message('changes.change')),
    ],
    rows: counts.map(({ key }, index) => [
      wordCell(message(`changes.count.${key}`)),
      numberCell(at.counts[index]!.before),
      numberCell(at.counts[index]!.after),
      numberCell(at.counts[index]!.change, 'change'),
    ]),
  })
}

/** More problems than these are no table but a list of everything, which results.json is. */
const mostProblems = 6

function problemsTable({ problems }: TwoReports, at: Path<TwoReports>): Table {
  const most = [...problems.entries()]
    .sort(([, one], [, other]) => moved(other) - moved(one))
    .slice(0, mostProblems)
  return table('problem-changes', message('changes.caption-problems'), {
    columns: [textColumn(message('changes.problem')), numberColumn(before), numberColumn(after)],
    rows: most.map(([index, { problem }]) => [
      foreignCell(upperFirst(problem)),
      numberCell(at.problems[index]!.before),
      numberCell(at.problems[index]!.after),
    ]),
    notes: problems.length > mostProblems ? [message('changes.problems-left')] : [],
  })
}

/** By how many rows a problem grew or shrank: those that moved most are shown first. */
function moved({ before: then, after: now }: TwoReports['problems'][number]): number {
  return Math.abs(now - then)
}

/** More fields than these are no table but a list of everything, which results.json is. */
const mostFields = 6

/** Fields that both reports have; one that only one has did not move. */
function fieldsTable({ fields }: TwoReports, at: Path<TwoReports>): readonly Block[] {
  const inBoth = [...fields.entries()].filter(([, { change }]) => isNumber(change))
  const some = inBoth.slice(0, mostFields)
  const left = fields.length > some.length ? [message('changes.fields-left')] : []
  if (some.length === 0) return left.map((words) => paragraph(words, 'note'))
  const shown = table('field-changes', message('changes.caption-fields'), {
    columns: [
      textColumn(message('changes.field')),
      numberColumn(before),
      numberColumn(after),
      numberColumn(message('changes.points')),
    ],
    rows: some.map(([index, one]) => [
      wordCell(message('changes.field-of-table', { table: one.table, field: foreign(one.field) })),
      quantityCell(at.fields[index]!.before, 'percent'),
      quantityCell(at.fields[index]!.after, 'percent'),
      quantityCell(at.fields[index]!.change, 'points'),
    ]),
    notes: left,
  })
  return [shown]
}

function sourcesTable(two: TwoReports, { versions }: ChangeOptions): Table {
  return table('sources', message('changes.caption-sources'), {
    columns: [
      textColumn(message('changes.report')),
      textColumn(message('changes.records')),
      textColumn(message('changes.version')),
      textColumn(message('changes.checksum')),
    ],
    rows: (['before', 'after'] as const).map((side) => [
      wordCell(side === 'before' ? before : after),
      foreignCell(two[side].title),
      foreignCell(versions[side]),
      foreignCell(two[side].sha256),
    ]),
  })
}

/** Options of a written comparison of two reports. */
export interface WriteChangesOptions extends WritingOptions {
  readonly date: string
  readonly version: string
}

/**
 * Writes what changed between two reports of one practice, in every format of a report.
 *
 * @param before results of the earlier report with the version that wrote them
 * @param after the same of the later
 * @throws UsageError `other-definition` where the two do not define the same
 */
export async function writeChangeReport(
  before: StoredAudit,
  after: StoredAudit,
  options: WriteChangesOptions,
): Promise<{ readonly written: WrittenReport; readonly two: TwoReports }> {
  const two = compareReports(before.audit, after.audit)
  const { date, version } = options
  const document = changeDocument(two, {
    date,
    version,
    versions: { before: before.version, after: after.version },
  })
  const provenance = {
    source: { before: before.audit.summary.source, after: after.audit.summary.source },
    definition: after.audit.definition,
    settings: after.audit.settings,
  }
  const written = await writeReportFolder(
    { kind: 'two-reports', document, results: two, provenance, version },
    options,
  )
  return { written, two }
}

/** What changed in a few lines of plain words, for a terminal: those that the document begins with. */
export function changeInLines(two: TwoReports): readonly string[] {
  const lines = [
    clinicsSentence(two),
    riskChangeSentence(two),
    recordsChangeSentence(two),
    readingChangeSentence(two),
  ]
  return lines.filter((line) => line !== undefined).map(speaker().text)
}
