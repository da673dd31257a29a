import { type Contrast, noInterval, notEstimable, type Quantity } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { fCdf, fQuantile, fUpperTail } from '../numeric/distributions.js'
import { type ContrastNames, unnamedGroups } from '../proportions/twoProportions.js'
import { requireSummary, type SummaryFigures } from './means.js'

/** Ratio of two variances with its F test. */
export interface VarianceRatio extends Contrast {
  readonly statistic: Quantity
  readonly degreesOfFreedom: Quantity
  readonly denominatorDegreesOfFreedom: Quantity
  /** Two-sided: twice the smaller tail. */
  readonly pValue: Quantity
}

/**
 * Ratio of the variances of two independent normal groups, the group's over the reference's, with the F interval and
 * test. Sensitive to departures from the normal distribution.
 *
 * @param group n and standard deviation of the group
 * @param against the same of the reference
 * @param options level (0.95), comparator
 * @throws NumericalError `not-a-count`, `not-an-amount`, `not-finite`, `level-out-of-range`
 * Source: Fisher 1924; Snedecor 1934.
 * @example varianceRatio({ n: 9, mean: 38.1, standardDeviation: 16 }, { n: 8, mean: 32.8, standardDeviation: 1.1 }).estimate // => 211.57
 */
export const varianceRatio = checked(
  'varianceRatio',
  (
    group: SummaryFigures,
    against: SummaryFigures,
    options: { readonly level?: number; readonly comparator?: ContrastNames } = {},
  ): VarianceRatio => {
    const { level = 0.95, comparator = unnamedGroups } = options
    requireSummary(group)
    requireSummary(against)
    requireLevel(level)
    const n = group.n + against.n
    const names = {
      level,
      method: methodOf('f'),
      n,
      events: n,
      clusters: n,
      warnings: [],
      comparator: { group: comparator.group, against: comparator.against },
      reference: 'variance-ratio',
    }
    const ratio = (group.standardDeviation / against.standardDeviation) ** 2
    const [df1, df2] = [group.n - 1, against.n - 1]
    if (!(ratio > 0 && Number.isFinite(ratio)) || df1 < 1 || df2 < 1) {
      const reason = df1 < 1 || df2 < 1 ? 'group-too-small-for-variance' : 'group-does-not-vary'
      const none = notEstimable(reason)
      const tests = {
        statistic: none,
        degreesOfFreedom: none,
        denominatorDegreesOfFreedom: none,
        pValue: none,
      }
      return deepFreeze({ ...names, ...tests, estimate: none, interval: noInterval(reason) })
    }
    const tail = (1 - level) / 2
    return deepFreeze({
      ...names,
      estimate: ratio,
      interval: { lower: ratio * fQuantile(tail, df2, df1), upper: ratio / fQuantile(tail, df1, df2) },
      statistic: ratio,
      degreesOfFreedom: df1,
      denominatorDegreesOfFreedom: df2,
      pValue: Math.min(1, 2 * Math.min(fUpperTail(ratio, df1, df2), fCdf(ratio, df1, df2))),
    })
  },
)
