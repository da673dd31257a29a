import type { AuditResult } from '../analysis/audit.js'
import type { IncidenceResult } from '../analysis/incidence.js'
import type { RetentionResult } from '../analysis/retention.js'
import type { TighteningComparisonResult } from '../analysis/tighteningComparison.js'
import { renderSvg } from '../charts/render.js'
import { retentionChart } from '../charts/retentionChart.js'
import { type ChartSpecification, chartSchema } from '../charts/specification.js'
import type { Cohort } from '../cohort/cohort.js'
import type { RecordPlace } from '../core/errors.js'
import { type Estimate, isNumber, type TestResult } from '../core/estimate.js'
import {
  formatCount,
  formatInterval,
  formatPercent,
  formatPoints,
  formatQuantity,
  formatRate,
  formatRatio,
  formatYears,
} from '../core/format.js'
import type { RecordSet } from '../records/dataset.js'
import { auditDocument } from '../report/auditDocument.js'
import { plainText, type Section } from '../report/document.js'
import { sectionFragment } from '../report/fragment.js'
import { estimateSentence, groupWords, testSentence } from './estimateWords.js'
import { frameTable, isFrame } from './frameTable.js'
import type { MimeBundle } from './mimeOutput.js'
import { tableBundle, type ValueTable } from './valueTable.js'
import { version } from './version.js'

/** MIME type under which notebook front ends know an interactive chart. */
const chartMime = 'application/vnd.vegalite.v6+json'

/** A value of the toolkit in the forms that a cell can show; undefined for what the toolkit does not know. */
export async function bundleOf(value: object): Promise<MimeBundle | undefined> {
  if (isChart(value)) return chartBundle(value)
  if (isAudit(value)) return sectionBundle(value, 'answer')
  if (isFrame(value)) return tableBundle(frameTable(value))
  if (isRecords(value)) return tableBundle(recordsTable(value))
  if (isCohort(value)) return tableBundle(cohortTable(value))
  if (isRetention(value)) return tableBundle(retentionTable(value), await renderSvg(retentionChart(value)))
  if (isIncidence(value)) return tableBundle(incidenceTable(value))
  if (isComparison(value)) return tableBundle(comparisonTable(value))
  if (isEstimate(value)) return sentence(estimateSentence(value))
  if (isTest(value)) return sentence(testSentence(value))
  return undefined
}

/** Forms of a chart: interactive where the front end knows it, a picture everywhere, its description as text. */
export async function chartBundle(specification: ChartSpecification): Promise<MimeBundle> {
  return {
    [chartMime]: specification,
    'image/svg+xml': await renderSvg(specification),
    'text/plain': specification.description ?? 'chart',
  }
}

/** A section of the audit's report; undefined where it has none of that name. */
export async function sectionBundle(audit: AuditResult, id: string): Promise<MimeBundle | undefined> {
  const document = auditDocument(audit, { date: '', version })
  const section = document.sections.find((one) => one.id === id)
  if (section === undefined) return undefined
  return { 'text/html': await sectionFragment(document, section), 'text/plain': sectionText(section) }
}

/** Names of the sections of an audit. */
export function sectionNames(audit: AuditResult): readonly string[] {
  return auditDocument(audit, { date: '', version }).sections.map((one) => one.id)
}

/** The running text of a section, for terminals. */
function sectionText(section: Section): string {
  return section.blocks
    .map((block) => (block.kind === 'paragraph' ? plainText(block.content) : ''))
    .filter((text) => text !== '')
    .join('\n')
}

function sentence(text: string): MimeBundle {
  return { 'text/markdown': text, 'text/plain': text }
}

function recordsTable({ source, quality }: RecordSet): ValueTable {
  return {
    title: `${source.title}: rows read`,
    columns: ['Table', 'Rows read', 'Set aside'],
    rows: Object.entries(quality.rows).map(([name, { read, setAside }]) => [
      name,
      formatCount(read),
      formatCount(setAside),
    ]),
    notes: [
      ...quality.problems.map(
        (one) =>
          `${placeWords(one.place)}${one.problem} (${formatCount(one.count)} ${one.count === 1 ? 'time' : 'times'})`,
      ),
      ...source.cannotAnswer.map((what) => `This form of the records cannot answer: ${what}.`),
    ],
    generated: source.generated,
  }
}

function placeWords({ file, column }: RecordPlace): string {
  const words = [file, column].filter((word) => word !== undefined)
  return words.length === 0 ? '' : `${words.join(', ')}: `
}

function cohortTable({ summary, n }: Cohort): ValueTable {
  return {
    title: `${formatCount(n)} restorations of ${formatCount(summary.patients)} patients are followed`,
    columns: ['Left out', 'Restorations', 'Remaining'],
    rows: summary.attrition.steps.map((step) => [
      step.reason,
      formatCount(step.leftOut),
      formatCount(step.remaining),
    ]),
    generated: summary.source.generated,
  }
}

function retentionTable(result: RetentionResult): ValueTable {
  return {
    title: `Share ${result.title}, with ${intervalName(result.level)}`,
    columns: [
      'Group',
      'Restorations',
      'Events',
      ...result.overall.horizons.map(({ years }) => yearsWord(years)),
    ],
    rows: [result.overall, ...result.byGroup].map((group) => [
      groupWords(group.group),
      formatCount(group.restorations),
      formatCount(group.events),
      ...group.horizons.map((one) => withInterval(one.retention, formatPercent, one.thin)),
    ]),
    notes: [thinNote],
  }
}

function incidenceTable(result: IncidenceResult): ValueTable {
  return {
    title: `How often the event happened, with ${intervalName(result.level)}`,
    columns: [
      'Group',
      'Restorations',
      'Events',
      'Per 100 restoration-years',
      ...result.overall.horizons.map(({ years }) => `Within ${yearsWord(years)}`),
    ],
    rows: [result.overall, ...result.byGroup].map((group) => [
      groupWords(group.group),
      formatCount(group.restorations),
      formatCount(group.events),
      withInterval(group.ratePer100Years, formatRate, false),
      ...group.horizons.map((one) => withInterval(one.risk, formatPercent, one.thin)),
    ]),
    notes: [
      thinNote,
      `Median follow-up ${formatQuantity(result.overall.medianFollowUpYears.estimate, formatYears)} years.`,
    ],
  }
}

function comparisonTable(result: TighteningComparisonResult): ValueTable {
  return {
    title: `${groupWords(result.group)} against ${groupWords(result.against).toLowerCase()}, with ${intervalName(result.level)}`,
    columns: ['Quantity', 'Estimate'],
    rows: [
      ...result.horizons.map((one) => [
        `Difference in risk at ${yearsWord(one.years)}, percentage points`,
        withInterval(one.riskDifference, formatPoints, one.thin),
      ]),
      ...result.hazardRatios.map((one) => [
        `Ratio of hazards, allowing for ${one.allowsFor.replace(/^also /, '')}`,
        withInterval(one.hazardRatio, formatRatio, false),
      ]),
    ],
    notes: [thinNote, testSentence(result.curveTest)],
  }
}

const thinNote = '† rests on few restorations still followed at that time.'

function intervalName(level: number): string {
  return `${Number((100 * level).toFixed(1))}% intervals`
}

function yearsWord(years: number): string {
  return years === 1 ? '1 year' : `${years} years`
}

function withInterval(one: Estimate, format: (value: number) => string, thin: boolean): string {
  if (!isNumber(one.estimate)) return formatQuantity(one.estimate, format)
  return `${format(one.estimate)}${thin ? ' †' : ''} (${formatInterval(one.interval, format)})`
}

function has(value: object, ...names: readonly string[]): boolean {
  return names.every((name) => name in value)
}

/** Whether a value is a chart of the toolkit. */
export function isChart(value: object): value is ChartSpecification {
  return '$schema' in value && value.$schema === chartSchema
}

/** Whether a value is the result of `auditCohort`. */
export function isAudit(value: object): value is AuditResult {
  return has(value, 'incidence', 'retention', 'summary', 'settings')
}

function isRecords(value: object): value is RecordSet {
  return has(value, 'source', 'restorations', 'tightenings', 'visits', 'quality')
}

function isCohort(value: object): value is Cohort {
  return has(value, 'definition', 'summary', 'timeDays', 'status')
}

/** Whether a value is the result of `retention`. */
export function isRetention(value: object): value is RetentionResult {
  return has(value, 'overall', 'byGroup', 'tickYears', 'leastAtRisk')
}

/** Whether a value is the result of `incidence`. */
export function isIncidence(value: object): value is IncidenceResult {
  return (
    has(value, 'overall', 'byGroup', 'level') && has((value as IncidenceResult).overall, 'ratePer100Years')
  )
}

function isComparison(value: object): value is TighteningComparisonResult {
  return has(value, 'group', 'against', 'horizons', 'curveTest', 'hazardRatios')
}

function isEstimate(value: object): value is Estimate {
  return has(value, 'estimate', 'interval', 'level', 'method', 'n', 'events')
}

function isTest(value: object): value is TestResult {
  return has(value, 'statistic', 'pValue', 'method', 'n')
}
