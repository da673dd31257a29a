import { NumericalError } from '../../core/errors.js'
import { checked } from '../kernel/checked.js'
import { asDoubles, type NumberColumn, requireFinite } from './columns.js'

/** Quantiles at which knots stand by default, by their number (Harrell 2015, table 2.3). */
const knotQuantiles: Readonly<Record<number, readonly number[]>> = {
  3: [0.1, 0.5, 0.9],
  4: [0.05, 0.35, 0.65, 0.95],
  5: [0.05, 0.275, 0.5, 0.725, 0.95],
  6: [0.05, 0.23, 0.41, 0.59, 0.77, 0.95],
  7: [0.025, 0.1833, 0.3417, 0.5, 0.6583, 0.8167, 0.975],
}

/**
 * Knots of a restricted cubic spline at quantiles of a column, linearly interpolated between ordered values.
 *
 * @param count number of knots, 3 to 7; default 4
 * @throws NumericalError `too-few-values` where the quantiles coincide; `bad-knots` for another number
 * @example splineKnots([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11], 3).join() // => "2,6,10"
 */
export const splineKnots = checked('splineKnots', (values: NumberColumn, count = 4): readonly number[] => {
  const quantiles = knotQuantiles[count]
  if (quantiles === undefined) throw badKnots('3 to 7 knots.')
  requireFinite('values', values)
  const sorted = Float64Array.from(values).sort()
  const knots = quantiles.map((quantile) => {
    const position = quantile * (sorted.length - 1)
    const below = Math.floor(position)
    const above = Math.min(below + 1, sorted.length - 1)
    return sorted[below]! + (position - below) * (sorted[above]! - sorted[below]!)
  })
  if (!ascending(knots)) throw tooFewValues(count)
  return Object.freeze(knots)
})

/**
 * Basis of a restricted (natural) cubic spline: the value itself and one column less than the inner knots ask for, each
 * cubic between knots and linear beyond the outer ones. Columns are divided by the squared distance of the outer
 * knots, so that all have the unit of the value (Stone and Koo 1985; Harrell 2015, section 2.4.5). They span the
 * natural cubic splines with these knots.
 *
 * @param knots at least 3, ascending
 * @returns knots.length − 1 columns, the value first
 * @throws NumericalError `bad-knots`, `not-finite`
 * @example restrictedCubicSpline([0, 1, 2, 3], [0, 1, 2])[1].join() // => "0,0.25,1.5,3"
 */
export const restrictedCubicSpline = checked(
  'restrictedCubicSpline',
  (values: NumberColumn, knots: readonly number[]): readonly Float64Array[] => {
    if (knots.length < 3 || !ascending(knots)) throw badKnots('at least 3 knots in ascending order.')
    requireFinite('values', values)
    const column = asDoubles(values)
    const last = knots[knots.length - 1]!
    const inner = knots[knots.length - 2]!
    const unit = (last - knots[0]!) ** 2
    const cubed = (value: number, knot: number): number => (value > knot ? (value - knot) ** 3 : 0)
    const curved = knots.slice(0, -2).map((knot) =>
      column.map((value) => {
        const atInner = (cubed(value, inner) * (last - knot)) / (last - inner)
        const atLast = (cubed(value, last) * (inner - knot)) / (last - inner)
        return (cubed(value, knot) - atInner + atLast) / unit
      }),
    )
    return [column.slice(), ...curved]
  },
)

/**
 * The same basis as covariates of a regression: `name` itself, then `name curve 1` and so on.
 *
 * @example Object.keys(splineCovariates('wait', [0, 1, 2, 3], [0, 1, 2])).join() // => "wait,wait curve 1"
 */
export const splineCovariates = checked(
  'splineCovariates',
  (name: string, values: NumberColumn, knots: readonly number[]): Readonly<Record<string, Float64Array>> => {
    return Object.freeze(
      Object.fromEntries(
        restrictedCubicSpline(values, knots).map((column, i) => [splineColumnName(name, i), column]),
      ),
    )
  },
)

/** Name of a column of a spline: the value itself first. */
export function splineColumnName(name: string, index: number): string {
  return index === 0 ? name : `${name} curve ${index}`
}

function ascending(knots: readonly number[]): boolean {
  return knots.every((knot, i) => Number.isFinite(knot) && (i === 0 || knot > knots[i - 1]!))
}

function badKnots(expected: string): NumericalError {
  return new NumericalError({
    code: 'bad-knots',
    problem: 'a spline cannot be made of these knots.',
    expected,
    mend: 'let splineKnots choose them, or give them in ascending order.',
  })
}

function tooFewValues(count: number): NumericalError {
  return new NumericalError({
    code: 'too-few-values',
    problem: `the values are too few, or too often the same, for ${count} knots.`,
    expected: 'values that differ at the quantiles where knots stand.',
    mend: 'use fewer knots, or a straight line.',
  })
}
