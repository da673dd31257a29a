import { coxRegression } from '../../statistics/hazardModels/cox.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { coefficientAnswers, coxOptionsOf } from './cox.js'
import { columnsNamed, riskSetModel } from './riskSetModel.js'

export const recurrentRegressionMethods: Readonly<Record<string, ReferenceMethod>> = {
  'recurrent.models': models,
  'recurrent.marginal': models,
}

/** Every model that the options name, under its name. */
function models(reference: ReferenceCase): unknown {
  const named = Object.entries(columnsNamed(reference.options.models))
  return Object.fromEntries(
    named.map(([name, columns]) => [name, oneModel(reference, name, columnsNamed(columns))]),
  )
}

function oneModel(
  reference: ReferenceCase,
  name: string,
  columns: Readonly<Record<string, unknown>>,
): unknown {
  const model = riskSetModel(reference, columns)
  const stated = columns.ties ?? reference.options.ties
  const ties = stated ?? (name.includes('breslow') ? 'breslow' : 'efron')
  const options = coxOptionsOf(reference, model, ties)
  const fit = coxRegression(model.times, model.covariates, { ...options, variance: 'robust' })
  return {
    ties: fit.ties,
    ...coefficientAnswers(fit),
    loglik: fit.logLikelihood,
    loglik_null: fit.logLikelihoodAtZero,
    n: fit.n,
    n_event: fit.events,
    warnings: fit.warnings,
  }
}
