import type { CohortDefinition } from '../../cohort/definition.js'
import { type ErrorText, UsageError } from '../../core/errors.js'
import { deepFreeze } from '../../core/plain.js'
import { inflatedSize, plannedDesignEffect } from '../../statistics/planning/clusters.js'
import { eventsForLogRank } from '../../statistics/planning/events.js'
import { sizesForTwoProportions } from '../../statistics/planning/proportions.js'
import { type AnalysisPlan, plannedConfounders, plannedDefinition } from './planFile.js'

/** What is assumed where a study is planned. */
export interface PlanningAssumptions {
  /** Restorations of one patient, on average; default 1.5. */
  readonly restorationsPerPatient: number
  /** Correlation of the event within a patient; default 0.1. */
  readonly correlation: number
  /** Share of restorations that will not be followed to the horizon; default 0.2. */
  readonly lostShare: number
  /** Power of the comparison; default 0.8. */
  readonly power: number
}

/** Restorations needed for one risk in the comparator, both groups of one size. */
export interface PlannedSize {
  /** Risk by the horizon in the comparator, and the one in the group that is to be told from it. */
  readonly assumedRisk: number
  readonly assumedRiskOfGroup: number
  /** Independent restorations in each group, all followed. */
  readonly perGroupIndependent: number
  /** The same for restorations that share patients, some of them lost. */
  readonly perGroup: number
  readonly together: number
  /** Events to be expected in both groups together, those lost left out. */
  readonly events: number
}

/** A study before its data: the plan, and how large it would have to be. */
export interface PlannedStudy {
  readonly plan: AnalysisPlan
  /** The cohort that the plan asks for. */
  readonly definition: CohortDefinition
  /** What will be allowed for, in words. */
  readonly adjustFor: readonly string[]
  readonly assumptions: PlanningAssumptions & { readonly designEffect: number }
  /** For a difference of risks, by the risk in the comparator; empty for other contrasts. */
  readonly sizes: readonly PlannedSize[]
  /** Events of both groups together for a hazard ratio, inflated for restorations that share patients. */
  readonly eventsNeeded?: number
  readonly references: readonly string[]
}

/** Assumptions that planning falls back on; they have no source. */
export const defaultAssumptions: PlanningAssumptions = Object.freeze({
  restorationsPerPatient: 1.5,
  correlation: 0.1,
  lostShare: 0.2,
  power: 0.8,
})

/** Risks in the comparator that are shown besides the smallest at which the difference could halve it. */
const shownRisks = [0.05, 0.1, 0.15, 0.2]

/**
 * Plans a study from its plan file: restorations needed for the primary contrast, by two proportions at the horizon
 * (Fleiss, Levin and Paik 2003) or by events of a log-rank test (Schoenfeld 1983), inflated for several restorations in
 * one patient (Kish 1965) and for losses. Nothing is computed for a restricted mean, whose spread nobody knows before.
 *
 * @param plan the plan, as `parsePlan` reads it
 * @param assumptions restorations per patient (from 1), correlation (0 to 1), share lost (0 to below 1), power; defaults
 *   `defaultAssumptions`
 * @throws UsageError `bad-assumption` naming the assumption
 * @example plannedStudy(defaultPlan).sizes[1].perGroup // => 1977
 */
export function plannedStudy(
  plan: AnalysisPlan,
  assumptions: Partial<PlanningAssumptions> = {},
): PlannedStudy {
  const taken = { ...defaultAssumptions, ...assumptions }
  requireAssumptions(taken)
  const { restorationsPerPatient, correlation } = taken
  const designEffect = plannedDesignEffect(restorationsPerPatient, correlation).equal
  const alpha = 1 - plan.level
  const { contrast } = plan.primary
  return deepFreeze({
    plan,
    definition: plannedDefinition(plan),
    adjustFor: plannedConfounders(plan),
    assumptions: { ...taken, designEffect },
    sizes: contrast === 'risk-difference' ? sizesOf(plan, taken, designEffect, alpha) : [],
    ...(contrast === 'hazard-ratio'
      ? {
          eventsNeeded: Math.ceil(
            eventsForLogRank(plan.smallestDifference, { alpha, power: taken.power }).events * designEffect,
          ),
        }
      : {}),
    references:
      contrast === 'restricted-mean-difference'
        ? []
        : [
            contrast === 'hazard-ratio' ? 'planning-events' : 'planning-proportions',
            'design-effect-planning',
          ],
  })
}

function sizesOf(
  { smallestDifference }: AnalysisPlan,
  { lostShare, power }: PlanningAssumptions,
  designEffect: number,
  alpha: number,
): readonly PlannedSize[] {
  const risks = [...new Set([2 * smallestDifference, ...shownRisks])]
    .filter((risk) => risk > smallestDifference && risk < 1)
    .sort((left, right) => left - right)
  return risks.map((assumedRisk) => {
    const assumedRiskOfGroup = assumedRisk - smallestDifference
    const { first } = sizesForTwoProportions(assumedRisk, assumedRiskOfGroup, { alpha, power })
    const perGroup = inflatedSize(first, { designEffect, lostShare }).sizeRoundedUp
    return {
      assumedRisk,
      assumedRiskOfGroup,
      perGroupIndependent: Math.ceil(first),
      perGroup,
      together: 2 * perGroup,
      events: Math.round(perGroup * (assumedRisk + assumedRiskOfGroup) * (1 - lostShare)),
    }
  })
}

function requireAssumptions({
  restorationsPerPatient,
  correlation,
  lostShare,
  power,
}: PlanningAssumptions): void {
  const faults: readonly ErrorText[] = [
    ...(restorationsPerPatient >= 1 && Number.isFinite(restorationsPerPatient)
      ? []
      : ['restorations per patient: at least 1']),
    ...(correlation >= 0 && correlation <= 1 ? [] : ['correlation within a patient: from 0 to 1']),
    ...(lostShare >= 0 && lostShare < 1 ? [] : ['share lost: from 0 to below 1']),
    ...(power > 0.5 && power < 1 ? [] : ['power: above 0.5 and below 1']),
  ]
  if (faults.length === 0) return
  throw new UsageError({
    code: 'bad-assumption',
    problem: 'the study cannot be planned by these assumptions.',
    expected: `${faults.join('; ')}.`,
    mend: 'put the assumption named right, or leave it out for its default.',
  })
}
