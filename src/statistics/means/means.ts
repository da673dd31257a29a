import { NumericalError } from '../../core/errors.js'
import { type Contrast, noInterval, notEstimable, type Quantity } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireFinite, requireLevel, requireSameLength } from '../numeric/columns.js'
import { requireAmount, requireCount } from '../numeric/counts.js'
import { studentTQuantile, studentTUpperTail } from '../numeric/distributions.js'
import { type ContrastNames, unnamedGroups } from '../proportions/twoProportions.js'
import { meanOf, standardDeviationOf } from './summary.js'

/** Number, mean and standard deviation of a group, as papers print them. */
export interface SummaryFigures {
  readonly n: number
  readonly mean: number
  /** Standard deviation with n − 1 in its denominator; 0 where n is 1. */
  readonly standardDeviation: number
}

/** Settings of a comparison of two means. */
export interface MeanOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Whether the groups share one variance; default 'unequal' (Welch). */
  readonly variances?: 'unequal' | 'equal'
  /** Names of the groups; default 'group' against 'reference'. */
  readonly comparator?: ContrastNames
}

/** A difference of means with its t test. */
export interface MeanContrast extends Contrast {
  readonly statistic: Quantity
  readonly degreesOfFreedom: Quantity
  /** Two-sided. */
  readonly pValue: Quantity
}

/**
 * Number, mean and standard deviation of a column, as `meanDifference` takes them.
 *
 * @param values at least one value
 * @throws NumericalError `not-finite`, `no-values`
 * @example summaryFigures([1, 2, 3, 4]).standardDeviation // => 1.291
 */
export const summaryFigures = checked('summaryFigures', (values: NumberColumn): SummaryFigures => {
  requireFinite('values', values)
  const n = values.length
  if (n === 0) {
    throw new NumericalError({
      code: 'no-values',
      problem: 'the column is empty.',
      expected: 'at least one value.',
      mend: 'leave the group out.',
    })
  }
  const mean = meanOf(values)
  const standardDeviation = n === 1 ? 0 : standardDeviationOf(values)
  return Object.freeze({ n, mean, standardDeviation })
})

/**
 * Difference of the means of two independent groups, the group's less the reference's, from number, mean and
 * standard deviation alone: Welch's t, or Student's with a common variance.
 *
 * @param group n, mean and standard deviation of the group (of a column: `summaryFigures`)
 * @param against the same of the reference
 * @param options level (0.95), variances ('unequal'), comparator
 * @returns frozen contrast with its t test; tagged where a variance cannot be estimated or both are 0
 * @throws NumericalError `not-a-count`, `not-an-amount`, `not-finite`, `level-out-of-range`
 * Sources: Student 1908; Welch 1947; Satterthwaite 1946.
 * @example meanDifference({ n: 9, mean: 38.1, standardDeviation: 16 }, { n: 8, mean: 32.8, standardDeviation: 1.1 }).pValue // => 0.3504
 */
export const meanDifference = checked(
  'meanDifference',
  (group: SummaryFigures, against: SummaryFigures, options: MeanOptions = {}): MeanContrast => {
    const { level = 0.95, variances = 'unequal', comparator = unnamedGroups } = options
    requireSummary(group)
    requireSummary(against)
    requireLevel(level)
    const { error, degreesOfFreedom } = differenceError(group, against, variances)
    const n = group.n + against.n
    return contrastOf(group.mean - against.mean, error, degreesOfFreedom, level, {
      method: variances === 'equal' ? methodOf('student-t', 'common-variance') : methodOf('welch-t'),
      n,
      comparator: { group: comparator.group, against: comparator.against },
    })
  },
)

/**
 * Mean of paired differences, first less second, with the paired t test.
 *
 * @param first values of the first of each pair
 * @param second values of the second of each pair
 * @param options level (0.95), comparator
 * @throws NumericalError `unequal-length`, `not-finite`, `no-values`, `level-out-of-range`
 * Source: Student 1908.
 * @example pairedMeanDifference([1, 2, 4], [0, 2, 1]).estimate // => 1.3333
 */
export const pairedMeanDifference = checked(
  'pairedMeanDifference',
  (first: NumberColumn, second: NumberColumn, options: Omit<MeanOptions, 'variances'> = {}): MeanContrast => {
    const { level = 0.95, comparator = unnamedGroups } = options
    requireSameLength({ first, second })
    requireFinite('first', first)
    requireFinite('second', second)
    requireLevel(level)
    const { n, mean, standardDeviation } = summaryFigures(
      Float64Array.from(first, (value, i) => value - second[i]!),
    )
    return contrastOf(mean, standardDeviation / Math.sqrt(n), n - 1, level, {
      method: methodOf('paired-t'),
      n,
      comparator: { group: comparator.group, against: comparator.against },
    })
  },
)

/** Standard error of a difference of means and its degrees of freedom; NaN where a variance is unknown. */
export function differenceError(
  group: SummaryFigures,
  against: SummaryFigures,
  variances: 'unequal' | 'equal',
): { readonly error: number; readonly degreesOfFreedom: number } {
  const [n1, n2] = [group.n, against.n]
  const [s1, s2] = [group.standardDeviation, against.standardDeviation]
  if (variances === 'equal') {
    const degreesOfFreedom = n1 + n2 - 2
    const pooled = Math.hypot(Math.sqrt(n1 - 1) * s1, Math.sqrt(n2 - 1) * s2) / Math.sqrt(degreesOfFreedom)
    return { error: pooled * Math.sqrt(1 / n1 + 1 / n2), degreesOfFreedom }
  }
  const [e1, e2] = [s1 / Math.sqrt(n1), s2 / Math.sqrt(n2)]
  const error = Math.hypot(e1, e2)
  const [r1, r2] = [(e1 / error) ** 2, (e2 / error) ** 2]
  return {
    error: n1 > 1 && n2 > 1 ? error : Number.NaN,
    degreesOfFreedom: 1 / ((r1 * r1) / (n1 - 1) + (r2 * r2) / (n2 - 1)),
  }
}

function contrastOf(
  difference: number,
  error: number,
  degreesOfFreedom: number,
  level: number,
  names: { readonly method: MethodName; readonly n: number; readonly comparator: ContrastNames },
): MeanContrast {
  const common = {
    level,
    events: names.n,
    clusters: names.n,
    warnings: [],
    reference: 'means',
    ...names,
  }
  if (!(error > 0) || !(degreesOfFreedom > 0)) {
    const reason = error === 0 ? 'values-do-not-vary' : 'group-too-small-for-variance'
    const none = notEstimable(reason)
    const estimate = Number.isFinite(difference) ? difference : notEstimable('group-empty')
    return deepFreeze({
      ...common,
      estimate,
      interval: noInterval(reason),
      statistic: none,
      degreesOfFreedom: none,
      pValue: none,
    })
  }
  const half = -studentTQuantile((1 - level) / 2, degreesOfFreedom) * error
  const statistic = difference / error
  return deepFreeze({
    ...common,
    estimate: difference,
    interval: { lower: difference - half, upper: difference + half },
    standardError: { value: error, scale: 'difference of means' },
    statistic,
    degreesOfFreedom,
    pValue: 2 * studentTUpperTail(Math.abs(statistic), degreesOfFreedom),
  })
}

/** Refuses figures that no group can have. */
export function requireSummary({ n, mean, standardDeviation }: SummaryFigures): void {
  requireCount('n', n)
  requireFinite('mean', [mean])
  requireAmount('standardDeviation', standardDeviation)
}
