import type { AuditResult } from '../analysis/audit.js'
import { auditDocument, type ReportOptions } from './auditDocument.js'
import { bundleFiles } from './bundle.js'
import { citationsOf } from './citation.js'
import { plainText } from './document.js'
import { documentHtml, drawFigures } from './html.js'
import { replaceFolder } from './replaceFolder.js'
import { baseSentence, differenceSentence, incidenceSentence } from './wording.js'

/** Options of a written report. */
export interface WriteReportOptions extends ReportOptions {
  /** Folder of the report; made if need be, replaced as a whole if it holds an earlier report. */
  readonly outDir: string
}

/** What was written. */
export interface WrittenReport {
  readonly htmlPath: string
  /** Paths of all files inside the folder. */
  readonly files: readonly string[]
}

/** Name of the page inside the folder of a report. */
export const htmlName = 'report.html'

/**
 * Writes the audit report: one self-contained HTML page, and beside it the figures (SVG, PNG), the tables (CSV) and
 * the results (JSON). Everything is written to a temporary folder first, which then takes the place of an earlier
 * report as a whole.
 *
 * @throws UsageError `folder-in-use` where the folder holds anything but an earlier report
 */
export async function writeAuditReport(
  audit: AuditResult,
  options: WriteReportOptions,
): Promise<WrittenReport> {
  const document = auditDocument(audit, options)
  const pictures = await drawFigures(document)
  const files = [
    { path: htmlName, content: documentHtml(document, pictures) },
    ...(await bundleFiles(audit, document, pictures, options.version)),
  ]
  const folder = await replaceFolder(options.outDir, files)
  return Object.freeze({
    htmlPath: `${folder}/${htmlName}`,
    files: Object.freeze(files.map(({ path }) => path)),
  })
}

/** The audit report as one self-contained HTML page. */
export async function renderAuditHtml(audit: AuditResult, options: ReportOptions): Promise<string> {
  const document = auditDocument(audit, options)
  return documentHtml(document, await drawFigures(document))
}

/** The main result in three lines of plain words, for a terminal. */
export function auditInThreeLines(audit: AuditResult): readonly string[] {
  const cite = citationsOf(audit)
  return [incidenceSentence(audit, cite), differenceSentence(audit, cite), baseSentence(audit, cite)].map(
    plainText,
  )
}
