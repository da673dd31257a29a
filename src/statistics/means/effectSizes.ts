import gammaln from '@stdlib/math-base-special-gammaln'
import { type Contrast, noInterval, notEstimable, type Quantity } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { increasingRoot } from '../numeric/bracket.js'
import { requireLevel } from '../numeric/columns.js'
import { noncentralTCdf, noncentralTUpperTail } from '../numeric/noncentralT.js'
import { type ContrastNames, unnamedGroups } from '../proportions/twoProportions.js'
import { differenceError, requireSummary, type SummaryFigures } from './means.js'

/** Settings of a standardised difference. */
export interface StandardisedOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Take off the small-sample bias (Hedges's g) or not (Cohen's d); default 'hedges'. */
  readonly correction?: 'hedges' | 'none'
  /** Names of the groups; default 'group' against 'reference'. */
  readonly comparator?: ContrastNames
}

/**
 * Difference of two means in pooled standard deviations, with the exact interval from the noncentral t distribution.
 *
 * @param group n, mean and standard deviation of the group
 * @param against the same of the reference
 * @param options level (0.95), correction ('hedges'), comparator
 * @returns frozen contrast; tagged where the pooled deviation is 0 or cannot be had
 * @throws NumericalError `not-a-count`, `not-an-amount`, `not-finite`, `level-out-of-range`
 * Sources: Cohen 1969; Hedges 1981; Steiger and Fouladi 1997 (interval).
 * @example standardisedDifference({ n: 10, mean: 6.05, standardDeviation: 0.95 }, { n: 10, mean: 4.88, standardDeviation: 0.92 }).estimate // => 1.198
 */
export const standardisedDifference = checked(
  'standardisedDifference',
  (group: SummaryFigures, against: SummaryFigures, options: StandardisedOptions = {}): Contrast => {
    const { level = 0.95, correction = 'hedges', comparator = unnamedGroups } = options
    requireSummary(group)
    requireSummary(against)
    requireLevel(level)
    const n = group.n + against.n
    const { error, degreesOfFreedom } = differenceError(group, against, 'equal')
    const names = {
      level,
      method: methodOf(correction === 'hedges' ? 'hedges-g' : 'cohen-d', 'noncentral-t'),
      n,
      events: n,
      clusters: n,
      warnings: [],
      comparator: { group: comparator.group, against: comparator.against },
      reference: 'effect-size',
    }
    if (!(error > 0) || !(degreesOfFreedom > 0)) {
      const reason = error === 0 ? 'values-do-not-vary' : 'groups-too-small-for-variance'
      return deepFreeze({ ...names, estimate: notEstimable(reason), interval: noInterval(reason) })
    }
    const t = (group.mean - against.mean) / error
    const root = Math.sqrt(1 / group.n + 1 / against.n)
    const factor = (correction === 'hedges' ? biasFactor(degreesOfFreedom) : 1) * root
    const tail = (1 - level) / 2
    // The limits are the noncentralities that leave the tail beyond, or before, the t observed.
    const lower = increasingRoot((d) => Math.log(noncentralTUpperTail(t, degreesOfFreedom, d) / tail), t)
    const upper = increasingRoot((d) => Math.log(tail / noncentralTCdf(t, degreesOfFreedom, d)), t)
    const limit = (value: number | undefined): Quantity =>
      value === undefined ? notEstimable('limit-out-of-reach') : value * factor
    return deepFreeze({
      ...names,
      estimate: t * factor,
      interval: { lower: limit(lower), upper: limit(upper) },
    })
  },
)

/** Hedges's exact factor Γ(ν/2) / (√(ν/2) Γ((ν − 1)/2)); 1 degree of freedom leaves nothing. */
function biasFactor(degreesOfFreedom: number): number {
  const half = degreesOfFreedom / 2
  if (degreesOfFreedom <= 1) return 0
  if (degreesOfFreedom > 1e5) return 1 - 3 / (4 * degreesOfFreedom - 1)
  return Math.exp(gammaln(half) - gammaln(half - 0.5)) / Math.sqrt(half)
}
