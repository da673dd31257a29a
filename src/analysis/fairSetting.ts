import type { Cohort } from '../cohort/cohort.js'
import type { Compared } from './compared.js'
import type { AnalysisPlan } from './planFile.js'
import type { ComparisonVariant } from './variant.js'
import { doublyRobustVariants, populationsOf } from './variants/doublyRobust.js'
import { hazardAdjustment, hazardVariants, penalisedVariant } from './variants/hazard.js'
import { crudeRiskVariant, restrictedMeanVariant } from './variants/risk.js'
import { choiceModel, weightedVariants } from './variants/weighted.js'

/** What every part of the comparison is computed with. */
export interface FairSetting {
  readonly plan: AnalysisPlan
  readonly level: number
  readonly horizonsYears: readonly number[]
  readonly leastAtRisk: number
  readonly seed: number
  /** Horizon of the differences of risks that may lead. */
  readonly horizonYears: number
  /** Horizon of the restricted mean; undefined where too few are at risk at any. */
  readonly tauYears: number | undefined
  /** Compute what takes long too. */
  readonly full: boolean
}

/**
 * The estimator of one variant that may lead, applied to other restorations: the lead under another assumption.
 * Undefined where these restorations do not bear it.
 */
export function variantByKey(
  key: string,
  cohort: Cohort,
  compared: Compared,
  setting: FairSetting,
): ComparisonVariant | undefined {
  const { plan, level, horizonYears, tauYears } = setting
  if (key === 'risk-difference-crude') return crudeRiskVariant(compared, horizonYears, level)
  if (key === 'restricted-mean-crude') {
    return tauYears === undefined ? undefined : restrictedMeanVariant(compared, tauYears, level)
  }
  if (/^hazard-ratio-(crude|adjusted|penalised)$/.test(key)) {
    const adjustment = hazardAdjustment(cohort, compared, plan)
    if (key === 'hazard-ratio-penalised') {
      return adjustment === undefined ? undefined : penalisedVariant(adjustment, level)
    }
    return hazardVariants(cohort, compared, adjustment, level).find((one) => one.key === key)
  }
  const choice = choiceModel(cohort, compared, plan)
  if (!('weighting' in choice)) return undefined
  if (key.startsWith('risk-difference-doubly-robust')) {
    const targets = populationsOf(choice).filter((target) => key.endsWith(target))
    return doublyRobustVariants(choice, horizonYears, level, targets)[0]
  }
  return weightedVariants(choice, horizonYears, tauYears, level).find((one) => one.key === key)
}
