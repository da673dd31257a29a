import { estimatingEquations } from '../../statistics/regression/estimatingEquations.js'
import type {
  GeneralisedLinearFit,
  GeneralisedLinearOptions,
} from '../../statistics/regression/generalisedLinear.js'
import { logisticRegression } from '../../statistics/regression/logistic.js'
import { poissonRegression } from '../../statistics/regression/poisson.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { byName, type RegressionModel, regressionModel } from './regressionModel.js'

export const regressionMethods: Readonly<Record<string, ReferenceMethod>> = {
  'regression.logistic': (reference) => generalisedLinear(reference, logisticRegression),
  'regression.poisson': (reference) => generalisedLinear(reference, poissonRegression),
  'regression.estimating_equations': equations,
}

type Fitter = (
  response: Float64Array,
  covariates: RegressionModel['covariates'],
  options: GeneralisedLinearOptions,
) => GeneralisedLinearFit

/** Every figure that the cases of generalised linear models ask for, one fit for each variance. */
function generalisedLinear(reference: ReferenceCase, fitter: Fitter): unknown {
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
      se_CR0: errors({ clusters }),
      se_CR0_G_over_G_minus_1: errors({ clusters, smallSample: 'clusters' }),
      se_CR1: errors({ clusters, smallSample: 'clusters-and-coefficients' }),
      n_clusters: fitted({ clusters }).clusters,
    }),
    warnings: plain.warnings,
    converged: plain.converged,
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
export function optionsOf(model: RegressionModel, reference: ReferenceCase): GeneralisedLinearOptions {
  const level = reference.options.conf
  return {
    interactions: model.interactions,
    ...(model.offset !== undefined && { offset: model.offset }),
    ...(model.weights !== undefined && { weights: model.weights }),
    ...(typeof level === 'number' && { level }),
  }
}

function standardErrors(fit: GeneralisedLinearFit): unknown {
  return byName(fit.coefficients, (i) => fit.coefficients[i]!.standardError)
}
