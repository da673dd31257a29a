import type { CohortSummary } from '../cohort/attrition.js'
import type { Cohort } from '../cohort/cohort.js'
import type { CohortDefinition } from '../cohort/definition.js'
import { deepFreeze } from '../core/plain.js'
import type { Answer } from '../questions/answer/shape.js'
import { comparisonPart } from '../questions/comparison/answerPart.js'
import {
  type Answers,
  type AwaitedAnswers,
  answersOf,
  awaitedAnswers,
  type BegunAnswers,
} from '../questions/registry.js'
import { answerOf } from './answerOf.js'
import { type AdjustedModel, adjustedModel } from './description/adjustedModel.js'
import { type Characteristics, characteristics } from './description/characteristics.js'
import { type HowOften, howOften } from './howOften.js'
import { type IncidenceResult, incidence } from './incidence.js'
import { type RetentionResult, retention } from './retention.js'
import { type AnalysisSettings, defaultSettings } from './settings.js'
import { contrastTightenings, type TighteningComparisonResult } from './tighteningComparison.js'

export type { Attrition, AttritionStep, CohortSummary } from '../cohort/attrition.js'
export type { CohortDefinition, EndpointName } from '../cohort/definition.js'

/** Everything that the audit report of one practice or group of clinics shows. */
export interface AuditResult extends Answers {
  readonly definition: CohortDefinition
  readonly summary: CohortSummary
  /** The answer to "how often", with what it rests on. */
  readonly howOften: HowOften
  readonly incidence: IncidenceResult
  readonly retention: RetentionResult
  /** Absent where one of the two groups is empty. */
  readonly comparison: TighteningComparisonResult | undefined
  /** What the restorations are like, by group. */
  readonly characteristics?: Characteristics
  /** The adjusted hazard model, coefficient by coefficient; absent where it could not be estimated. */
  readonly model?: AdjustedModel | undefined
  /** What the audit answers, as answer.json and the first page have it; absent before the audit is complete. */
  readonly answer?: Answer
  readonly settings: AnalysisSettings
}

/**
 * Asks a cohort the questions of an audit: how often, how long, and single against repeated tightening.
 *
 * @param cohort restorations with time at risk
 * @param settings level, horizons, least number at risk, seed, plan, detail; default `defaultSettings`
 * @example auditCohort(cohort).answer.comparison.verdict // => "open"
 */
export function auditCohort(cohort: Cohort, settings: AnalysisSettings = defaultSettings): AuditResult {
  return completedAudit(cohort, describedCohort(cohort, settings))
}

/** The first, quick part of an audit: how often, how long, and the crude comparison. */
export function describedCohort(cohort: Cohort, settings: AnalysisSettings): AuditResult {
  return deepFreeze({
    definition: cohort.definition,
    summary: cohort.summary,
    howOften: howOften(cohort, settings),
    incidence: incidence(cohort, settings),
    retention: retention(cohort, settings),
    comparison: contrastTightenings(cohort, settings),
    settings,
  })
}

/**
 * The whole audit, from its first part and the cohort that this came from; tells the share of what is answered.
 *
 * @param begun what `beginAnswers` began of the same cohort and settings; by default nothing
 */
export function completedAudit(
  cohort: Cohort,
  described: AuditResult,
  onProgress?: (share: number) => void,
  begun?: BegunAnswers,
): AuditResult {
  const beside = besideAnswers(cohort, described)
  return wholeAudit(described, beside, answersOf(cohort, described.settings, onProgress, begun))
}

/** The same, where some answers are awaited from another thread. */
export async function awaitedAudit(
  cohort: Cohort,
  described: AuditResult,
  onProgress: (share: number) => void,
  begun: AwaitedAnswers,
): Promise<AuditResult> {
  const beside = besideAnswers(cohort, described)
  return wholeAudit(described, beside, await awaitedAnswers(cohort, described.settings, onProgress, begun))
}

type BesideAnswers = Pick<AuditResult, 'characteristics' | 'model'>

/** What an audit finds besides the answers to its questions. */
function besideAnswers(cohort: Cohort, { settings }: AuditResult): BesideAnswers {
  const model = adjustedModel(cohort, settings)
  return { characteristics: characteristics(cohort, settings), model }
}

function wholeAudit(described: AuditResult, beside: BesideAnswers, answers: Answers): AuditResult {
  const { tightening } = answers
  return deepFreeze({
    ...described,
    ...beside,
    ...answers,
    answer: answerOf(described, tightening === undefined ? undefined : comparisonPart(tightening)),
    settings: described.settings,
  })
}
