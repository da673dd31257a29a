import { oneWayAnalysisOfVariance } from '../../statistics/means/analysisOfVariance.js'
import { summariseColumn } from '../../statistics/means/summary.js'
import type { Covariates } from '../../statistics/regression/design.js'
import { linearRegression } from '../../statistics/regression/linear.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { byName, textList } from './regressionModel.js'

/** Certified reference data sets: summaries, one-way analysis of variance and linear least squares. */
export const strdMethods: Readonly<Record<string, ReferenceMethod>> = {
  'summary.univariate': univariate,
  'anova.one_way': oneWay,
  'linear.least_squares': leastSquares,
}

interface StrdModel {
  readonly response?: string
  readonly group?: string
  readonly covariates?: readonly string[]
  readonly polynomial?: { readonly column: string; readonly degree: number }
  readonly intercept?: boolean
}

function modelOf(reference: ReferenceCase): StrdModel {
  return (reference.options.model ?? {}) as StrdModel
}

function univariate(reference: ReferenceCase): unknown {
  const summary = summariseColumn(reference.table().numbers(String(modelOf(reference).response)))
  return {
    n: summary.n,
    mean: summary.mean,
    standard_deviation: summary.standardDeviation,
    autocorrelation_lag1: summary.autocorrelation,
  }
}

function oneWay(reference: ReferenceCase): unknown {
  const { response, group } = modelOf(reference)
  const table = reference.table()
  const split = oneWayAnalysisOfVariance(table.numbers(String(response)), table.texts(String(group)))
  return {
    between: {
      df: split.betweenDegreesOfFreedom,
      sum_of_squares: split.betweenSumOfSquares,
      mean_square: split.betweenMeanSquare,
    },
    within: {
      df: split.withinDegreesOfFreedom,
      sum_of_squares: split.withinSumOfSquares,
      mean_square: split.withinMeanSquare,
    },
    F: split.fStatistic,
    r_squared: split.rSquared,
    residual_sd: split.residualStandardDeviation,
  }
}

function leastSquares(reference: ReferenceCase): unknown {
  const model = modelOf(reference)
  const response = reference.table().numbers(String(model.response))
  const fit = linearRegression(response, covariatesOf(reference, model), {
    intercept: model.intercept ?? true,
  })
  return {
    coef: byName(fit.coefficients, (i) => fit.coefficients[i]!.estimate),
    se: byName(fit.coefficients, (i) => fit.coefficients[i]!.standardError),
    residual_sd: fit.residualStandardDeviation,
    r_squared: fit.rSquared,
    df_residual: fit.residualDegreesOfFreedom,
  }
}

/** Columns as they are, or the powers of one column named x, x^2, x^3 … */
function covariatesOf(reference: ReferenceCase, model: StrdModel): Covariates {
  const table = reference.table()
  const { polynomial } = model
  if (polynomial === undefined) {
    return Object.fromEntries(textList(model.covariates).map((name) => [name, table.numbers(name)]))
  }
  const base = table.numbers(polynomial.column)
  return Object.fromEntries(
    Array.from({ length: polynomial.degree }, (_, k) => [
      k === 0 ? polynomial.column : `${polynomial.column}^${k + 1}`,
      base.map((x) => x ** (k + 1)),
    ]),
  )
}
