import { speaker } from '../../messages/speaker.js'
import { compareReports, type TwoReports } from '../../questions/twoReports/answer.js'
import type { StoredAudit } from '../readAuditResults.js'
import { type WritingOptions, type WrittenReport, writeReportFolder } from '../writeReport.js'
import { changeDocument } from './changeDocument.js'
import {
  clinicsSentence,
  readingChangeSentence,
  recordsChangeSentence,
  riskChangeSentence,
} from './changeWords.js'

/** Options of a written comparison of two reports. */
export interface WriteChangesOptions extends WritingOptions {
  readonly date: string
  readonly version: string
}

/**
 * Writes what changed between two reports of one practice, in every format of a report.
 *
 * @param before results of the earlier report with the version that wrote them
 * @param after the same of the later
 * @throws UsageError `other-definition` where the two do not define the same
 */
export async function writeChangeReport(
  before: StoredAudit,
  after: StoredAudit,
  options: WriteChangesOptions,
): Promise<{ readonly written: WrittenReport; readonly two: TwoReports }> {
  const two = compareReports(before.audit, after.audit)
  const { date, version } = options
  const document = changeDocument(two, {
    date,
    version,
    versions: { before: before.version, after: after.version },
  })
  const provenance = {
    source: { before: before.audit.summary.source, after: after.audit.summary.source },
    definition: after.audit.definition,
    settings: after.audit.settings,
  }
  const written = await writeReportFolder(
    { kind: 'two-reports', document, results: two, provenance, version },
    options,
  )
  return { written, two }
}

/** What changed in a few lines of plain words, for a terminal: those that the document begins with. */
export function changeInLines(two: TwoReports): readonly string[] {
  const lines = [
    clinicsSentence(two),
    riskChangeSentence(two),
    recordsChangeSentence(two),
    readingChangeSentence(two),
  ]
  return lines.filter((line) => line !== undefined).map(speaker().text)
}
