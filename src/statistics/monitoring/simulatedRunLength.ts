import { mean, sampleStandardDeviation } from 'simple-statistics'
import { NumericalError } from '../../core/errors.js'
import { type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { randomStream } from '../../core/random.js'
import { checked } from '../kernel/checked.js'
import type { NumberColumn } from '../numeric/columns.js'
import { caseWeight, requireLimit, requireRatios, requireRisks } from './cumulativeChart.js'

/** Options of simulated run lengths. */
export interface RunLengthOptions {
  /** Odds ratio that counts as in order; default 1. */
  readonly acceptable?: number
  /** Odds ratio that the chart is to find; default 2. */
  readonly toDetect?: number
  /** Odds ratio at which the events really come; default 1: no change. */
  readonly truth?: number
  /** Simulated charts; default 1000. */
  readonly replicates?: number
  /** Cases after which a chart that has not signalled is stopped; default 100,000, or 20 times a wanted run length. */
  readonly longest?: number
  /** Default 1. */
  readonly seed?: number
}

/** A run length by simulation. */
export interface SimulatedRunLength {
  readonly limit: number
  /** Mean number of cases to the signal, the one that signals included. */
  readonly mean: number
  readonly monteCarloStandardError: number
  /** Charts stopped at the longest run without a signal; they count with that length. */
  readonly stopped: number
  readonly replicates: number
  readonly seed: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Mean run length of a risk-adjusted cumulative chart, by simulating cases whose risks are drawn from those given.
 *
 * @param risks expected risks of past cases, the mix that cases to come are drawn from
 * @param limit of the chart, above 0
 * @param options acceptable 1, toDetect 2, truth 1, replicates 1000, longest 100,000, seed 1
 * @throws NumericalError `no-risks`, `not-finite`, `risk-out-of-range`, `limit-not-positive`, `ratio-not-usable`
 * @example simulatedRunLength([0.5], 0.1, { truth: 1e9 }).mean // => 1
 */
export const simulatedRunLength = checked(
  'simulatedRunLength',
  (risks: NumberColumn, limit: number, options: RunLengthOptions = {}): SimulatedRunLength => {
    requireLimit(limit)
    const records = simulatedRecords(risks, { longest: 100_000, ...options }, limit)
    return summary(records, limit, options)
  },
)

/**
 * Limit at which a risk-adjusted cumulative chart runs for the wanted mean number of cases without a change, by
 * simulation; every height is tried on the same simulated charts, so the answer is steady in the seed.
 *
 * @param risks expected risks of past cases
 * @param wanted mean run length, above 1
 * @param options as simulatedRunLength; truth is the condition under which the run length is wanted, default 1
 * @returns the limit with its run length and Monte Carlo error
 * @throws NumericalError as simulatedRunLength, and `run-length-not-usable`
 * @example limitForRunLength([0.1], 200, { seed: 3, replicates: 200 }).limit > 1 // => true
 */
export const limitForRunLength = checked(
  'limitForRunLength',
  (risks: NumberColumn, wanted: number, options: RunLengthOptions = {}): SimulatedRunLength => {
    if (!(Number.isFinite(wanted) && wanted > 1)) {
      throw new NumericalError({
        code: 'run-length-not-usable',
        problem: `the wanted run length is ${wanted}.`,
        expected: 'a number of cases above 1.',
        mend: 'say after how many cases a false alarm is bearable.',
      })
    }
    const records = simulatedRecords(
      risks,
      { longest: Math.ceil(20 * wanted), ...options },
      Number.POSITIVE_INFINITY,
    )
    let lower = 0
    let upper = records.highest
    for (let step = 0; step < 60; step++) {
      const middle = (lower + upper) / 2
      if (mean(runLengths(records, middle)) < wanted) lower = middle
      else upper = middle
    }
    return summary(records, upper, options)
  },
)

/** New heights of each simulated chart with the cases at which they were reached. */
interface Records {
  readonly charts: readonly { readonly heights: readonly number[]; readonly cases: readonly number[] }[]
  readonly longest: number
  readonly highest: number
}

function simulatedRecords(
  risks: NumberColumn,
  options: RunLengthOptions & { readonly longest: number },
  enough: number,
): Records {
  const { acceptable = 1, toDetect = 2, truth = 1, replicates = 1000, longest, seed = 1 } = options
  requireRisks(risks)
  requireRatios(acceptable, toDetect)
  if (risks.length === 0) {
    throw new NumericalError({
      code: 'no-risks',
      problem: 'there are no risks to draw cases from.',
      expected: 'the expected risk of at least one case.',
      mend: 'pass the risks of past cases.',
    })
  }
  const eventScores = Float64Array.from(risks, (risk) => caseWeight(true, risk, acceptable, toDetect))
  const otherScores = Float64Array.from(risks, (risk) => caseWeight(false, risk, acceptable, toDetect))
  const chances = Float64Array.from(risks, (risk) => (truth * risk) / (1 - risk + truth * risk))
  let highest = 0
  const charts = Array.from({ length: replicates }, (_, replicate) => {
    const random = randomStream(seed, replicate)
    const heights: number[] = []
    const cases: number[] = []
    let height = 0
    let top = 0
    for (let count = 1; count <= longest && top < enough; count++) {
      const one = risks.length === 1 ? 0 : random.index(risks.length)
      const score = random.uniform() < chances[one]! ? eventScores[one]! : otherScores[one]!
      height = Math.max(0, height + score)
      if (height <= top) continue
      top = height
      heights.push(height)
      cases.push(count)
    }
    highest = Math.max(highest, top)
    return { heights, cases }
  })
  return { charts, longest, highest }
}

/** First case of each chart at or above a height, or the longest run. */
function runLengths({ charts, longest }: Records, limit: number): readonly number[] {
  return charts.map(({ heights, cases }) => {
    let low = 0
    let high = heights.length
    while (low < high) {
      const middle = (low + high) >> 1
      if (heights[middle]! >= limit) high = middle
      else low = middle + 1
    }
    return cases[low] ?? longest
  })
}

function summary(records: Records, limit: number, options: RunLengthOptions): SimulatedRunLength {
  const lengths = runLengths(records, limit)
  const runLength = mean(lengths)
  const spread = lengths.length < 2 ? 0 : sampleStandardDeviation(lengths)
  const stopped = records.charts.filter(
    ({ heights }) => heights.length === 0 || heights[heights.length - 1]! < limit,
  ).length
  const warnings =
    stopped === 0
      ? []
      : [warning('stopped-runs', { stopped, charts: lengths.length, cases: records.longest })]
  return Object.freeze({
    limit,
    mean: runLength,
    monteCarloStandardError: spread / Math.sqrt(lengths.length),
    stopped,
    replicates: lengths.length,
    seed: options.seed ?? 1,
    method: methodOf('simulation', 'risks-drawn-from-those-given'),
    warnings: Object.freeze(warnings),
    reference: 'cumulative-chart',
  })
}
