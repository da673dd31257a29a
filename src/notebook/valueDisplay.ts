import type { ChartSpecification } from '../charts/specification.js'
import { textAlternative } from '../charts/textAlternative.js'
import { inWords } from '../messages/speaker.js'
import { whatWasAsked } from '../questions/answered.js'
import { isOwn } from '../questions/registry.js'
import { drawnSvg } from './drawing.js'
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
  isAskedComparison,
  isAudit,
  isChart,
  isCohort,
  isComparison,
  isEstimate,
  isIncidence,
  isMethodName,
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
  if (isAskedComparison(value)) return (await import('./askedComparison.js')).askedBundle(value)
  if (isOwn(value)) return (await import('./auditSections.js')).ownBundle(value)
  if (whatWasAsked(value) !== undefined) return (await import('./auditSections.js')).answerBundle(value)
  const parts = await partsOf(value)
  if (parts !== undefined) {
    const [first, ...more] = parts.tables
    if (more.length > 0) return tablesBundle(parts.tables)
    const wanted = [parts.chart, wantsNarrow() ? parts.narrow : undefined]
    const [page = '', column = ''] = await Promise.all(wanted.map((one) => one && drawnSvg(one)))
    return tableBundle(first!, { page, column })
  }
  if (isEstimate(value)) return sentence(estimateSentence(value))
  if (isTest(value)) return sentence(testSentence(value))
  if (Object.isFrozen(value) && isMethodName(value)) return sentence(inWords(value))
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
    const { retentionChart } = await import('../questions/retention/chart.js')
    const generated = value.asked?.generated === true
    const [chart, narrow] = sizes.map((size) => retentionChart(value, { generated, size }))
    return { tables: [retentionTable(value)], chart: chart!, narrow: narrow! }
  }
  if (isIncidence(value)) {
    const table = incidenceTable(value)
    if (value.asked?.by === undefined) return { tables: [table] }
    const { groupRateChart } = await import('../questions/incidence/rateChart.js')
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

function sentence(text: string): MimeBundle {
  return { 'text/markdown': text, 'text/plain': text }
}
