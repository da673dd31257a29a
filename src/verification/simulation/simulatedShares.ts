import { isNumber, type Quantity } from '../../core/estimate.js'
import type { IntervalPerformance, SimulatedInterval } from './intervalPerformance.js'

/** Mean over samples with its Monte Carlo error, √(variance/samples). */
export interface SimulatedMean {
  readonly mean: number
  readonly error: number
}

/** Mean of a measure over samples, with the error that the spread between samples gives. */
export function simulatedMean(values: readonly number[]): SimulatedMean {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  return { mean, error: Math.sqrt(squares / Math.max(1, values.length - 1) / values.length) }
}

/** A simulated interval, where all of it is known. */
export function intervalOf(
  estimate: Quantity,
  standardError: Quantity | undefined,
  lower: Quantity,
  upper: Quantity,
): SimulatedInterval | undefined {
  return isNumber(estimate) &&
    standardError !== undefined &&
    isNumber(standardError) &&
    isNumber(lower) &&
    isNumber(upper)
    ? { estimate, standardError, lower, upper }
    : undefined
}

/** Heads of the columns that performanceCells fills. */
export const performanceHeads =
  '| samples | truth | mean | bias | spread | reported error | coverage % | above % | below % |'
export const performanceRule = '|---:|---:|---:|---:|---:|---:|---:|---:|---:|'

/** Cells of one row: Monte Carlo errors behind ±, shares in per cent. */
export function performanceCells(found: IntervalPerformance, digits: number): string {
  const { coverage, replicates } = found
  const covered = isNumber(coverage.estimate) ? percent(coverage.estimate) : '–'
  const numbers = [
    found.truth.toFixed(digits),
    found.meanEstimate.toFixed(digits),
    `${found.bias.toFixed(digits)} ± ${found.biasError.toFixed(digits)}`,
    found.empiricalError.toFixed(digits),
    found.reportedError.toFixed(digits),
  ]
  const shares = [`${covered} ± ${percent(found.coverageError)}`, percent(found.above), percent(found.below)]
  return `| ${[replicates, ...numbers, ...shares].join(' | ')} |`
}

/** A share in per cent, one digit. */
export function percent(share: number): string {
  return (100 * share).toFixed(1)
}
