import type { Cohort } from '../../cohort/cohort.js'
import { daysPerYear } from '../../core/calendar.js'
import { HoldfastError } from '../../core/errors.js'
import { type Contrast, type Interval, isNumber, type Quantity } from '../../core/estimate.js'
import { compareCumulativeIncidence } from '../../statistics/incidenceContrast.js'
import { exactUpperOfNone } from '../../statistics/proportionLimits.js'
import { hybridDifferenceLimits } from '../../statistics/scoreLimits.js'
import {
  type PropensityWeighting,
  propensityWeighting,
  type WeightedBalance,
} from '../../statistics/weighting/propensityWeighting.js'
import { type Adjustment, adjustmentOf } from '../adjustment.js'
import { type Compared, groupLabels } from '../compared.js'
import type { AnalysisPlan } from '../planFile.js'
import { type ComparisonVariant, variantOf, withWarnings } from '../variant.js'
import { hazardRatio } from './hazard.js'
import { restrictedMeanVariant } from './risk.js'

/** The propensity model of the choice of protocol with its weights. */
export interface ChoiceModel {
  readonly adjustment: Adjustment
  readonly weighting: PropensityWeighting
}

/** Model of the choice of protocol, or why there is none. */
export type Choice = ChoiceModel | { readonly reason: string }

/** Restorations of the smaller group for each coefficient of the model of the choice. */
const rowsPerCoefficient = 10

/** Fewest events in each group by the horizon from which a weighted difference is taken as normal. */
const enoughEvents = 5

/**
 * Models the choice of protocol from what came before it, clinic included. Undefined where nothing is recorded from
 * which it could be modelled, or where the model cannot be fitted; then with the reason.
 */
export function choiceModel(cohort: Cohort, compared: Compared, plan: AnalysisPlan): Choice {
  const adjustment = adjustmentOf(cohort, compared, {
    keys: plan.adjustFor,
    strata: plan.strata,
    strataAs: 'covariates',
    mostCoefficients: (complete) => Math.floor(smallerGroup(complete) / rowsPerCoefficient),
  })
  if (adjustment === undefined) return { reason: 'one group has no restoration with every value known' }
  if (adjustment.coefficients === 0) return { reason: 'nothing is recorded that could be adjusted for' }
  try {
    return {
      adjustment,
      weighting: propensityWeighting(adjustment.compared.inGroup, adjustment.covariates),
    }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return { reason: thrown.problem }
    throw thrown
  }
}

function smallerGroup({ rows, inGroup }: Compared): number {
  const inGroupRows = inGroup.reduce((sum, one) => sum + one, 0)
  return Math.min(inGroupRows, rows.n - inGroupRows)
}

/** Weighted differences of risks, hazard ratio and restricted mean, for the populations that have weights. */
export function weightedVariants(
  model: ChoiceModel,
  horizonYears: number,
  tauYears: number | undefined,
  level: number,
): readonly ComparisonVariant[] {
  const { average, overlap } = model.weighting
  const populations = [
    ...(average === undefined ? [] : [['average', average] as const]),
    ['overlap', overlap] as const,
  ]
  return populations.flatMap(([population, weighted]) =>
    variantsOf(model, population, weighted, horizonYears, tauYears, level),
  )
}

function variantsOf(
  { adjustment }: ChoiceModel,
  population: 'average' | 'overlap',
  weighted: WeightedBalance,
  horizonYears: number,
  tauYears: number | undefined,
  level: number,
): readonly ComparisonVariant[] {
  const { compared, words } = adjustment
  const { weights } = weighted.weights
  const warnings = [...weighted.weights.warnings, ...adjustment.warnings]
  const frame = {
    role: 'adjusted',
    population,
    adjustedFor: words,
    assumes: ['alike-given-adjustment', 'model-of-choice', 'losses-alike', 'found-when-it-came'],
  } as const
  const difference = variantOf(
    { ...frame, key: `risk-difference-weighted-${population}`, scale: 'risk-difference', horizonYears },
    compared,
    level,
    () =>
      withWarnings(named(weightedDifference(compared, weights, horizonYears, level), population), warnings),
  )
  const ratio = variantOf(
    {
      ...frame,
      key: `hazard-ratio-weighted-${population}`,
      scale: 'hazard-ratio',
      assumes: [...frame.assumes, 'proportional-hazards'],
    },
    compared,
    level,
    () => withWarnings(named(hazardRatio(compared, level, { weights }), population), warnings),
  )
  if (tauYears === undefined) return [difference, ratio]
  const mean = restrictedMeanVariant(compared, tauYears, level, {
    weights,
    frame: { ...frame, key: `restricted-mean-weighted-${population}` },
  })
  return [difference, ratio, mean]
}

/** Says in whom the effect is, and points to the page on the weights. */
function named(contrast: Contrast, population: 'average' | 'overlap'): Contrast {
  const method = `${contrast.method}; propensity weights, ${population} effect`
  return { ...contrast, method, reference: 'propensity-weights' }
}

/**
 * Difference of weighted cumulative incidences at a horizon, influences summed over patients, the weights taken as
 * known. With fewer than five events in a group it takes the hybrid of the groups' own limits, exact where a group has
 * none, since it is not normal then.
 */
export function weightedDifference(
  compared: Compared,
  weights: ArrayLike<number>,
  horizonYears: number,
  level: number,
): Contrast {
  const { rows, names } = compared
  const horizon = horizonYears * daysPerYear
  const [comparison] = compareCumulativeIncidence(
    rows.timeDays,
    rows.status,
    groupLabels(compared),
    [horizon],
    {
      entry: rows.entryDays,
      weights,
      cluster: rows.patient,
      variance: 'robust',
      level,
      against: names.against,
    },
  )
  const normal = comparison!.differences[0]!
  const groups = [names.group, names.against].map((name, k) => ({
    summary: comparison!.groups.find((one) => one.group === name)!,
    events: eventsBy(compared, weights, 1 - k, horizon),
    patientsAtRisk: effectivePatients(compared, weights, 1 - k, horizon),
  }))
  const events = groups.reduce((sum, group) => sum + group.events, 0)
  if (groups.every((group) => group.events >= enoughEvents)) return { ...normal, events }
  const { standardError: _normalOnly, ...rest } = normal
  return {
    ...rest,
    events,
    interval: hybrid(
      groups.map(({ summary, events: own, patientsAtRisk }) =>
        own === 0
          ? { estimate: 0, interval: { lower: 0, upper: exactUpperOfNone(patientsAtRisk, (1 - level) / 2) } }
          : summary,
      ),
      normal.interval,
    ),
    method: `${normal.method}, hybrid of the limits of each group`,
  }
}

function hybrid(
  [one, two]: readonly { readonly estimate: Quantity; readonly interval: Interval }[],
  otherwise: Interval,
): Interval {
  const numbers = [
    one!.estimate,
    one!.interval.lower,
    one!.interval.upper,
    two!.estimate,
    two!.interval.lower,
    two!.interval.upper,
  ]
  if (!numbers.every(isNumber)) return otherwise
  const [p1, l1, u1, p2, l2, u2] = numbers as [number, number, number, number, number, number]
  const [lower, upper] = hybridDifferenceLimits(p1, [l1, u1], p2, [l2, u2])
  return { lower, upper }
}

function eventsBy(
  { rows, inGroup }: Compared,
  weights: ArrayLike<number>,
  group: number,
  horizon: number,
): number {
  let events = 0
  for (let i = 0; i < rows.n; i++) {
    if (inGroup[i] === group && weights[i]! > 0 && rows.event[i] === 1 && rows.timeDays[i]! <= horizon)
      events++
  }
  return events
}

/** Effective number of patients still at risk at a horizon, (Σw)² / Σw² with each patient's mean weight. */
function effectivePatients(
  { rows, inGroup }: Compared,
  weights: ArrayLike<number>,
  group: number,
  horizon: number,
): number {
  const byPatient = new Map<number, { weight: number; rows: number }>()
  for (let i = 0; i < rows.n; i++) {
    if (inGroup[i] !== group || rows.timeDays[i]! < horizon) continue
    const own = byPatient.get(rows.patient[i]!) ?? { weight: 0, rows: 0 }
    byPatient.set(rows.patient[i]!, { weight: own.weight + weights[i]!, rows: own.rows + 1 })
  }
  let sum = 0
  let squares = 0
  for (const own of byPatient.values()) {
    const mean = own.weight / own.rows
    sum += mean
    squares += mean * mean
  }
  return squares > 0 ? (sum * sum) / squares : 0
}
