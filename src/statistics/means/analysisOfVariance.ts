import { NumericalError } from '../../core/errors.js'
import type { Quantity } from '../../core/estimate.js'
import { isNumber, notEstimable, quantityOf } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import { compensatedSum, type NumberColumn, requireFinite, requireSameLength } from '../numeric/columns.js'
import { fUpperTail } from '../numeric/distributions.js'
import { meanOf, squaresAboutMean } from './summary.js'

/** Split of the squares about the mean into those between groups and those within. */
export interface AnalysisOfVariance {
  readonly betweenSumOfSquares: number
  readonly withinSumOfSquares: number
  readonly betweenDegreesOfFreedom: number
  readonly withinDegreesOfFreedom: number
  readonly betweenMeanSquare: number
  readonly withinMeanSquare: Quantity
  readonly fStatistic: Quantity
  readonly pValue: Quantity
  /** Share of the squares that lies between groups. */
  readonly rSquared: Quantity
  readonly residualStandardDeviation: Quantity
  readonly groups: readonly { readonly group: string; readonly n: number; readonly mean: number }[]
  readonly n: number
  readonly method: MethodName
  readonly reference: string
}

/**
 * Compares the means of groups by one-way analysis of variance; rows independent, one variance for all groups.
 *
 * @param values finite measurements
 * @param groups group of every row
 * @throws NumericalError `unequal-length`, `not-finite`, `one-group`
 * @see Fisher (1925); sums about means of their own, so that a large common value costs no digits
 * @example oneWayAnalysisOfVariance([1, 2, 3, 3, 4, 5], ['a', 'a', 'a', 'b', 'b', 'b']).fStatistic // => 6
 */
export const oneWayAnalysisOfVariance = checked(
  'oneWayAnalysisOfVariance',
  (values: NumberColumn, groups: CodeColumn): AnalysisOfVariance => {
    requireSameLength({ values, groups })
    requireFinite('values', values)
    const columns = new Map<string, number[]>()
    for (let row = 0; row < values.length; row++) {
      const group = String(groups[row])
      const column = columns.get(group)
      if (column === undefined) columns.set(group, [values[row]!])
      else column.push(values[row]!)
    }
    if (columns.size < 2) throw oneGroup()
    const described = Array.from(columns, ([group, column]) => ({
      group,
      n: column.length,
      mean: meanOf(column),
    }))
    const within = compensatedSum(Array.from(columns.values(), squaresAboutMean))
    const grand = meanOf(values)
    const between = compensatedSum(described.map((one) => one.n * (one.mean - grand) ** 2))
    const betweenDegrees = columns.size - 1
    const spare = values.length - columns.size
    const noSpare = notEstimable('no-group-repeats')
    const withinMean = spare > 0 ? within / spare : noSpare
    const fStatistic = isNumber(withinMean)
      ? quantityOf(between / betweenDegrees / withinMean, 'values-do-not-vary')
      : noSpare
    return deepFreeze({
      betweenSumOfSquares: between,
      withinSumOfSquares: within,
      betweenDegreesOfFreedom: betweenDegrees,
      withinDegreesOfFreedom: spare,
      betweenMeanSquare: between / betweenDegrees,
      withinMeanSquare: withinMean,
      fStatistic,
      pValue: isNumber(fStatistic)
        ? fUpperTail(fStatistic, betweenDegrees, spare)
        : notEstimable('no-finite-f'),
      rSquared: quantityOf(between / (between + within), 'values-do-not-vary'),
      residualStandardDeviation: isNumber(withinMean) ? Math.sqrt(withinMean) : noSpare,
      groups: described,
      n: values.length,
      method: methodOf('one-way-analysis-of-variance'),
      reference: 'summary-statistics',
    })
  },
)

function oneGroup(): NumericalError {
  return new NumericalError({
    code: 'one-group',
    problem: 'all rows belong to one group.',
    expected: 'at least two groups to compare.',
    mend: 'check the column of groups.',
  })
}
