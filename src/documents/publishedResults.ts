import type { PooledResult } from '../pooling/coordinator/groupResult.js'
import type { AuditResult } from '../questions/audit.js'
import type { PlannedStudy } from '../questions/plan/plannedStudy.js'
import type { OwnResult } from '../questions/registry.js'
import type { TwoReports } from '../questions/twoReports/answer.js'
import type { ResultsMark } from './results.js'

/** What results.json of an audit holds, whichever document was made of it. */
export interface AuditResults extends AuditResult, ResultsMark {
  readonly kind: 'audit' | 'case-series' | 'leaflet'
}

/** What results.json of a study group holds. */
export interface StudyGroupResults extends PooledResult, ResultsMark {
  readonly kind: 'study-group'
}

/** What results.json of a comparison of two reports holds. */
export interface TwoReportsResults extends TwoReports, ResultsMark {
  readonly kind: 'two-reports'
}

/** What results.json of the draft of a protocol holds. */
export interface ProtocolResults extends PlannedStudy, ResultsMark {
  readonly kind: 'protocol'
}

/** What results.json of a question that has a page of its own holds. */
type OwnResults<Result> = Result extends OwnResult ? Result & ResultsMark : never

/**
 * What results.json holds, by kind of report. docs/schema/results.schema.json is made from this type by
 * scripts/resultsSchema.mjs; a test makes it again and compares.
 */
export type PublishedResults =
  | AuditResults
  | StudyGroupResults
  | TwoReportsResults
  | ProtocolResults
  | OwnResults<OwnResult>
