import { documentHtml } from '../../src/documents/formats/html.js'
import { auditDocument, type ReportOptions } from '../../src/documents/kinds/auditDocument.js'
import type { AuditResult } from '../../src/questions/audit.js'
import { drawFigures } from './drawFigures.js'

/** Everything that an audit has to say as one self-contained HTML page. */
export async function renderAuditHtml(audit: AuditResult, options: ReportOptions): Promise<string> {
  const document = auditDocument(audit, options)
  return documentHtml(document, await drawFigures(document))
}
