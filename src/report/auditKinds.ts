import type { AuditResult } from '../analysis/audit.js'
import { auditDocument, type ReportOptions } from './auditDocument.js'
import type { AuditKind } from './auditKindNames.js'
import { caseSeriesDocument } from './caseSeriesDocument.js'
import type { ReportDocument } from './document.js'
import { leafletDocument } from './leafletDocument.js'

const documents: Readonly<Record<AuditKind, (audit: AuditResult, options: ReportOptions) => ReportDocument>> =
  {
    audit: auditDocument,
    'case-series': caseSeriesDocument,
    leaflet: leafletDocument,
  }

/** The document of a kind. */
export function documentOfKind(audit: AuditResult, kind: AuditKind, options: ReportOptions): ReportDocument {
  return documents[kind](audit, options)
}
