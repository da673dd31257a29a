import type { AuditResult } from '../../questions/audit.js'
import type { Report } from '../bundle.js'
import type { ReportDocument } from '../model/document.js'
import { languageAmong, languageOf, leadingDocument } from '../model/documentLanguages.js'
import type { ReportOptions } from './auditDocument.js'
import type { AuditKind } from './auditKindNames.js'
import { caseSeriesDocument } from './caseSeriesDocument.js'
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
  audit: (audit, options) =>
    withLinks('report', shortReport(audit, inLanguage(options, 'report')), options.language),
  'case-series': caseSeriesDocument,
  leaflet: leafletDocument,
}

/**
 * The document of a kind; of an audit, the report.
 *
 * @throws UsageError `unknown-name`, `document-language` for a language in which it is not whole
 */
export function documentOfKind(audit: AuditResult, kind: AuditKind, options: KindOptions): ReportDocument {
  languageOf(options.language, leadingDocument(kind))
  return documents[kind](audit, options)
}

/** Options of a document of several: in the language asked for where it is whole in it, else in English. */
function inLanguage<Options extends KindOptions>(
  options: Options,
  document: 'report' | 'slides' | 'supplement',
): Options {
  return options.language === undefined
    ? options
    : { ...options, language: languageAmong(options.language, document) }
}

/** The other lengths of an audit; other kinds are one document. */
export function companionsOf(
  audit: AuditResult,
  kind: AuditKind,
  options: KindOptions,
): Pick<Report, 'companions'> {
  if (kind !== 'audit') return {}
  return {
    companions: {
      start: startDocument(audit, options),
      lengths: {
        summary: withLinks('summary', summaryDocument(audit, options), options.language),
        supplement: withLinks(
          'supplement',
          supplementDocument(audit, inLanguage(options, 'supplement')),
          options.language,
        ),
      },
    },
  }
}
