import type { AuditResult } from '../analysis/audit.js'
import { renderSvg } from '../charts/render.js'
import { type ChartSpecification, chartSchema } from '../charts/specification.js'
import { UsageError } from '../core/errors.js'
import { auditDocument } from '../report/auditDocument.js'
import { plainText, type Section } from '../report/document.js'
import { sectionFragment } from '../report/fragment.js'
import { showBundle } from './mimeOutput.js'
import { version } from './version.js'

/** MIME type under which notebook front ends know an interactive chart. */
const chartMime = 'application/vnd.vegalite.v6+json'

/**
 * Shows a chart, a text or a section of an audit in the cell that runs.
 *
 * @param value a chart specification, a text (Markdown), or an audit
 * @param section with an audit: which section, such as "answer", "incidence", "retention" or "comparison"; default
 *   "answer"
 * @throws UsageError `no-such-section`, `cannot-show`
 */
export async function show(
  value: ChartSpecification | AuditResult | string,
  section = 'answer',
): Promise<void> {
  if (typeof value === 'string') showBundle({ 'text/markdown': value, 'text/plain': value })
  else if (isChart(value)) await showChart(value)
  else if (isAudit(value)) await showSection(value, section)
  else throw cannotShow()
}

async function showChart(specification: ChartSpecification): Promise<void> {
  const svg = await renderSvg(specification)
  showBundle({
    [chartMime]: specification,
    'image/svg+xml': svg,
    'text/plain': specification.description ?? 'chart',
  })
}

async function showSection(audit: AuditResult, id: string): Promise<void> {
  const document = auditDocument(audit, { date: '', version })
  const section = document.sections.find((one) => one.id === id)
  if (section === undefined) {
    throw new UsageError({
      code: 'no-such-section',
      problem: `an audit has no section "${id}".`,
      expected: `one of ${document.sections.map((one) => one.id).join(', ')}.`,
      mend: 'name one of these.',
    })
  }
  showBundle({ 'text/html': await sectionFragment(document, section), 'text/plain': sectionText(section) })
}

/** The running text of a section, for terminals. */
function sectionText(section: Section): string {
  return section.blocks
    .map((block) => (block.kind === 'paragraph' ? plainText(block.content) : ''))
    .filter((text) => text !== '')
    .join('\n')
}

function isChart(value: object): value is ChartSpecification {
  return '$schema' in value && value.$schema === chartSchema
}

function isAudit(value: object): value is AuditResult {
  return 'incidence' in value && 'retention' in value && 'summary' in value
}

function cannotShow(): UsageError {
  return new UsageError({
    code: 'cannot-show',
    problem: 'this is nothing that can be shown.',
    expected: 'a chart, a text, or an audit.',
    mend: 'pass the result of auditCohort, or a chart.',
  })
}
