import type { ChartSpecification } from '../charts/specification.js'
import { textAlternative } from '../charts/textAlternative.js'
<<<<<<< HEAD
import { drawnSvg } from './drawing.js'
=======
import type { Cohort } from '../cohort/cohort.js'
import type { Estimate, TestResult } from '../core/estimate.js'
import { message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import type { PooledResult } from '../pooling/coordinator/groupResult.js'
import type { Block as UnwordedBlock } from '../questions/blocks.js'
import type { ComparisonResult } from '../questions/comparison/answer.js'
import { type OwnResult, ownBlocksOf } from '../questions/registry.js'
import type { RecordSet } from '../records/dataset.js'
import { auditDocument } from '../report/auditDocument.js'
import { documentOfKind } from '../report/auditKinds.js'
import { plainText, type ReportDocument, type Section } from '../report/document.js'
import { sectionFragment } from '../report/fragment.js'
import { wordedBlocks } from '../report/worded.js'
import { factorsTable, sitesTable, weightedRisksTable } from './comparedTables.js'
>>>>>>> 659f3bd (One computation of what it would take, in the audit, needed and propose; watch from five findings on, allowing for the case mix)
import { estimateSentence, testSentence } from './estimateWords.js'
import { frameTable, isFrame } from './frameTable.js'
import type { MimeBundle } from './mimeOutput.js'
import { narrowMime, narrowOf, wantsNarrow } from './narrowCharts.js'
import { plainTables } from './plainTables.js'
import {
  cohortTable,
  comparisonTable,
  incidenceTable,
  recordsTables,
  retentionTable,
} from './resultTables.js'
import {
  isAudit,
  isChart,
  isCohort,
  isComparison,
  isEstimate,
  isIncidence,
  isPooled,
  isRecords,
  isRetention,
  isTest,
  isWeighted,
  isWhatElse,
} from './valueKinds.js'
import { tableBundle, tablesBundle, type ValueTable } from './valueTable.js'

/**
 * MIME type and schema under which notebook front ends know an interactive chart: JupyterLab 4 and VS Code carry version 5,
 * and what our specifications use is the same in both.
 */
const chartMime = 'application/vnd.vegalite.v5+json'
const frontEndSchema = 'https://vega.github.io/schema/vega-lite/v5.json'

/** A value of the toolkit in the forms that a cell can show; undefined for what the toolkit does not know. */
export async function bundleOf(value: object): Promise<MimeBundle | undefined> {
  if (isChart(value)) return chartBundle(value)
  if (isAudit(value)) return (await import('./auditSections.js')).sectionBundle(value, 'answer')
  if (isFrame(value)) return tableBundle(frameTable(value))
<<<<<<< HEAD
  const parts = await partsOf(value)
=======
  const own = ownBlocksOf(value)
  if (own !== undefined) return ownBundle(value as OwnResult, own)
  const parts = partsOf(value)
>>>>>>> 659f3bd (One computation of what it would take, in the audit, needed and propose; watch from five findings on, allowing for the case mix)
  if (parts !== undefined) {
    const [first, ...more] = parts.tables
    if (more.length > 0) return tablesBundle(parts.tables)
    const wanted = [parts.chart, wantsNarrow() ? parts.narrow : undefined]
    const [page = '', column = ''] = await Promise.all(wanted.map((one) => one && drawnSvg(one)))
    return tableBundle(first!, { page, column })
  }
  if (isEstimate(value)) return sentence(estimateSentence(value))
  if (isTest(value)) return sentence(testSentence(value))
  const tables = plainTables(value)
  return tables === undefined ? undefined : tablesBundle(tables)
}

const sizes = ['page', 'column'] as const

/** What is shown of a result: its tables, and the chart above them. */
export interface ShownParts {
  readonly tables: readonly ValueTable[]
  readonly chart?: ChartSpecification
  /** The chart for a small screen. */
  readonly narrow?: ChartSpecification
}

/** The tables and the chart of a result; undefined for what has none of its own. */
export async function partsOf(value: object): Promise<ShownParts | undefined> {
  if (isRecords(value)) return { tables: recordsTables(value) }
  if (isCohort(value)) return { tables: [cohortTable(value)] }
  if (isRetention(value)) {
    const { retentionChart } = await import('../charts/retentionChart.js')
    const generated = value.asked?.generated === true
    const [chart, narrow] = sizes.map((size) => retentionChart(value, { generated, size }))
    return { tables: [retentionTable(value)], chart: chart!, narrow: narrow! }
  }
  if (isIncidence(value)) {
    const table = incidenceTable(value)
    if (value.asked?.by === undefined) return { tables: [table] }
    const { groupRateChart } = await import('../charts/groupRateChart.js')
    const { generated } = value.asked
    const [chart, narrow] = sizes.map((size) => groupRateChart(value, { generated, size }))
    return { tables: [table], chart: chart!, narrow: narrow! }
  }
  if (isComparison(value)) return { tables: [comparisonTable(value)] }
  if (isPooled(value)) return { tables: (await import('./pooledTables.js')).pooledTables(value) }
  if (!isWeighted(value) && !isWhatElse(value)) return undefined
  const { factorsTable, sitesTable, weightedRisksTable } = await import('./comparedTables.js')
  if (isWeighted(value)) return { tables: [weightedRisksTable(value)] }
  return { tables: [factorsTable(value), sitesTable(value)] }
}

/** Forms of a chart: interactive where the front end knows it, a picture everywhere, its description as text. */
async function chartBundle(specification: ChartSpecification | object): Promise<MimeBundle> {
  const described = { ...specification, description: textAlternative(specification) }
  const narrow = narrowOf(specification)
  return {
    [chartMime]: { ...described, $schema: frontEndSchema },
    'image/svg+xml': await drawnSvg(described),
    ...(narrow === undefined ? {} : { [narrowMime]: await drawnSvg(narrow) }),
    'text/plain': described.description,
  }
}

<<<<<<< HEAD
=======
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

/** What is said of the answer to a question on the practice's own records, as its page has it. */
async function ownBundle(
  { kind, generated }: OwnResult,
  blocks: readonly UnwordedBlock[],
): Promise<MimeBundle> {
  const section: Section = {
    id: kind,
    title: speaker().text(kind === 'needed' ? message('needed.section-answer') : message('watch.heading')),
    blocks: wordedBlocks(blocks, speaker(), { generated, full: true }),
  }
  const document: ReportDocument = {
    title: [],
    kicker: '',
    summary: [],
    generated,
    date: '',
    sections: [section],
  }
  return { 'text/html': await sectionFragment(document, section), 'text/plain': sectionText(section) }
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

>>>>>>> 659f3bd (One computation of what it would take, in the audit, needed and propose; watch from five findings on, allowing for the case mix)
function sentence(text: string): MimeBundle {
  return { 'text/markdown': text, 'text/plain': text }
}
