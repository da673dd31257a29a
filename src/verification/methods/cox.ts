import type { Quantity } from '../../core/estimate.js'
import { coxConcordance } from '../../statistics/hazardModels/concordance.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import type { CoxOptions } from '../../statistics/hazardModels/coxOptions.js'
import { coxResiduals } from '../../statistics/hazardModels/coxResiduals.js'
import type { CoxFit, HazardRatio } from '../../statistics/hazardModels/coxResult.js'
import { firthCoxRegression, logLimit } from '../../statistics/hazardModels/firth.js'
import { frailtyRegression } from '../../statistics/hazardModels/frailty.js'
import {
  cumulativeHazardAt,
  predictedHazard,
  type StratumHazard,
} from '../../statistics/hazardModels/predictedHazard.js'
import { proportionalHazardsTest } from '../../statistics/hazardModels/proportionalHazards.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { textList } from './regressionModel.js'
import { columnsNamed, type RiskSetModel, riskSetModel, tableOf } from './riskSetModel.js'

export const coxMethods: Readonly<Record<string, ReferenceMethod>> = {
  cox,
  'cox.firth': firth,
  'cox.frailty': frailty,
}

function cox(reference: ReferenceCase): unknown {
  const model = riskSetModel(reference, columnsNamed(reference.options.model))
  const options = coxOptionsOf(reference, model)
  const fit = coxRegression(model.times, model.covariates, options)
  const answers = {
    n: fit.n,
    n_event: fit.events,
    ...coefficientAnswers(fit),
    vcov: fit.covariance,
    loglik_null: fit.logLikelihoodAtZero,
    loglik: fit.logLikelihood,
    lr_chisq: fit.likelihoodRatioTest.statistic,
    wald_chisq: fit.waldTest.statistic,
    score_chisq: fit.scoreTest.statistic,
    df: fit.likelihoodRatioTest.degreesOfFreedom,
    lr_p: fit.likelihoodRatioTest.pValue,
    robust_score_chisq: robustScore(fit),
    warnings: fit.warnings,
  }
  return options.ties === 'exact' ? answers : { ...answers, ...diagnosticAnswers(reference, model, options) }
}

/** Options of the fit that a case describes; the reference software refers to the normal whatever the clusters. */
export function coxOptionsOf(
  reference: ReferenceCase,
  model: RiskSetModel,
  ties: unknown = reference.options.ties,
): CoxOptions {
  const { conf } = reference.options
  const word = typeof ties === 'string' ? ties.trim().split(/[\s(,;]/)[0] : 'efron'
  return {
    ties: word === 'breslow' || word === 'exact' ? word : 'efron',
    fewClusters: 'normal',
    ...(typeof conf === 'number' ? { level: conf } : {}),
    ...(model.robust ? { variance: 'robust' as const } : {}),
    ...(model.strata === undefined ? {} : { strata: model.strata }),
    ...(model.weights === undefined ? {} : { weights: model.weights }),
    ...(model.offset === undefined ? {} : { offset: model.offset }),
    ...(model.clusters === undefined ? {} : { cluster: model.clusters }),
  }
}

/** Coefficients and hazard ratios by name. */
export function coefficientAnswers(fit: CoxFit): Readonly<Record<string, unknown>> {
  const named = (read: (one: HazardRatio) => Quantity | undefined): Readonly<Record<string, unknown>> =>
    Object.fromEntries(fit.hazardRatios.map((one) => [one.name, read(one)]))
  return {
    coef: named((one) => one.logHazardRatio),
    se_model: named((one) => one.modelStandardError),
    se_naive: named((one) => one.modelStandardError),
    se_robust: named((one) => one.robustStandardError),
    hr: named((one) => one.estimate),
    hr_lower: named((one) => one.interval.lower),
    hr_upper: named((one) => one.interval.upper),
  }
}

/** The reference files give the statistic of a single covariate as a matrix of one entry. */
function robustScore(fit: CoxFit): unknown {
  const statistic = fit.robustScoreTest?.statistic
  return fit.hazardRatios.length === 1 ? [[statistic]] : statistic
}

function diagnosticAnswers(reference: ReferenceCase, model: RiskSetModel, options: CoxOptions): object {
  const agreement = coxConcordance(model.times, model.covariates, options)
  const { concordant, discordant, tiedScore, tiedTime, tiedBoth } = agreement.counts
  return {
    concordance: agreement.estimate,
    concordance_se: agreement.standardError,
    concordance_counts: {
      concordant,
      discordant,
      'tied.x': tiedScore,
      'tied.y': tiedTime,
      'tied.xy': tiedBoth,
    },
    baseline_cumhaz_at_x0: baselineAnswers(reference, model, options),
    proportional_hazards_test: proportionalHazardsAnswers(model, options),
    residuals: residualAnswers(model, options),
  }
}

/**
 * Cumulative hazards at the times that the case asks for, which stand beside the values that it expects. The reference
 * software sets covariates to 0 but leaves an offset at its mean.
 */
function baselineAnswers(reference: ReferenceCase, model: RiskSetModel, options: CoxOptions): unknown {
  const asked = columnsNamed(columnsNamed(reference.expected).baseline_cumhaz_at_x0)
  const hazards = predictedHazard(model.times, model.covariates, {}, options)
  const offset = model.offset ?? new Float64Array(1)
  const factor = Math.exp(offset.reduce((sum, one) => sum + one, 0) / offset.length)
  const at = (hazard: StratumHazard, times: readonly unknown[]): object => ({
    time: times,
    cumhaz: times.map((time) => {
      const value = cumulativeHazardAt(hazard, Number(time))
      return typeof value === 'number' ? factor * value : value
    }),
  })
  if (Array.isArray(asked.time)) return at(hazards[0]!, asked.time)
  return Object.fromEntries(
    hazards.map((hazard) => {
      const label = `${model.strataName}=${hazard.stratum}`
      const { time } = columnsNamed(asked[label])
      return [label, at(hazard, Array.isArray(time) ? time : [])]
    }),
  )
}

function proportionalHazardsAnswers(model: RiskSetModel, options: CoxOptions): unknown {
  const transforms = { km: 'product-limit', rank: 'rank', identity: 'identity', log: 'log' } as const
  return Object.fromEntries(
    Object.entries(transforms).map(([key, transform]) => {
      if (transform === 'log' && holdsEventAtZero(model)) return [key, undefined]
      const tests = proportionalHazardsTest(model.times, model.covariates, { ...options, transform })
      const rows = [...tests.covariates, { name: 'GLOBAL', ...tests.global }]
      return [
        key,
        {
          terms: rows.map((row) => row.name),
          chisq: rows.map((row) => row.statistic),
          df: rows.map((row) => row.degreesOfFreedom),
          p: rows.map((row) => row.pValue),
        },
      ]
    }),
  )
}

function holdsEventAtZero(model: RiskSetModel): boolean {
  const stop = 'time' in model.times ? model.times.time : model.times.stop
  return Array.from(stop).some((time, row) => time <= 0 && model.times.event[row] === 1)
}

function residualAnswers(model: RiskSetModel, options: CoxOptions): unknown {
  const residuals = coxResiduals(model.times, model.covariates, options)
  const width = residuals.names.length
  return {
    martingale: tableSummary(residuals.martingale, 1),
    deviance: tableSummary(residuals.deviance, 1),
    score: tableSummary(residuals.score, width),
    dfbeta: tableSummary(residuals.dfbeta, width),
    dfbetas: tableSummary(residuals.scaledDfbeta, width),
    schoenfeld: tableSummary(residuals.events.schoenfeld, width),
    scaledsch: tableSummary(residuals.events.scaledSchoenfeld, width),
  }
}

/** Rows, sums, sums of squares, extremes and first rows of a row-major table. */
function tableSummary(table: Float64Array, width: number): unknown {
  const rows = width === 0 ? 0 : table.length / width
  const column = (j: number): number[] => Array.from({ length: rows }, (_, row) => table[row * width + j]!)
  const columns = Array.from({ length: width }, (_, j) => column(j))
  return {
    n: rows,
    col_sum: columns.map((one) => one.reduce((sum, value) => sum + value, 0)),
    col_sumsq: columns.map((one) => one.reduce((sum, value) => sum + value * value, 0)),
    first5: Array.from({ length: Math.min(5, rows) }, (_, row) => columns.map((one) => one[row]!)),
    min: columns.map((one) => Math.min(...one)),
    max: columns.map((one) => Math.max(...one)),
  }
}

/** Columns stand in the options, or are all of the data but time and event. */
function firth(reference: ReferenceCase): unknown {
  const { options } = reference
  const asked = columnsNamed(options.model)
  const time = String(asked.time ?? 'time')
  const event = String(asked.event ?? 'status')
  const named = textList(asked.covariates ?? options.columns)
  const others = tableOf(reference).names.filter((name) => name !== time && name !== event)
  const model = riskSetModel(reference, {
    ...asked,
    time,
    event,
    covariates: named.length > 0 ? named : others,
  })
  const { ties, strata, offset, level } = coxOptionsOf(reference, model)
  const fit = firthCoxRegression(model.times, model.covariates, {
    ties: ties === 'breslow' ? 'breslow' : 'efron',
    ...(strata === undefined ? {} : { strata }),
    ...(offset === undefined ? {} : { offset }),
    ...(level === undefined ? {} : { level }),
  })
  return {
    max_abs_score: fit.largestScore,
    coef: fit.hazardRatios.map((one) => one.logHazardRatio),
    se_inverse_information: fit.hazardRatios.map((one) => one.standardError?.value),
    penalised_loglik: fit.penalisedLogLikelihood,
    penalised_loglik_at_zero: fit.penalisedLogLikelihoodAtZero,
    profile_penalised_ci: fit.hazardRatios.map(({ interval }) => [
      logLimit(interval.lower),
      logLimit(interval.upper),
    ]),
    profile_penalised_p: fit.hazardRatios.map((one) => one.pValue),
    penalised_lr_chisq_all: fit.likelihoodRatioTest.statistic,
    warnings: fit.warnings,
  }
}

/** Both treatments of ties; the names of the likelihood differ between them. */
function frailty(reference: ReferenceCase): unknown {
  const model = riskSetModel(reference, columnsNamed(reference.options.model))
  const { level, strata, offset } = coxOptionsOf(reference, model)
  const answers = (ties: 'efron' | 'breslow'): object => {
    const fit = frailtyRegression(model.times, model.covariates, model.frailty ?? model.clusters ?? [], {
      ties,
      ...(level === undefined ? {} : { level }),
      ...(strata === undefined ? {} : { strata }),
      ...(offset === undefined ? {} : { offset }),
    })
    return {
      coef: Object.fromEntries(fit.hazardRatios.map((one) => [one.name, one.logHazardRatio])),
      theta: fit.frailtyVariance.estimate,
      penalised_loglik_c: fit.logLikelihood,
      c_loglik: fit.logLikelihood,
    }
  }
  const breslow = answers('breslow')
  return { efron: answers('efron'), breslow, em_breslow_independent: breslow }
}
