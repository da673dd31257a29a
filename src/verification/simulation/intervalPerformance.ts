import { type Estimate, isNumber } from '../../core/estimate.js'
import { proportion } from '../../statistics/proportions/proportions.js'

/** An estimate with its interval on a scale on which errors are symmetric, such as the log of a hazard ratio. */
export interface SimulatedInterval {
  readonly estimate: number
  readonly standardError: number
  readonly lower: number
  readonly upper: number
}

/** How an estimator and its interval did over the replicates of a simulation. */
export interface IntervalPerformance {
  readonly replicates: number
  readonly truth: number
  readonly meanEstimate: number
  /** Mean estimate minus truth, and its Monte Carlo error. */
  readonly bias: number
  readonly biasError: number
  /** Standard deviation of the estimates over the replicates. */
  readonly empiricalError: number
  /** Root of the mean squared standard error that the method reports. */
  readonly reportedError: number
  /** Share of the intervals that hold the truth, with its Wilson interval. */
  readonly coverage: Estimate
  /** Monte Carlo error of the coverage, √(c(1 − c)/replicates). */
  readonly coverageError: number
  /** Shares of the intervals that lie wholly above and wholly below the truth. */
  readonly above: number
  readonly below: number
}

/**
 * Sums up replicates: bias, spread against reported standard error, and coverage, each with its Monte Carlo error.
 *
 * Source: the performance measures of Morris, White and Crowther (2019), Statistics in Medicine 38:2074.
 */
export function intervalPerformance(
  truth: number,
  intervals: readonly SimulatedInterval[],
): IntervalPerformance {
  const replicates = intervals.length
  const mean = (value: (one: SimulatedInterval) => number): number =>
    intervals.reduce((sum, one) => sum + value(one), 0) / replicates
  const meanEstimate = mean((one) => one.estimate)
  const empiricalError = Math.sqrt(
    (mean((one) => (one.estimate - meanEstimate) ** 2) * replicates) / Math.max(1, replicates - 1),
  )
  const above = intervals.filter((one) => one.lower > truth).length
  const below = intervals.filter((one) => one.upper < truth).length
  const coverage = proportion(replicates - above - below, replicates)
  const share = isNumber(coverage.estimate) ? coverage.estimate : 0
  return Object.freeze({
    replicates,
    truth,
    meanEstimate,
    bias: meanEstimate - truth,
    biasError: empiricalError / Math.sqrt(replicates),
    empiricalError,
    reportedError: Math.sqrt(mean((one) => one.standardError ** 2)),
    coverage,
    coverageError: Math.sqrt((share * (1 - share)) / replicates),
    above: above / replicates,
    below: below / replicates,
  })
}
