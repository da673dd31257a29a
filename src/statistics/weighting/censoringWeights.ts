import { NumericalError } from '../../core/errors.js'
import { notEstimable, type Quantity } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { coxRegression } from '../hazardModels/cox.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, codesOf, singleCode } from '../kernel/codes.js'
import {
  type AmountColumn,
  type CauseColumn,
  requireNonNegative,
  requireSameLength,
} from '../numeric/columns.js'
import { type Covariates, expandCovariates } from '../regression/design.js'
import { type CensoringTimes, censoringSteps, uncensoredProbability } from './censoringTimes.js'

/** Options of censoring weights. */
export interface CensoringWeightOptions {
  /** Group of each row, with censoring of its own; default one group. */
  readonly group?: CodeColumn
  /** Covariates on which censoring depends, by a Cox model stratified by the group; default none. */
  readonly covariates?: Covariates
}

/** Weights that make up for follow-up that ended before a horizon. */
export interface CensoringWeights {
  /** 0 where the status at the horizon is not known, else 1 over the probability that it would be. */
  readonly weights: readonly number[]
  readonly known: number
  readonly n: number
  readonly largest: number
  readonly effectiveSize: Quantity
  readonly horizon: number
  readonly method: MethodName
  readonly reference: string
}

/**
 * Inverse-probability-of-censoring weights at a horizon: rows whose status at the horizon is known stand in for those
 * whose follow-up ended before (Robins and Rotnitzky 1992). The probability is the product-limit estimate of staying
 * uncensored, by group, or comes from a Cox model of censoring.
 *
 * At equal times events come before censorings. A row is known if it had an event, of any kind, up to the horizon, or
 * was followed to it.
 *
 * @param time follow-up, zero or more
 * @param event 0 where follow-up was censored, 1 or more where it ended in an event of any kind
 * @param horizon time above 0 at which the status is wanted
 * @param options group none; covariates none
 * @throws NumericalError `unequal-length`, `not-finite`, `negative`, `horizon-beyond-follow-up`
 * @example censoringWeights([1, 2, 3, 4], [0, 1, 0, 0], 2.5).weights // => [0,1.3333333333333333,1.3333333333333333,1.3333333333333333]
 */
export const censoringWeights = checked(
  'censoringWeights',
  (
    time: AmountColumn,
    event: CauseColumn,
    horizon: number,
    options: CensoringWeightOptions = {},
  ): CensoringWeights => {
    const { group, covariates } = options
    const n = requireSameLength({ time, event, group, ...covariates })
    requireNonNegative('time', time)
    requireNonNegative('event', event)
    const codes = group === undefined ? singleCode(n) : codesOf('group', group)
    requireReached(time, codes.codes, codes.labels, horizon)
    const times = censoringSteps(time, event, horizon)
    const relative = covariates === undefined ? undefined : relativeHazards(times, codes.codes, covariates)
    const probability = uncensoredProbability(times, codes.codes, codes.count, undefined, relative)
    let sum = 0
    let squares = 0
    let largest = 0
    let known = 0
    const weights = Array.from({ length: n }, (_, row) => {
      if (times.known[row] === 0) return 0
      const weight = 1 / probability[row]!
      known++
      sum += weight
      squares += weight * weight
      largest = Math.max(largest, weight)
      return weight
    })
    return Object.freeze({
      weights: Object.freeze(weights),
      known,
      n,
      largest,
      effectiveSize: known > 0 ? (sum * sum) / squares : notEstimable('no-status-known'),
      horizon,
      method: methodOf(
        'inverse-probability-of-censoring',
        covariates === undefined ? 'product-limit' : 'cox-regression',
      ),
      reference: 'censoring-weights',
    })
  },
)

/** exp(linear predictor) of each row in a Cox model of censoring, stratified by group. */
function relativeHazards(times: CensoringTimes, codes: Int32Array, covariates: Covariates): Float64Array {
  const design = expandCovariates(covariates, codes.length)
  const fit = coxRegression({ time: times.rank, event: times.censored }, covariates, {
    strata: Array.from(codes),
    ties: 'breslow',
    variance: 'model',
  })
  const slopes = fit.hazardRatios.map(({ logHazardRatio }) =>
    typeof logHazardRatio === 'number' ? logHazardRatio : 0,
  )
  return relativeFrom(design.values, slopes, codes.length)
}

/**
 * exp of the linear predictor, from row-major columns, against its mean over the rows: the scale of relative hazards
 * cancels against the baseline, and a covariate far from zero (a calendar year) must not leave the range of doubles.
 */
export function relativeFrom(values: Float64Array, slopes: ArrayLike<number>, rows: number): Float64Array {
  const width = slopes.length
  const predictors = new Float64Array(rows)
  let mean = 0
  for (let row = 0; row < rows; row++) {
    for (let j = 0; j < width; j++) predictors[row]! += values[row * width + j]! * slopes[j]!
    mean += predictors[row]! / rows
  }
  return predictors.map((predictor) => Math.exp(predictor - mean))
}

/** Refuses a horizon to which a group is not followed. */
export function requireReached(
  time: ArrayLike<number>,
  codes: ArrayLike<number>,
  labels: readonly string[],
  horizon: number,
): void {
  const last = new Float64Array(labels.length)
  for (let row = 0; row < time.length; row++) {
    last[codes[row]!] = Math.max(last[codes[row]!]!, time[row]!)
  }
  const short = last.findIndex((one) => one < horizon)
  if (horizon > 0 && short < 0) return
  const where = labels.length === 1 ? '' : ` in group ${labels[short] ?? labels[0]}`
  throw new NumericalError({
    code: 'horizon-beyond-follow-up',
    problem: `the horizon is ${horizon}, and follow-up${where} ends at ${last[Math.max(0, short)] ?? 0}.`,
    expected: 'a horizon above 0 to which each group is followed.',
    mend: 'choose an earlier horizon.',
  })
}
