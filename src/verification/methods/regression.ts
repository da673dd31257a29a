import { conditionalLogisticRegression } from '../../statistics/regression/conditionalLogistic.js'
import { estimatingEquations } from '../../statistics/regression/estimatingEquations.js'
import {
  type FirthLogisticOptions,
  firthLogisticRegression,
} from '../../statistics/regression/firthLogistic.js'
import type {
  GeneralisedLinearFit,
  GeneralisedLinearOptions,
} from '../../statistics/regression/generalisedLinear.js'
import { logisticRegression } from '../../statistics/regression/logistic.js'
import { negativeBinomialRegression } from '../../statistics/regression/negativeBinomial.js'
import { poissonRegression } from '../../statistics/regression/poisson.js'
import { thetaInformation, thetaScore } from '../../statistics/regression/theta.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { byName, type RegressionModel, referenceName, regressionModel } from './regressionModel.js'

export const regressionMethods: Readonly<Record<string, ReferenceMethod>> = {
  'regression.logistic': (reference) => generalisedLinear(reference, logisticRegression),
  'regression.poisson': (reference) => generalisedLinear(reference, poissonRegression),
  'regression.negative_binomial': negativeBinomial,
  'regression.estimating_equations': equations,
  'regression.firth_logistic': firthLogistic,
  'regression.conditional_logistic': conditionalLogistic,
}

type Fitter = (
  response: Float64Array,
  covariates: RegressionModel['covariates'],
  options: GeneralisedLinearOptions,
) => GeneralisedLinearFit

/** Every figure that the cases of generalised linear models ask for, one fit for each variance. */
function generalisedLinear(reference: ReferenceCase, fitter: Fitter): object {
  const model = regressionModel(reference)
  const fitted = (options: GeneralisedLinearOptions): GeneralisedLinearFit =>
    fitter(model.response, model.covariates, { ...optionsOf(model, reference), ...options })
  const errors = (options: GeneralisedLinearOptions): unknown => standardErrors(fitted(options))
  const plain = fitted({})
  const clusters = model.clusters
  return {
    n: plain.n,
    coef: byName(plain.coefficients, (i) => plain.coefficients[i]!.estimate),
    se_model: standardErrors(plain),
    deviance: plain.deviance,
    null_deviance: plain.nullDeviance,
    df_residual: plain.residualDegreesOfFreedom,
    loglik: plain.logLikelihood,
    aic: plain.akaike,
    pearson_chisq: plain.pearsonChiSquare,
    pearson_dispersion: plain.dispersion,
    se_quasi: errors({ variance: 'over-dispersed' }),
    se_HC0: errors({ variance: 'robust' }),
    se_HC1: errors({ variance: 'robust', smallSample: 'clusters-and-coefficients' }),
    ...(clusters !== undefined && {
      se_CR0: errors({ cluster: clusters }),
      se_CR0_G_over_G_minus_1: errors({ cluster: clusters, smallSample: 'clusters' }),
      se_CR1: errors({ cluster: clusters, smallSample: 'clusters-and-coefficients' }),
      n_clusters: fitted({ cluster: clusters }).clusters,
    }),
    warnings: plain.warnings,
    converged: plain.converged,
  }
}

/** The standard error of theta is the one that the reference software prints, a step before the end. */
function negativeBinomial(reference: ReferenceCase): unknown {
  const model = regressionModel(reference)
  const fit = negativeBinomialRegression(model.response, model.covariates, optionsOf(model, reference))
  return {
    ...generalisedLinear(reference, negativeBinomialRegression),
    theta: fit.theta,
    alpha_1_over_theta: fit.alpha,
    se_theta: errorBeforeLastStep(model.response, fit.fittedMeans),
  }
}

/**
 * Standard error of theta as common software prints it, which iterates from the moment estimate until a step is
 * below the fourth root of the machine precision, and takes the information one step before the end. The toolkit's
 * own figure is taken at the estimate and differs in the sixth digit.
 */
function errorBeforeLastStep(counts: Float64Array, means: readonly number[]): number {
  const weights = new Float64Array(counts.length).fill(1)
  const fitted = { counts, means, weights }
  let theta = counts.length / counts.reduce((sum, count, row) => sum + (count / means[row]! - 1) ** 2, 0)
  for (let iteration = 0; iteration < 100; iteration++) {
    const information = thetaInformation(fitted, theta)
    const step = thetaScore(fitted, theta) / information
    if (Math.abs(step) <= Number.EPSILON ** 0.25) return 1 / Math.sqrt(information)
    theta = Math.abs(theta + step)
  }
  return Number.NaN
}

function firthLogistic(reference: ReferenceCase): unknown {
  const model = regressionModel(reference)
  const { coefficients, ...fit } = firthLogisticRegression(
    model.response,
    model.covariates,
    firthOptionsOf(model, reference),
  )
  return {
    names: coefficients.map((one) => referenceName(one.name)),
    coef: coefficients.map((one) => one.estimate),
    se: coefficients.map((one) => one.standardError),
    penalised_loglik: fit.penalisedLogLikelihood,
    profile_ci: coefficients.map((one) => [one.interval.lower, one.interval.upper]),
    profile_p: coefficients.map((one) => one.pValue),
    warnings: fit.warnings,
    converged: fit.converged,
  }
}

function conditionalLogistic(reference: ReferenceCase): unknown {
  const model = regressionModel(reference)
  const { interactions, level } = optionsOf(model, reference)
  const asked = String(reference.options.method ?? 'exact')
  const fit = conditionalLogisticRegression(model.response, model.covariates, model.strata ?? [], {
    likelihood: asked === 'breslow' || asked === 'efron' ? asked : 'exact',
    ...(interactions !== undefined && { interactions }),
    ...(level !== undefined && { level }),
  })
  return {
    coef: byName(fit.coefficients, (i) => fit.coefficients[i]!.estimate),
    se: byName(fit.coefficients, (i) => fit.coefficients[i]!.standardError),
    loglik: fit.logLikelihood,
    loglik_null: fit.logLikelihoodAtZero,
    warnings: fit.warnings,
    converged: fit.converged,
  }
}

/** Both working correlations; the family is told by the words of the method. */
function equations(reference: ReferenceCase): unknown {
  const model = regressionModel(reference)
  const { offset, interactions, level } = optionsOf(model, reference)
  const told = `${reference.method} ${String(reference.options.family ?? '')}`
  const kind = /poisson|count|rate/i.test(told) ? 'poisson' : 'logistic'
  const solved = (correlation: 'independence' | 'exchangeable'): unknown => {
    const fit = estimatingEquations(model.response, model.covariates, model.clusters ?? [], {
      model: kind,
      correlation,
      ...(offset !== undefined && { offset }),
      ...(interactions !== undefined && { interactions }),
      ...(level !== undefined && { level }),
    })
    return {
      coef: byName(fit.coefficients, (i) => fit.coefficients[i]!.estimate),
      se_robust: byName(fit.coefficients, (i) => fit.coefficients[i]!.standardError),
      se_naive: byName(fit.coefficients, (i) => fit.modelStandardErrors[i]!),
      alpha: correlation === 'independence' ? [] : fit.withinClusterCorrelation,
      scale_gamma: fit.scale,
      warnings: fit.warnings,
    }
  }
  return { independence: solved('independence'), exchangeable: solved('exchangeable') }
}

/** Options that every fit of a case shares. */
function optionsOf(model: RegressionModel, reference: ReferenceCase): GeneralisedLinearOptions {
  const level = reference.options.conf
  return {
    interactions: model.interactions,
    ...(model.offset !== undefined && { offset: model.offset }),
    ...(model.weights !== undefined && { weights: model.weights }),
    ...(typeof level === 'number' && { level }),
  }
}

function firthOptionsOf(model: RegressionModel, reference: ReferenceCase): FirthLogisticOptions {
  const {
    variance: _variance,
    smallSample: _factor,
    intercept: _constant,
    ...options
  } = optionsOf(model, reference)
  return options
}

function standardErrors(fit: GeneralisedLinearFit): unknown {
  return byName(fit.coefficients, (i) => fit.coefficients[i]!.standardError)
}
