import type { AuditResult } from '../../src/analysis/audit.js'
import { auditDocument, type ReportOptions } from '../../src/report/auditDocument.js'
import { documentHtml } from '../../src/report/html.js'
import { drawFigures } from './drawFigures.js'

/** Everything that an audit has to say as one self-contained HTML page. */
export async function renderAuditHtml(audit: AuditResult, options: ReportOptions): Promise<string> {
  const document = auditDocument(audit, options)
  return documentHtml(document, await drawFigures(document))
}
