import type { AuditResult } from '../analysis/audit.js'
import type { ReportOptions } from './auditDocument.js'
import type { AuditKind } from './auditKindNames.js'
import type { Report } from './bundle.js'
import { caseSeriesDocument } from './caseSeriesDocument.js'
import type { ReportDocument } from './document.js'
import { languageOf } from './documentLanguages.js'
import { leafletDocument } from './leafletDocument.js'
import { shortReport } from './shortReport.js'
import { startDocument, withLinks } from './startDocument.js'
import { summaryDocument } from './summaryDocument.js'
import { supplementDocument } from './supplementDocument.js'

/** What a document of some kind needs to know besides the results. */
interface KindOptions extends ReportOptions {
  readonly language?: string
  /** Whether a leaflet sets the two ways of tightening beside each other; default no. */
  readonly comparison?: boolean
}

const documents: Readonly<Record<AuditKind, (audit: AuditResult, options: KindOptions) => ReportDocument>> = {
  audit: (audit, options) => withLinks('report', shortReport(audit, options)),
  'case-series': caseSeriesDocument,
  leaflet: leafletDocument,
}

/**
 * The document of a kind; of an audit, the report.
 *
 * @throws UsageError `unknown-name`, `document-language` for a language in which it is not whole
 */
export function documentOfKind(audit: AuditResult, kind: AuditKind, options: KindOptions): ReportDocument {
  languageOf(options.language, kind)
  return documents[kind](audit, options)
}

/** The other lengths of an audit; other kinds are one document. */
export function companionsOf(
  audit: AuditResult,
  kind: AuditKind,
  options: ReportOptions,
): Pick<Report, 'companions'> {
  if (kind !== 'audit') return {}
  return {
    companions: {
      start: startDocument(audit, options),
      lengths: {
        summary: withLinks('summary', summaryDocument(audit, options)),
        supplement: withLinks('supplement', supplementDocument(audit, options)),
      },
    },
  }
}
