import { NumericalError } from '../../core/errors.js'
import { noInterval, notEstimable, type Quantity, type TestResult } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireFinite, requireLevel } from '../numeric/columns.js'
import { studentTQuantile, studentTUpperTail } from '../numeric/distributions.js'
import { differenceError, requireSummary, type SummaryFigures } from './means.js'

/** Settings of a test of equivalence. */
export interface EquivalenceOptions {
  /** Largest difference that would still count as equivalent, in the unit of the means. */
  readonly margin: { readonly lower: number; readonly upper: number }
  /** Level of each one-sided test; default 0.05. */
  readonly significance?: number
  /** Whether the groups share one variance; default 'unequal' (Welch). */
  readonly variances?: 'unequal' | 'equal'
}

/** Two one-sided tests of equivalence. */
export interface EquivalenceTest extends TestResult {
  readonly difference: Quantity
  /** Interval at the level 1 − 2 · significance, which lies within the margin where both tests reject. */
  readonly interval: { readonly lower: Quantity; readonly upper: Quantity }
  readonly level: number
  /** That the difference lies at or below the lower margin. */
  readonly pAgainstLower: Quantity
  /** That the difference lies at or above the upper margin. */
  readonly pAgainstUpper: Quantity
  /** Whether both tests reject. */
  readonly equivalent: boolean
}

/**
 * Equivalence of two means by two one-sided t tests, from number, mean and standard deviation alone. `pValue` is the
 * larger of the two.
 *
 * @param group n, mean and standard deviation of the group
 * @param against the same of the reference
 * @param options margin, significance (0.05), variances ('unequal')
 * @throws NumericalError `not-a-count`, `not-an-amount`, `not-finite`, `level-out-of-range`, `empty-margin`
 * Source: Schuirmann 1987; Westlake 1981 (interval).
 * @example equivalenceTest({ n: 20, mean: 1, standardDeviation: 1 }, { n: 20, mean: 1, standardDeviation: 1 }, { margin: { lower: -1, upper: 1 } }).equivalent // => true
 */
export const equivalenceTest = checked(
  'equivalenceTest',
  (group: SummaryFigures, against: SummaryFigures, options: EquivalenceOptions): EquivalenceTest => {
    const { margin, significance = 0.05, variances = 'unequal' } = options
    requireSummary(group)
    requireSummary(against)
    requireLevel(1 - 2 * significance)
    requireMargin(margin)
    const n = group.n + against.n
    const { error, degreesOfFreedom } = differenceError(group, against, variances)
    const difference = group.mean - against.mean
    const names = {
      level: 1 - 2 * significance,
      method: methodOf('two-one-sided-tests', variances === 'equal' ? 'common-variance' : 'welch'),
      n,
      events: n,
      clusters: n,
      warnings: [],
      reference: 'equivalence',
    }
    if (!(error > 0) || !(degreesOfFreedom > 0)) {
      const none = notEstimable(error === 0 ? 'values-do-not-vary' : 'group-too-small-for-variance')
      return deepFreeze({
        ...names,
        difference: Number.isFinite(difference) ? difference : none,
        interval: noInterval(none),
        statistic: none,
        degreesOfFreedom: none,
        pValue: none,
        pAgainstLower: none,
        pAgainstUpper: none,
        equivalent: false,
      })
    }
    const fromLower = (difference - margin.lower) / error
    const fromUpper = (margin.upper - difference) / error
    const pAgainstLower = studentTUpperTail(fromLower, degreesOfFreedom)
    const pAgainstUpper = studentTUpperTail(fromUpper, degreesOfFreedom)
    const half = -studentTQuantile(significance, degreesOfFreedom) * error
    return deepFreeze({
      ...names,
      difference,
      interval: { lower: difference - half, upper: difference + half },
      statistic: Math.min(fromLower, fromUpper),
      degreesOfFreedom,
      pValue: Math.max(pAgainstLower, pAgainstUpper),
      pAgainstLower,
      pAgainstUpper,
      equivalent: Math.max(pAgainstLower, pAgainstUpper) < significance,
    })
  },
)

function requireMargin(margin: { readonly lower: number; readonly upper: number }): void {
  requireFinite('margin', [margin.lower, margin.upper])
  if (margin.lower >= margin.upper) {
    throw new NumericalError({
      code: 'empty-margin',
      problem: `the margin runs from ${margin.lower} to ${margin.upper}.`,
      expected: 'a lower margin below the upper one.',
      mend: 'give the margin as { lower: -2, upper: 2 }, in the unit of the means.',
    })
  }
}
