import {
  type Interval,
  noInterval,
  notEstimable,
  type PlainReason,
  type Quantity,
} from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import type { CoxCore } from '../hazardModels/coxFit.js'
import { type CoxHazard, cumulated, scoreResiduals, stratumStarts } from '../hazardModels/coxHazard.js'
import type { CoxOptions } from '../hazardModels/coxOptions.js'
import { fittedHazards } from '../hazardModels/coxResiduals.js'
import { clusterCodes, clusterDegreesOfFreedom } from '../hazardModels/coxTests.js'
import { type PredictionProfile, scaledProfile } from '../hazardModels/predictedHazard.js'
import type { TimesAtRisk } from '../hazardModels/timesAtRisk.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { normalUpperQuantile, studentTQuantile } from '../numeric/distributions.js'
import { quadraticForm } from '../numeric/matrix.js'
import type { Covariates } from './design.js'

/** Risk by a horizon at given covariates. */
export interface PredictedRisk {
  readonly time: number
  /** Share with the event by then. */
  readonly risk: Quantity
  readonly interval: Interval
  /** Standard error of the cumulative hazard. */
  readonly standardError: Quantity
}

/** Risks of one stratum. */
export interface StratumRisk {
  readonly stratum: string | number | undefined
  readonly risks: readonly PredictedRisk[]
}

/**
 * Risk of the event by chosen times that a Cox regression predicts at given covariates, by stratum. With clusters the
 * interval is the infinitesimal jackknife summed over clusters, of coefficients and baseline hazard together; else it
 * is the model's. Both are taken on the log-minus-log scale; below 30 clusters with Student's t.
 *
 * @param at values of the design's columns; others 0
 * @param horizons times of interest; past the last time at risk of a stratum the risk is `not-estimable`
 * @param options as `coxRegression`
 * @throws UsageError `unknown-covariate`; NumericalError as `coxRegression`, and `no-estimate`
 * @example predictedRisk({ time: [1, 2, 3], event: [1, 1, 0] }, {}, {}, [2])[0].risks[0].risk // => 0.5654
 */
export const predictedRisk = checked(
  'predictedRisk',
  (
    times: TimesAtRisk,
    covariates: Covariates,
    at: PredictionProfile,
    horizons: readonly number[],
    options: CoxOptions = {},
  ): readonly StratumRisk[] => {
    const { level = 0.95, cluster: clusters, fewClusters = 'student-t' } = options
    requireLevel(level)
    const { core, hazards } = fittedHazards(times, covariates, options)
    const profile = scaledProfile(core, at)
    const risk = Math.exp(profile.predictor - hazards.shift)
    const coded = clusters === undefined ? undefined : clusterCodes(clusters, core.design.rows.weight)
    const few = coded === undefined ? undefined : clusterDegreesOfFreedom(coded.present, fewClusters)
    const tail = (1 - level) / 2
    const quantile = few === undefined ? normalUpperQuantile(tail) : -studentTQuantile(tail, few)
    const changes = coded === undefined ? undefined : coefficientChanges(core, hazards)
    return deepFreeze(
      stratumRanges(core).map(({ stratum, from, to, lastTime }) => ({
        stratum,
        risks: horizons.map((time) => {
          if (!(time >= 0 && time <= lastTime)) return beyond(time)
          let end = from
          while (end < to && core.design.order.eventTime[end]! <= time) end++
          const parts = hazardParts(core, hazards, profile.x, risk, from, end)
          const variance =
            coded === undefined || changes === undefined
              ? parts.variance + quadraticForm(core.covariance, parts.slope)
              : jackknifeVariance(core, hazards, risk, from, end, parts.slope, changes, coded)
          const none = coded?.present === 1 ? 'one-cluster' : undefined
          return risksOf(time, parts.cumulative, Math.sqrt(variance), quantile, none)
        }),
      })),
    )
  },
)

function beyond(time: number): PredictedRisk {
  const reason = 'past-last-time-at-risk'
  const none = notEstimable(reason)
  return { time, risk: none, interval: noInterval(reason), standardError: none }
}

function risksOf(
  time: number,
  cumulative: number,
  error: number,
  quantile: number,
  none?: PlainReason,
): PredictedRisk {
  const risk = -Math.expm1(-cumulative)
  if (none !== undefined) return { time, risk, interval: noInterval(none), standardError: notEstimable(none) }
  if (cumulative === 0) {
    const reason = 'no-event-by-then'
    return { time, risk: 0, interval: noInterval(reason), standardError: notEstimable(reason) }
  }
  const width = (quantile * error) / cumulative
  const limit = (sign: number): number => -Math.expm1(-cumulative * Math.exp(sign * width))
  return { time, risk, interval: { lower: limit(-1), upper: limit(1) }, standardError: error }
}

interface StratumRange {
  readonly stratum: string | number | undefined
  readonly from: number
  readonly to: number
  readonly lastTime: number
}

/** Event times of each stratum that has any, with its last time at risk. */
function stratumRanges(core: CoxCore): readonly StratumRange[] {
  const { rows, order } = core.design
  const last = new Float64Array(Math.max(1, rows.strata.length)).fill(Number.NEGATIVE_INFINITY)
  for (let row = 0; row < rows.rows; row++) {
    if (rows.weight !== undefined && rows.weight[row] === 0) continue
    const code = rows.stratum === undefined ? 0 : rows.stratum[row]!
    if (rows.stop[row]! > last[code]!) last[code] = rows.stop[row]!
  }
  const ranges: StratumRange[] = []
  for (let from = 0; from < order.eventTime.length; ) {
    let to = from
    while (to < order.eventTime.length && order.stratumOfEventTime[to] === order.stratumOfEventTime[from])
      to++
    const code = order.stratumOfEventTime[from]!
    ranges.push({ stratum: rows.strata[code], from, to, lastTime: last[code]! })
    from = to
  }
  return ranges
}

interface HazardParts {
  readonly cumulative: number
  readonly variance: number
  /** Derivative of the cumulative hazard in the scaled coefficients. */
  readonly slope: Float64Array
}

function hazardParts(
  core: CoxCore,
  hazards: CoxHazard,
  x: Float64Array,
  risk: number,
  from: number,
  end: number,
): HazardParts {
  const { size } = core.design
  const slope = new Float64Array(size)
  let cumulative = 0
  let variance = 0
  for (let k = from; k < end; k++) {
    cumulative += risk * hazards.hazard[k]!
    variance += risk * risk * hazards.hazardSquare[k]!
    for (let j = 0; j < size; j++)
      slope[j]! += risk * (x[j]! * hazards.hazard[k]! - hazards.hazardMean[k * size + j]!)
  }
  return { cumulative, variance, slope }
}

/** Derivative of the scaled coefficients in the weight of each place, row-major. */
function coefficientChanges(core: CoxCore, hazards: CoxHazard): Float64Array {
  const { size } = core.design
  const scores = scoreResiduals(core.design, hazards)
  const changes = new Float64Array(scores.length)
  for (let start = 0; start < scores.length; start += size) {
    for (let a = 0; a < size; a++) {
      for (let b = 0; b < size; b++)
        changes[start + a]! += core.covariance[a * size + b]! * scores[start + b]!
    }
  }
  return changes
}

/** Sum over clusters of the squared influence of each on the cumulative hazard by an event time. */
function jackknifeVariance(
  core: CoxCore,
  hazards: CoxHazard,
  risk: number,
  from: number,
  end: number,
  slope: Float64Array,
  changes: Float64Array,
  clusters: { readonly codes: Int32Array; readonly count: number },
): number {
  const { design } = core
  const { bucketStart, eventEnd, firstCovered, row } = design.order
  const squares = cumulated(hazards.hazardSquare, 1)
  const starts = stratumStarts(design)
  const sums = new Float64Array(clusters.count)
  for (let k = 0; k < eventEnd.length; k++) {
    const events = eventWeight(core, k)
    for (let place = bucketStart[k]!; place < bucketStart[k + 1]!; place++) {
      let influence = 0
      for (let j = 0; j < design.size; j++) influence += slope[j]! * changes[place * design.size + j]!
      const first = firstCovered === undefined ? starts[k]! : firstCovered[place]!
      if (k >= from && first < end) {
        const event = place < eventEnd[k]! && k < end
        const through = event ? squares[k]! + hazards.eventHazardSquare[k]! : squares[Math.min(k + 1, end)]!
        const gain = event ? hazards.hazard[k]! / events : 0
        if (starts[k] === from)
          influence += risk * (gain - hazards.relativeRisk[place]! * (through - squares[first]!))
      }
      const share = design.weight === undefined ? 1 : design.weight[place]!
      sums[clusters.codes[row[place]!]!]! += share * influence
    }
  }
  return sums.reduce((sum, one) => sum + one * one, 0)
}

function eventWeight(core: CoxCore, k: number): number {
  const { order, weight } = core.design
  let sum = 0
  for (let place = order.bucketStart[k]!; place < order.eventEnd[k]!; place++) sum += weight?.[place] ?? 1
  return sum
}
