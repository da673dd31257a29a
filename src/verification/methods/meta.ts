import type { Quantity } from '../../core/estimate.js'
import {
  type HeterogeneityEstimator,
  type MetaAnalysisOptions,
  mantelHaenszelMetaAnalysis,
  metaAnalysis,
  metaAnalysisOfProportions,
  metaAnalysisOfRates,
  metaRegression,
  type PooledEffect,
  type ProportionScale,
  petoMetaAnalysis,
  proportionEffects,
  type RareEventMeasure,
  type RateScale,
  rateEffects,
  type SingleArmMetaAnalysis,
  smallStudyTest,
} from '../../statistics/meta/index.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { limits, numbersOf } from './columns.js'

/** Estimators of τ² by the short names that the reference files use. */
const estimators: Readonly<Record<string, HeterogeneityEstimator>> = {
  DL: 'dersimonian-laird',
  REML: 'restricted-likelihood',
  PM: 'paule-mandel',
  EB: 'paule-mandel',
  ML: 'likelihood',
  HE: 'hedges',
  SJ: 'sidik-jonkman',
  HS: 'hunter-schmidt',
}

/** The reference fits stop the search for the studies' modes early; the exact approximation differs by up to 1 %. */
const laplace = { quadraturePoints: 1, laplaceStop: 1e-7 } as const

export const metaMethods: Readonly<Record<string, ReferenceMethod>> = {
  'meta.inverse_variance': inverseVariance,
  'meta.regression': regression,
  'meta.small_study': smallStudy,
  'meta.rare': rare,
  'meta.proportions': proportions,
  'meta.rates': rates,
}

function inverseVariance(reference: ReferenceCase): unknown {
  const effects = numbersOf(reference, 'yi')
  const variances = numbersOf(reference, 'vi')
  const level = levelOf(reference)
  const common = metaAnalysis(effects, variances, { level })
  return {
    FE: {
      ...pooled(common.common),
      tau2: 0,
      ...heterogeneity(common),
      I2: percent(common.heterogeneity.iSquaredFromQ),
      H2: common.heterogeneity.hSquaredFromQ,
    },
    ...Object.fromEntries(
      Object.entries(estimators).map(([name, estimator]) => [
        name,
        randomEffects(effects, variances, { level, estimator }),
      ]),
    ),
    I2_from_Q: percent(common.heterogeneity.iSquaredFromQ),
    k: effects.length,
  }
}

function randomEffects(
  effects: Float64Array,
  variances: Float64Array,
  options: MetaAnalysisOptions,
): unknown {
  const normal = metaAnalysis(effects, variances, { ...options, interval: 'normal', prediction: 'normal' })
  const student = metaAnalysis(effects, variances, { ...options, interval: 'hartung-knapp' })
  const oneLess = metaAnalysis(effects, variances, { ...options, prediction: 'student-one-less' })
  const { random } = student
  return {
    ...pooled(normal.random),
    tau2: normal.heterogeneity.tauSquared,
    ...heterogeneity(normal),
    I2: percent(normal.heterogeneity.iSquaredFromTau),
    H2: normal.heterogeneity.hSquaredFromTau,
    prediction_interval_normal: limits(normal.predictionInterval),
    hksj: {
      se: random.standardError?.value,
      ci: limits(random.interval),
      t: random.statistic,
      df: random.degreesOfFreedom,
      p: random.pValue,
    },
    prediction_interval_t_k_minus_2_higgins: limits(student.predictionInterval),
    prediction_interval_knha_t_k_minus_1: limits(oneLess.predictionInterval),
    tau2_ci_q_profile: limits(normal.heterogeneity.tauSquaredInterval),
  }
}

function heterogeneity(analysis: ReturnType<typeof metaAnalysis>): { Q: Quantity; Q_p: Quantity } {
  return { Q: analysis.heterogeneity.q, Q_p: analysis.heterogeneity.pValue }
}

function regression(reference: ReferenceCase): unknown {
  const { mods, method } = reference.options
  const names = Array.isArray(mods)
    ? mods.map(String)
    : String(mods)
        .replace(/^~/, '')
        .split(/[+,]/)
        .map((name) => name.trim())
  const moderators = Object.fromEntries(names.map((name) => [name, numbersOf(reference, name)]))
  const fit = metaRegression(numbersOf(reference, 'yi'), numbersOf(reference, 'vi'), moderators, {
    level: levelOf(reference),
    estimator: estimators[String(method ?? 'REML')] ?? 'restricted-likelihood',
    interval: 'normal',
  })
  return {
    coef: fit.coefficients.map((one) => one.estimate),
    se: fit.coefficients.map((one) => one.standardError?.value),
    z: fit.coefficients.map((one) => one.statistic),
    p: fit.coefficients.map((one) => one.pValue),
    ci: fit.coefficients.map((one) => limits(one.interval)),
    tau2: fit.tauSquared,
    QM: fit.moderators.statistic,
    QM_p: fit.moderators.pValue,
    QE: fit.residual.q,
    QE_p: fit.residual.pValue,
    R2: percent(fit.explainedShare),
  }
}

function smallStudy(reference: ReferenceCase): unknown {
  const test = smallStudyTest(numbersOf(reference, 'yi'), numbersOf(reference, 'vi'))
  return {
    t: test.statistic,
    df: test.degreesOfFreedom,
    p: test.pValue,
    slope: test.slope,
    intercept: test.limitEffect,
  }
}

function rare(reference: ReferenceCase): unknown {
  const counts = {
    events1: numbersOf(reference, 'ai'),
    total1: numbersOf(reference, 'n1i'),
    events2: numbersOf(reference, 'ci'),
    total2: numbersOf(reference, 'n2i'),
  }
  const level = levelOf(reference)
  const mantelHaenszel = (measure: RareEventMeasure): unknown =>
    pooled(mantelHaenszelMetaAnalysis(counts, { measure, level }))
  const peto = petoMetaAnalysis(counts, { level })
  return {
    mh_OR: mantelHaenszel('log-odds-ratio'),
    mh_RR: mantelHaenszel('log-risk-ratio'),
    mh_RD: mantelHaenszel('risk-difference'),
    peto_log_or: { ...pooled(peto.pooled), Q: peto.q, Q_p: peto.pValue },
  }
}

function proportions(reference: ReferenceCase): unknown {
  const events = numbersOf(reference, 'xi')
  const totals = numbersOf(reference, 'ni')
  const level = levelOf(reference)
  const scales: Readonly<Record<string, ProportionScale>> = {
    PLO: 'logit',
    PFT: 'double-arcsine',
    PAS: 'arcsine',
    PR: 'untransformed',
  }
  const pool = (method: ProportionScale): SingleArmMetaAnalysis =>
    metaAnalysisOfProportions(events, totals, {
      method,
      level,
      estimator: 'dersimonian-laird',
      interval: 'normal',
    })
  const byScale = Object.entries(scales).map(([name, scale]) => {
    const { effects, variances } = proportionEffects(events, totals, scale)
    return [name, { yi: effects, vi: variances, ...dersimonianLaird(pool(scale)) }]
  })
  return {
    ...Object.fromEntries(byScale),
    glmm_logit_agq15: mixed(metaAnalysisOfProportions(events, totals, { level, quadraturePoints: 15 })),
    glmm_logit_laplace: mixed(metaAnalysisOfProportions(events, totals, { level, ...laplace })),
    PFT_back_harmonic: pool('double-arcsine').pooled.estimate,
  }
}

function rates(reference: ReferenceCase): unknown {
  const events = numbersOf(reference, 'xi')
  const time = numbersOf(reference, 'ti')
  const level = levelOf(reference)
  const scales: Readonly<Record<string, RateScale>> = {
    IRLN: 'log',
    IRS: 'square-root',
    IRFT: 'double-square-root',
  }
  const byScale = Object.entries(scales).map(([name, method]) => {
    const { effects, variances } = rateEffects(events, time, method)
    const fit = metaAnalysisOfRates(events, time, {
      method,
      level,
      estimator: 'dersimonian-laird',
      interval: 'normal',
    })
    return [name, { yi: effects, vi: variances, ...dersimonianLaird(fit) }]
  })
  return {
    ...Object.fromEntries(byScale),
    glmm_poisson_agq15: mixed(metaAnalysisOfRates(events, time, { level, quadraturePoints: 15 })),
    glmm_poisson_laplace: mixed(metaAnalysisOfRates(events, time, { level, ...laplace })),
  }
}

function dersimonianLaird(fit: SingleArmMetaAnalysis): Readonly<Record<string, Quantity | undefined>> {
  const { onScale, tauSquared, analysis } = fit
  return {
    dl_estimate: onScale?.estimate,
    dl_se: onScale?.standardError?.value,
    dl_tau2: tauSquared,
    Q: analysis?.heterogeneity.q,
  }
}

function mixed(fit: SingleArmMetaAnalysis): unknown {
  const { onScale, tauSquared } = fit
  return { estimate: onScale?.estimate, se: onScale?.standardError?.value, tau2: tauSquared }
}

function pooled(effect: PooledEffect): {
  estimate: Quantity
  se: number | undefined
  ci: readonly unknown[]
  z: Quantity
  p: Quantity
} {
  return {
    estimate: effect.estimate,
    se: effect.standardError?.value,
    ci: limits(effect.interval),
    z: effect.statistic,
    p: effect.pValue,
  }
}

function percent(share: Quantity): Quantity {
  return typeof share === 'number' ? 100 * share : share
}

function levelOf(reference: ReferenceCase): number {
  const { conf } = reference.options
  return typeof conf === 'number' ? conf : 0.95
}
