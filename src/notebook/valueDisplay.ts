import type { AuditResult } from '../analysis/audit.js'
import type { AskedIncidence } from '../analysis/incidence.js'
import type { AskedRetention } from '../analysis/retention.js'
import type { TighteningComparisonResult } from '../analysis/tighteningComparison.js'
import type { WhatElseMatters } from '../analysis/whatElseMatters.js'
import { groupRateChart } from '../charts/groupRateChart.js'
import { renderSvg } from '../charts/render.js'
import { retentionChart } from '../charts/retentionChart.js'
import type { ChartSpecification } from '../charts/specification.js'
import { textAlternative } from '../charts/textAlternative.js'
import type { Cohort } from '../cohort/cohort.js'
import type { Estimate, TestResult } from '../core/estimate.js'
import type { PooledResult } from '../pooling/coordinator/groupResult.js'
import type { ComparisonResult } from '../questions/comparison/answer.js'
import type { RecordSet } from '../records/dataset.js'
import { auditDocument } from '../report/auditDocument.js'
import { documentOfKind } from '../report/auditKinds.js'
import { plainText, type ReportDocument, type Section } from '../report/document.js'
import { sectionFragment } from '../report/fragment.js'
import { factorsTable, sitesTable, weightedRisksTable } from './comparedTables.js'
import { estimateSentence, testSentence } from './estimateWords.js'
import { frameTable, isFrame } from './frameTable.js'
import type { MimeBundle } from './mimeOutput.js'
import { plainTables } from './plainTables.js'
import { pooledTables } from './pooledTables.js'
import {
  cohortTable,
  comparisonTable,
  incidenceTable,
  recordsTables,
  retentionTable,
} from './resultTables.js'
import { tableBundle, tablesBundle, type ValueTable } from './valueTable.js'
import { version } from './version.js'

/**
 * MIME type and schema under which notebook front ends know an interactive chart: JupyterLab 4 and VS Code carry version 5,
 * and what our specifications use is the same in both.
 */
const chartMime = 'application/vnd.vegalite.v5+json'
const frontEndSchema = 'https://vega.github.io/schema/vega-lite/v5.json'

/** A value of the toolkit in the forms that a cell can show; undefined for what the toolkit does not know. */
export async function bundleOf(value: object): Promise<MimeBundle | undefined> {
  if (isChart(value)) return chartBundle(value)
  if (isAudit(value)) return sectionBundle(value, 'answer')
  if (isFrame(value)) return tableBundle(frameTable(value))
  const parts = partsOf(value)
  if (parts !== undefined) {
    const [first, ...more] = parts.tables
    const svg = parts.chart === undefined ? '' : await renderSvg(parts.chart)
    return more.length > 0 ? tablesBundle(parts.tables) : tableBundle(first!, svg)
  }
  if (isEstimate(value)) return sentence(estimateSentence(value))
  if (isTest(value)) return sentence(testSentence(value))
  const tables = plainTables(value)
  return tables === undefined ? undefined : tablesBundle(tables)
}

/** What is shown of a result: its tables, and the chart above them. */
export interface ShownParts {
  readonly tables: readonly ValueTable[]
  readonly chart?: ChartSpecification
}

/** The tables and the chart of a result; undefined for what has none of its own. */
export function partsOf(value: object): ShownParts | undefined {
  if (isRecords(value)) return { tables: recordsTables(value) }
  if (isCohort(value)) return { tables: [cohortTable(value)] }
  if (isRetention(value)) {
    const generated = value.asked?.generated === true
    return { tables: [retentionTable(value)], chart: retentionChart(value, { generated }) }
  }
  if (isIncidence(value)) {
    const table = incidenceTable(value)
    if (value.asked?.by === undefined) return { tables: [table] }
    return { tables: [table], chart: groupRateChart(value, { generated: value.asked.generated }) }
  }
  if (isComparison(value)) return { tables: [comparisonTable(value)] }
  if (isWeighted(value)) return { tables: [weightedRisksTable(value)] }
  if (isWhatElse(value)) return { tables: [factorsTable(value), sitesTable(value)] }
  if (isPooled(value)) return { tables: pooledTables(value) }
  return undefined
}

/** Forms of a chart: interactive where the front end knows it, a picture everywhere, its description as text. */
async function chartBundle(specification: ChartSpecification | object): Promise<MimeBundle> {
  const described = { ...specification, description: textAlternative(specification) }
  return {
    [chartMime]: { ...described, $schema: frontEndSchema },
    'image/svg+xml': await renderSvg(described),
    'text/plain': described.description,
  }
}

/** A section of a document made of an audit; undefined where none has that name. */
export async function sectionBundle(audit: AuditResult, id: string): Promise<MimeBundle | undefined> {
  for (const document of documentsOf(audit)) {
    const section = document.sections.find((one) => one.id === id)
    if (section === undefined) continue
    const html = withoutDeadLinks(await sectionFragment(document, section))
    return { 'text/html': html, 'text/plain': sectionText(section) }
  }
  return undefined
}

/** Names of the sections of an audit: those of its report, then those that only its whole evidence or the draft of a manuscript has. */
export function sectionNames(audit: AuditResult): readonly string[] {
  return [...new Set(documentsOf(audit).flatMap(({ sections }) => sections.map((one) => one.id)))]
}

function documentsOf(audit: AuditResult): readonly ReportDocument[] {
  const options = { date: '', version }
  return [
    documentOfKind(audit, 'audit', options),
    auditDocument(audit, options),
    documentOfKind(audit, 'case-series', options),
  ]
}

/** Links to other sections lead nowhere in a cell: their words stay. */
function withoutDeadLinks(html: string): string {
  return html.replace(/<a href="#([^"]*)"[^>]*>(.*?)<\/a>/g, (link, target: string, words: string) =>
    html.includes(`id="${target}"`) ? link : words,
  )
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

function has(value: object, ...names: readonly string[]): boolean {
  return names.every((name) => name in value)
}

/** Whether a value is a Vega-Lite specification, of the toolkit or of the user's own. */
export function isChart(value: object): value is ChartSpecification {
  if ('$schema' in value) return /vega-lite/.test(String(value.$schema))
  const drawn = ['mark', 'layer', 'hconcat', 'vconcat', 'concat', 'repeat', 'spec'].some(
    (name) => name in value,
  )
  return drawn && Object.getPrototypeOf(value) === Object.prototype && !Object.isFrozen(value)
}

/** Whether a value is the result of `auditCohort`. */
export function isAudit(value: object): value is AuditResult {
  return has(value, 'incidence', 'retention', 'summary', 'settings')
}

function isRecords(value: object): value is RecordSet {
  return has(value, 'source', 'restorations', 'tightenings', 'visits', 'quality')
}

/** Whether a value is a cohort. */
export function isCohort(value: object): value is Cohort {
  return has(value, 'definition', 'summary', 'timeDays', 'status')
}

/** Whether a value is the result of `retention`. */
export function isRetention(value: object): value is AskedRetention {
  return has(value, 'overall', 'byGroup', 'tickYears', 'leastAtRisk')
}

/** Whether a value is the result of `incidence`. */
export function isIncidence(value: object): value is AskedIncidence {
  return (
    has(value, 'overall', 'byGroup', 'level') && has((value as AskedIncidence).overall, 'ratePer100Years')
  )
}

function isComparison(value: object): value is TighteningComparisonResult {
  return has(value, 'group', 'against', 'horizons', 'curveTest', 'hazardRatios')
}

function isWeighted(value: object): value is ComparisonResult {
  return has(value, 'kind', 'groups', 'verdict', 'arms', 'challenges')
}

function isWhatElse(value: object): value is WhatElseMatters {
  return has(value, 'factors', 'leftOut', 'sites', 'coefficients')
}

function isPooled(value: object): value is PooledResult {
  return has(value, 'protocol', 'protocolHash', 'route', 'sites', 'endpoints')
}

function isEstimate(value: object): value is Estimate {
  return has(value, 'estimate', 'interval', 'level', 'method', 'n', 'events')
}

function isTest(value: object): value is TestResult {
  return has(value, 'statistic', 'pValue', 'method', 'n')
}
