import type { CohortSummary } from '../cohort/attrition.js'
import type { Cohort } from '../cohort/cohort.js'
import type { CohortDefinition } from '../cohort/definition.js'
import { deepFreeze } from '../core/plain.js'
import { answerOf } from './answer/answer.js'
import type { Answer } from './answer/shape.js'
import { type HowOften, howOften } from './howOften/answer.js'
import { type AnalysisSettings, defaultSettings } from './plan/settings.js'
import {
  type Answers,
  type AwaitedAnswers,
  answersOf,
  awaitedAnswers,
  type BegunAnswers,
  type FirstAnswers,
  firstAnswers,
} from './registry.js'

export type { Attrition, AttritionStep, CohortSummary } from '../cohort/attrition.js'
export type { CohortDefinition, EndpointName } from '../cohort/definition.js'

/** Everything that the audit report of one practice or group of clinics shows. */
export interface AuditResult extends Omit<Answers, keyof FirstAnswers>, FirstAnswers {
  readonly definition: CohortDefinition
  readonly summary: CohortSummary
  /** The answer to "how often", with what it rests on. */
  readonly howOften: HowOften
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
    ...firstAnswers(cohort, settings),
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
  return wholeAudit(described, answersOf(cohort, described.settings, described, onProgress, begun))
}

/** The same, where some answers are awaited from another thread. */
export async function awaitedAudit(
  cohort: Cohort,
  described: AuditResult,
  onProgress: (share: number) => void,
  begun: AwaitedAnswers,
): Promise<AuditResult> {
  return wholeAudit(described, await awaitedAnswers(cohort, described.settings, described, onProgress, begun))
}

function wholeAudit(described: AuditResult, answers: Answers): AuditResult {
  const { tightening } = answers
  return deepFreeze({
    ...described,
    ...answers,
    incidence: described.incidence,
    retention: described.retention,
    answer: answerOf({ ...described, tightening }),
    settings: described.settings,
  })
}
