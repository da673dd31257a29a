import { isoFromDay } from '../core/calendar.js'
import type { AuditKind } from '../documents/kinds/auditKindNames.js'
import { pooledReport } from '../documents/kinds/pooledDocument.js'
import { auditReport, type WrittenReport } from '../documents/writeReport.js'
import type { PooledResult } from '../pooling/coordinator/groupResult.js'
import type { AuditResult } from '../questions/audit.js'
import { writeReportApart } from './reportProcess.js'
import { today } from './today.js'
import { version } from './version.js'

/**
 * Writes the audit report, or another document made of it, to a folder: a page that can be read and printed, figures,
 * tables and results.
 *
 * @param audit result of `auditCohort`
 * @param options folder to write to; kind of document, default `audit`, else `case-series` (draft of a manuscript) or
 *   `leaflet` (a page for patients); and the date of making (ISO) to print, by default that of the machine
 * @throws UsageError where the folder holds something else than an earlier report
 * @example (await writeReport(audit, { outDir: `${scratch}/report`, date: '2026-01-31' })).files.includes('answer.json') // => true
 */
export async function writeReport(
  audit: AuditResult,
  options: { readonly outDir: string; readonly kind?: AuditKind; readonly date?: string },
): Promise<WrittenReport> {
  const { outDir, kind = 'audit', date = isoFromDay(today()) } = options
  return writeReportApart(auditReport(audit, { kind, date, version }), { outDir })
}

/**
 * Writes the report of a study group to a folder, as `writeReport` does that of an audit.
 *
 * @param result pooled result of `playStudyGroup`, or of `poolRows`
 * @param options folder to write to; the date of making (ISO) to print, by default that of the machine
 * @throws UsageError where the folder holds something else than an earlier report
 */
export async function writeStudyGroupReport(
  result: PooledResult,
  options: { readonly outDir: string; readonly date?: string },
): Promise<WrittenReport> {
  const { outDir, date = isoFromDay(today()) } = options
  return writeReportApart(pooledReport(result, { date, version }), { outDir })
}
