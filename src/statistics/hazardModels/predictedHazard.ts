import { UsageError } from '../../core/errors.js'
import type { Interval, Quantity } from '../../core/estimate.js'
import { noInterval, notEstimable, quantityOf } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { normalUpperQuantile } from '../numeric/distributions.js'
import { quadraticForm } from '../numeric/matrix.js'
import type { Covariates } from '../regression/design.js'
import type { CoxCore } from './coxFit.js'
import type { CoxHazard } from './coxHazard.js'
import type { CoxOptions } from './coxOptions.js'
import { fittedHazards } from './coxResiduals.js'
import type { TimesAtRisk } from './timesAtRisk.js'

/** Value of each column of the design (`name`, `name=level`, `a:b`) that a prediction is made for; others are 0. */
export type PredictionProfile = Readonly<Record<string, number>>

/** Hazard of one stratum at the covariates asked for. */
export interface StratumHazard {
  /** Label of the stratum; undefined where there are none. */
  readonly stratum: string | number | undefined
  readonly steps: readonly HazardStep[]
}

/** What is known at one event time. */
export interface HazardStep {
  readonly time: number
  readonly hazard: number
  readonly cumulativeHazard: number
  /** Standard error of the cumulative hazard by the model's variance (Tsiatis 1981; Link 1984). */
  readonly standardError: number
  /** Share without the event. */
  readonly survival: number
  /** Interval of that share on the log-minus-log scale. */
  readonly interval: Interval
}

/**
 * Cumulative hazard and survival that a Cox regression predicts at given covariates, by stratum: the baseline hazard
 * with all covariates 0 unless given. Increments are Efron's where ties are (the same sums as the likelihood), else
 * Breslow's. Intervals take rows for independent.
 *
 * @param at values of the design's columns; default all 0
 * @param options as `coxRegression`
 * @throws UsageError `unknown-covariate`; NumericalError `no-estimate`, `no-baseline-hazard`, else as `coxRegression`
 * @example predictedHazard({ time: [1, 2, 3], event: [1, 1, 0] }, {}, {})[0].steps[1].cumulativeHazard // => 0.8333
 */
export const predictedHazard = checked(
  'predictedHazard',
  (
    times: TimesAtRisk,
    covariates: Covariates,
    at: PredictionProfile,
    options: CoxOptions = {},
  ): readonly StratumHazard[] => {
    const { level = 0.95 } = options
    const { core, hazards } = fittedHazards(times, covariates, options)
    const profile = scaledProfile(core, at)
    const { stratumOfEventTime } = core.design.order
    const strata: { stratum: string | number | undefined; steps: HazardStep[] }[] = []
    let walk = freshWalk(core)
    for (let k = 0; k < stratumOfEventTime.length; k++) {
      if (k === 0 || stratumOfEventTime[k] !== stratumOfEventTime[k - 1]) {
        const labels = core.design.rows.strata
        strata.push({
          stratum: labels[core.design.rows.stratum === undefined ? 0 : stratumOfEventTime[k]!],
          steps: [],
        })
        walk = freshWalk(core)
      }
      strata[strata.length - 1]!.steps.push(stepAt(core, hazards, profile, walk, k, level))
    }
    return deepFreeze(strata)
  },
)

/** Profile in scaled covariates and its relative risk against a row at the centre. */
export interface ScaledProfile {
  readonly x: Float64Array
  readonly predictor: number
}

export function scaledProfile(core: CoxCore, at: PredictionProfile): ScaledProfile {
  const { names, centre, scale } = core.design
  for (const name of Object.keys(at)) if (!names.includes(name)) throw unknownColumn(name, names)
  const x = Float64Array.from(names, (name, j) => ((at[name] ?? 0) - centre[j]!) / scale[j]!)
  const predictor = x.reduce((sum, value, j) => sum + value * core.coefficients[j]!, 0)
  return { x, predictor }
}

function unknownColumn(name: string, names: readonly string[]): UsageError {
  return new UsageError({
    code: 'unknown-covariate',
    problem: `the prediction names ${name}, which is no column of the model.`,
    expected: `names out of ${names.join(', ')}.`,
    mend: 'name a column of the model, with name=level for a category.',
  })
}

/** Running sums along the event times of one stratum. */
interface HazardWalk {
  cumulative: number
  variance: number
  readonly slope: Float64Array
}

function freshWalk(core: CoxCore): HazardWalk {
  return { cumulative: 0, variance: 0, slope: new Float64Array(core.design.size) }
}

function stepAt(
  core: CoxCore,
  hazards: CoxHazard,
  profile: ScaledProfile,
  walk: HazardWalk,
  k: number,
  level: number,
): HazardStep {
  const { size } = core.design
  const risk = Math.exp(profile.predictor - hazards.shift)
  const hazard = risk * hazards.hazard[k]!
  walk.cumulative += hazard
  walk.variance += risk * risk * hazards.hazardSquare[k]!
  for (let j = 0; j < size; j++) {
    walk.slope[j]! += risk * (profile.x[j]! * hazards.hazard[k]! - hazards.hazardMean[k * size + j]!)
  }
  const standardError = Math.sqrt(walk.variance + quadraticForm(core.covariance, walk.slope))
  return {
    time: core.design.order.eventTime[k]!,
    hazard,
    cumulativeHazard: walk.cumulative,
    standardError,
    survival: Math.exp(-walk.cumulative),
    interval: logMinusLogInterval(walk.cumulative, standardError, level),
  }
}

/** Interval of exp(−H) from the standard error of log H. */
export function logMinusLogInterval(cumulative: number, standardError: number, level: number): Interval {
  if (!(cumulative > 0)) return noInterval('no-event-by-then')
  const width = (normalUpperQuantile((1 - level) / 2) * standardError) / cumulative
  const limit = (sign: number): Quantity =>
    quantityOf(Math.exp(-cumulative * Math.exp(sign * width)), 'limit-out-of-range')
  return { lower: limit(1), upper: limit(-1) }
}

/** Cumulative baseline hazard at a time, of the steps of one stratum; 0 before the first. */
export function cumulativeHazardAt(hazard: StratumHazard, time: number): Quantity {
  if (hazard.steps.length === 0) return notEstimable('no-event-observed')
  let value = 0
  for (const step of hazard.steps) if (step.time <= time) value = step.cumulativeHazard
  return value
}
