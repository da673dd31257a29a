import type { PlannedStudy } from '../../questions/plan/plannedStudy.js'
import { type WritingOptions, type WrittenReport, writeReportFolder } from '../writeReport.js'
import { type ListedField, proposalDocument } from './proposalDocument.js'

/** Options of a written draft of a study protocol. */
export interface WriteProposalOptions extends WritingOptions {
  readonly date: string
  readonly version: string
  /** Fields that the analysis reads, from the data dictionary. */
  readonly fields: readonly ListedField[]
}

/**
 * Writes the draft of a study protocol in every format of a report: what the plan decides is there, and what only the
 * author knows is marked.
 *
 * @param study result of `plannedStudy`
 */
export async function writeProposal(
  study: PlannedStudy,
  options: WriteProposalOptions,
): Promise<WrittenReport> {
  const { date, fields, version } = options
  return writeReportFolder(
    {
      kind: 'protocol',
      document: proposalDocument(study, { date, fields }),
      results: study,
      provenance: { definition: study.definition, settings: study.assumptions },
      version,
    },
    options,
  )
}
