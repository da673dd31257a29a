import type { CoxDesign } from './coxDesign.js'
import { type LikelihoodSettings, tiedEvents } from './coxLikelihood.js'
import { fillRisk, walkRiskSets } from './riskSums.js'

/**
 * Baseline hazard increments and risk-set means at given coefficients. Hazards are those of a row whose scaled
 * linear predictor equals `shift`; `relativeRisk` is exp(predictor − shift), without case weights.
 */
export interface CoxHazard {
  readonly relativeRisk: Float64Array
  readonly shift: number
  /** Hazard increment at each event time. */
  readonly hazard: Float64Array
  /** Sum of the squared terms of each increment over their weights: the variance of the increment. */
  readonly hazardSquare: Float64Array
  /** The same with the shares that those with the event at this time undergo. */
  readonly eventHazardSquare: Float64Array
  /** Hazard increment that those with the event at this time undergo (smaller under Efron's ties). */
  readonly eventHazard: Float64Array
  /** Increments times the risk-set mean of each scaled covariate, row-major. */
  readonly hazardMean: Float64Array
  readonly eventHazardMean: Float64Array
  /** Risk-set mean of each scaled covariate, averaged over the terms of tied events, row-major. */
  readonly mean: Float64Array
}

/** Hazards and risk-set means at scaled coefficients. */
export function hazardAt(
  design: CoxDesign,
  settings: LikelihoodSettings,
  coefficients: Float64Array,
): CoxHazard {
  const { size, order } = design
  const times = order.eventTime.length
  const weight = settings.weight ?? design.weight
  const predictor = new Float64Array(order.row.length)
  const risk = new Float64Array(order.row.length)
  const shift = fillRisk(design, coefficients, predictor, risk, weight)
  const hazard = new Float64Array(times)
  const hazardSquare = new Float64Array(times)
  const eventHazardSquare = new Float64Array(times)
  const eventHazard = new Float64Array(times)
  const hazardMean = new Float64Array(times * size)
  const eventHazardMean = new Float64Array(times * size)
  const mean = new Float64Array(times * size)
  walkRiskSets(design, design.x, size, risk, 1, (k, atRisk, withEvent) => {
    const tied = tiedEvents(design, settings, weight, k)
    for (let step = 0; step < tied.steps; step++) {
      const taken = step / tied.steps
      const denominator = atRisk[0]! - taken * withEvent[0]!
      const increment = tied.mean / denominator
      hazard[k]! += increment
      hazardSquare[k]! += increment / denominator
      eventHazardSquare[k]! += ((1 - taken) * increment) / denominator
      eventHazard[k]! += increment * (1 - taken)
      for (let j = 0; j < size; j++) {
        const average = (atRisk[1 + j]! - taken * withEvent[1 + j]!) / denominator
        mean[k * size + j]! += average / tied.steps
        hazardMean[k * size + j]! += increment * average
        eventHazardMean[k * size + j]! += increment * (1 - taken) * average
      }
    }
  })
  const relativeRisk = predictor
  for (let place = 0; place < predictor.length; place++)
    relativeRisk[place] = Math.exp(predictor[place]! - shift)
  return {
    relativeRisk,
    shift,
    hazard,
    hazardSquare,
    eventHazardSquare,
    eventHazard,
    hazardMean,
    eventHazardMean,
    mean,
  }
}

/** Sums from the first event time on of a row-major table, one extra row of zeros in front. */
export function cumulated(increments: Float64Array, width: number): Float64Array {
  const sums = new Float64Array(increments.length + width)
  for (let i = 0; i < increments.length; i++) sums[i + width] = sums[i]! + increments[i]!
  return sums
}

/** First event time of the stratum of each event time. */
export function stratumStarts(design: CoxDesign): Int32Array {
  const { stratumOfEventTime } = design.order
  const starts = new Int32Array(stratumOfEventTime.length)
  for (let k = 1; k < starts.length; k++) {
    starts[k] = stratumOfEventTime[k] === stratumOfEventTime[k - 1] ? starts[k - 1]! : k
  }
  return starts
}

/** Expected number of events of the row at each place (its cumulative hazard over its time at risk). */
export function expectedEvents(design: CoxDesign, hazards: CoxHazard): Float64Array {
  const { bucketStart, eventEnd, firstCovered, row } = design.order
  const sums = cumulated(hazards.hazard, 1)
  const starts = stratumStarts(design)
  const expected = new Float64Array(row.length)
  for (let k = 0; k < eventEnd.length; k++) {
    const atEvent = hazards.eventHazard[k]!
    for (let place = bucketStart[k]!; place < bucketStart[k + 1]!; place++) {
      const before = sums[firstCovered === undefined ? starts[k]! : firstCovered[place]!]!
      const through = place < eventEnd[k]! ? sums[k]! + atEvent : sums[k + 1]!
      expected[place] = hazards.relativeRisk[place]! * (through - before)
    }
  }
  return expected
}

/**
 * Score residuals of every place in the scaled covariates, row-major and without case weights: each row's own part
 * of the score, so that the weighted residuals sum to the score.
 */
export function scoreResiduals(design: CoxDesign, hazards: CoxHazard): Float64Array {
  const { size, x } = design
  const { bucketStart, eventEnd, firstCovered } = design.order
  const { relativeRisk, mean, eventHazard, eventHazardMean } = hazards
  const sums = cumulated(hazards.hazard, 1)
  const meanSums = cumulated(hazards.hazardMean, size)
  const starts = stratumStarts(design)
  const residuals = new Float64Array(x.length)
  for (let k = 0; k < eventEnd.length; k++) {
    const events = eventEnd[k]!
    const end = bucketStart[k + 1]!
    for (let place = bucketStart[k]!, at = place * size; place < end; place++) {
      const first = firstCovered === undefined ? starts[k]! : firstCovered[place]!
      const risk = relativeRisk[place]!
      // Those with the event see less of its increment under Efron's ties, and their own part of the score.
      const event = place < events
      const through = event ? k : k + 1
      const hazard = sums[through]! - sums[first]! + (event ? eventHazard[k]! : 0)
      for (let j = 0; j < size; j++, at++) {
        const value = x[at]!
        let passed = meanSums[through * size + j]! - meanSums[first * size + j]!
        let own = 0
        if (event) {
          passed += eventHazardMean[k * size + j]!
          own = value - mean[k * size + j]!
        }
        residuals[at] = own - risk * (value * hazard - passed)
      }
    }
  }
  return residuals
}
