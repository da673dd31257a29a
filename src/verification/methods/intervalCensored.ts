import { intervalCensoredSurvival } from '../../statistics/intervalCensored/intervalCensored.js'
import type { IntervalTimes } from '../../statistics/intervalCensored/intervalTimes.js'
import { type LifetimeDistribution, parametricRegression } from '../../statistics/regression/parametric.js'
import type { ReferenceCase, ReferenceMethod, ReferenceTable } from '../referenceCase.js'
import { byName, textList } from './regressionModel.js'
import { columnsNamed, tableOf } from './riskSetModel.js'

export const intervalCensoredMethods: Readonly<Record<string, ReferenceMethod>> = {
  'interval_censored.nonparametric': nonparametric,
  'interval_censored.parametric': parametric,
}

/** Names of the ends of the interval that tables use, where the options name none of their columns. */
const usualNames = { lower: ['left', 'lower', 'L', 'l'], upper: ['right', 'upper', 'R', 'r'] }

function nonparametric(reference: ReferenceCase): unknown {
  const { times, weights } = intervalColumns(reference, [])
  const fit = intervalCensoredSurvival(times, weights === undefined ? {} : { weights })
  return {
    interval_left: fit.intervals.map((one) => one.lower),
    interval_right: fit.intervals.map((one) => one.upper),
    mass: fit.intervals.map((one) => one.mass),
    survival_after: fit.intervals.map((one) => one.survivalAfter),
    loglik: fit.logLikelihood,
    loglik_second_program: fit.logLikelihood,
    warnings: fit.warnings,
  }
}

function parametric(reference: ReferenceCase): unknown {
  const names = textList(columnsNamed(reference.options.model).covariates)
  const { times, table, rows } = intervalColumns(reference, names)
  const categorical = textList(columnsNamed(reference.options.model).categorical)
  const covariates = Object.fromEntries(
    names.map((name) => [
      name,
      categorical.includes(name) || !table.isNumeric(name)
        ? rows.map((row) => table.texts(name)[row]!)
        : rows.map((row) => table.numbers(name)[row]!),
    ]),
  )
  const distributions: readonly LifetimeDistribution[] = [
    'exponential',
    'weibull',
    'log-logistic',
    'log-normal',
  ]
  return Object.fromEntries(
    distributions.map((distribution) => {
      const fit = parametricRegression(times, covariates, distribution)
      const errors = fit.coefficients.map((one) => one.standardError)
      return [
        distribution.replace('-', ''),
        {
          coef: byName(fit.coefficients, (j) => fit.coefficients[j]!.estimate),
          scale: fit.scale,
          log_scale: fit.logScale,
          se: distribution === 'exponential' ? errors : [...errors, fit.logScaleStandardError],
          loglik: fit.logLikelihood,
          loglik_null: fit.logLikelihoodAtNull,
        },
      ]
    }),
  )
}

/** Intervals of rows in which nothing but the upper end is missing; a missing lower end is 0. */
function intervalColumns(
  reference: ReferenceCase,
  needed: readonly string[],
): {
  readonly times: IntervalTimes
  readonly weights: Float64Array | undefined
  readonly table: ReferenceTable
  readonly rows: readonly number[]
} {
  const table = tableOf(reference)
  const named = columnsNamed(columnsNamed(reference.options.model).interval)
  const lowerName = endName(table, named.lower ?? named.left, usualNames.lower)
  const upperName = endName(table, named.upper ?? named.right, usualNames.upper)
  const weightName = textList(columnsNamed(reference.options.model).weights ?? reference.options.weights)[0]
  const rows = Array.from({ length: table.rowCount }, (_, row) => row).filter((row) =>
    needed.every((name) => table.texts(name)[row] !== ''),
  )
  const column = (name: string, missing: number): number[] => {
    const numbers = table.numbers(name)
    return rows.map((row) => (Number.isNaN(numbers[row]!) ? missing : numbers[row]!))
  }
  return {
    times: { lower: column(lowerName, 0), upper: column(upperName, Number.POSITIVE_INFINITY) },
    weights:
      weightName !== undefined && table.names.includes(weightName)
        ? Float64Array.from(column(weightName, 0))
        : undefined,
    table,
    rows,
  }
}

function endName(table: ReferenceTable, stated: unknown, usual: readonly string[]): string {
  if (typeof stated === 'string' && table.names.includes(stated)) return stated
  return usual.find((name) => table.names.includes(name)) ?? String(stated)
}
