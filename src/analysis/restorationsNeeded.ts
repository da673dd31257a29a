import type { Cohort } from '../cohort/cohort.js'
import { daysPerYear } from '../core/calendar.js'
import { isNumber } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { inflatedSize, plannedDesignEffect } from '../statistics/planning/clusters.js'
import { sizesForTwoProportions } from '../statistics/planning/proportions.js'
import { risksAt } from '../statistics/riskAtTimes.js'
import type { Compared } from './compared.js'
import type { AnalysisPlan } from './planFile.js'

/** How many restorations would be needed to see the smallest difference that matters. */
export interface RestorationsNeeded {
  /** Restorations in the group asked about, in the comparator, and together, each followed to the horizon. */
  readonly group: number
  readonly against: number
  readonly together: number
  /** Events to be expected in both groups together. */
  readonly events: number
  readonly horizonYears: number
  /** Risk in the comparator by the horizon that was assumed, and from where it was taken. */
  readonly assumedRisk: number
  readonly assumedFrom: 'observed' | 'upper-limit' | 'smallest-that-can-halve'
  /** Risk in the group that was to be told from it. */
  readonly assumedRiskOfGroup: number
  readonly designEffect: number
  readonly assumedCorrelation: number
  readonly lostShare: number
  readonly power: number
  readonly alpha: number
  readonly reference: string
}

/** Correlation within a patient that planning assumes where there are too few events to estimate one; no source. */
const assumedCorrelation = 0.1

/** Most of the restorations that planning takes for lost. */
const mostLost = 0.9

const power = 0.8

/**
 * Restorations needed for a power of 80% to tell the smallest difference that matters, two-sided, by two proportions
 * at the horizon, inflated for several restorations in one patient and for restorations that are never checked.
 * Undefined where the plan's smallest difference is no difference of risks.
 */
export function restorationsNeeded(
  cohort: Cohort,
  compared: Compared,
  plan: AnalysisPlan,
): RestorationsNeeded | undefined {
  if (plan.primary.contrast !== 'risk-difference') return undefined
  const { rows, inGroup } = compared
  const smallest = plan.smallestDifference
  const { risk, from } = assumedRisk(compared, plan)
  const assumed = Math.max(risk, Math.min(0.99, 2 * smallest))
  const ofGroup = assumed - smallest
  if (!(ofGroup > 0 && ofGroup < 1)) return undefined
  const inGroupRows = inGroup.reduce((sum, one) => sum + one, 0)
  const alpha = 1 - plan.level
  const sizes = sizesForTwoProportions(assumed, ofGroup, {
    alpha,
    power,
    ratio: inGroupRows / (rows.n - inGroupRows),
  })
  const meanSize = rows.n / new Set(rows.patient).size
  const designEffect = plannedDesignEffect(meanSize, assumedCorrelation, {
    coefficientOfVariation: spreadOfSizes(compared),
  }).unequal
  const { neverChecked } = cohort.summary
  const lostShare = Math.min(mostLost, neverChecked / (neverChecked + cohort.n))
  const inflated = (size: number): number =>
    inflatedSize(size, { designEffect: Math.max(1, designEffect), lostShare }).sizeRoundedUp
  const against = inflated(sizes.first)
  const group = inflated(sizes.first * (inGroupRows / (rows.n - inGroupRows)))
  return deepFreeze({
    group,
    against,
    together: group + against,
    events: Math.round((against * assumed + group * ofGroup) * (1 - lostShare)),
    horizonYears: plan.primary.horizonYears,
    assumedRisk: assumed,
    assumedFrom: assumed > risk ? 'smallest-that-can-halve' : from,
    assumedRiskOfGroup: ofGroup,
    designEffect: Math.max(1, designEffect),
    assumedCorrelation,
    lostShare,
    power,
    alpha,
    reference: 'planning-proportions',
  })
}

/** Risk of both groups together by the horizon, or by the end of follow-up; its upper limit where nothing happened. */
function assumedRisk(
  { rows }: Compared,
  plan: AnalysisPlan,
): { readonly risk: number; readonly from: 'observed' | 'upper-limit' } {
  const last = rows.timeDays.reduce((most, days) => Math.max(most, days), 0)
  const horizon = Math.min(plan.primary.horizonYears * daysPerYear, last)
  const [found] = risksAt(rows.timeDays, rows.status, [horizon], {
    entry: rows.entryDays,
    cluster: rows.patient,
    level: plan.level,
  })
  if (found !== undefined && isNumber(found.estimate) && found.estimate > 0) {
    return { risk: Math.min(0.99, found.estimate), from: 'observed' }
  }
  const upper = found?.interval.upper
  return { risk: isNumber(upper ?? 0) ? Math.min(0.5, Number(upper ?? 0.5)) : 0.5, from: 'upper-limit' }
}

/** Standard deviation of the number of restorations per patient over its mean. */
function spreadOfSizes({ rows }: Compared): number {
  const sizes = new Map<number, number>()
  for (const patient of rows.patient) sizes.set(patient, (sizes.get(patient) ?? 0) + 1)
  const mean = rows.n / sizes.size
  const variance = [...sizes.values()].reduce((sum, size) => sum + (size - mean) ** 2, 0) / sizes.size
  return Math.sqrt(variance) / mean
}
