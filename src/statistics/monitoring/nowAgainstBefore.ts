import { type RandomStream, randomStream } from '../../core/random.js'
import { normalQuantile } from '../numeric/distributions.js'
import { garwoodLimits } from '../rates/rateLimits.js'

/** What a chart of counts against a baseline rests on. */
export interface WatchedCounts {
  /** Events expected in each step of equal length, from the rates of the baseline. */
  readonly expected: ArrayLike<number>
  /** Events seen in each step. */
  readonly observed: ArrayLike<number>
  /** Events that the rates of the baseline rest on: as many independent ones as would leave what is expected as uncertain. */
  readonly baselineEvents: number
  /** Variance of counts over that of independent events; at least 1. */
  readonly dispersion: number
}

/** Options of the limit. */
export interface WatchedOptions {
  /** Steps within which the false alarm is stated. */
  readonly steps: number
  /** Chance of a false alarm within them; default 0.1. */
  readonly falseAlarm?: number
  /** Simulated courses; default 2000. */
  readonly courses?: number
  readonly seed: number
}

/** Score of an event for a rate twice as high: log 2, less what is expected. */
const score = Math.LN2

/** Upward cumulative chart: each step adds log 2 for every event, less what was expected, and never falls below nought. */
export function cumulativeScores({ expected, observed }: WatchedCounts): Float64Array {
  const sums = new Float64Array(expected.length)
  let sum = 0
  for (let i = 0; i < sums.length; i++) {
    sum = Math.max(0, sum + score * observed[i]! - expected[i]!)
    sums[i] = sum
  }
  return sums
}

/**
 * Height that the chart passes within the steps with the stated chance where nothing changes. The true rates are drawn for
 * every course from what the baseline leaves open (gamma with its effective events), and events come in clumps where the
 * counts spread more than independent ones.
 */
export function limitOfChart(counts: WatchedCounts, options: WatchedOptions): number {
  const { falseAlarm = 0.1, courses = 2000, seed } = options
  const expected = extended(counts.expected, options.steps)
  const highest = Array.from({ length: courses }, (_one, course) => {
    const random = randomStream(seed, course)
    const factor = baselineFactor(counts, random)
    let sum = 0
    let most = 0
    for (const one of expected) {
      sum = Math.max(0, sum + score * clumped(one * factor, counts.dispersion, random) - one)
      most = Math.max(most, sum)
    }
    return most
  }).sort((one, two) => one - two)
  return highest[Math.min(courses - 1, Math.ceil((1 - falseAlarm) * courses))]!
}

/**
 * Steps until the chart passes its limit once the rate of whatever began from now on has doubled: median over courses, and
 * the share that passes within the most steps that are looked at.
 *
 * @param perStep events expected per step where nothing changes
 * @param shareYounger share of them in units that began at most so many steps ago
 */
export function stepsToSee(
  counts: Pick<WatchedCounts, 'baselineEvents' | 'dispersion'>,
  limit: number,
  perStep: number,
  shareYounger: (steps: number) => number,
  options: { readonly most: number; readonly courses?: number; readonly seed: number },
): { readonly median?: number; readonly share: number } {
  const { most, courses = 400, seed } = options
  const raised = Array.from({ length: most }, (_one, step) => perStep * (1 + shareYounger(step + 1)))
  const passed: number[] = []
  for (let course = 0; course < courses; course++) {
    const random = randomStream(seed, 100_000 + course)
    const factor = baselineFactor(counts, random)
    let sum = 0
    for (let step = 0; step < most; step++) {
      sum = Math.max(0, sum + score * clumped(raised[step]! * factor, counts.dispersion, random) - perStep)
      if (sum < limit) continue
      passed.push(step + 1)
      break
    }
  }
  passed.sort((one, two) => one - two)
  const median = passed[courses >> 1]
  return { ...(median === undefined ? {} : { median }), share: passed.length / courses }
}

/** Observed over expected, with limits that hold the error of both the count and the baseline. */
export function observedOverExpected(
  observed: number,
  expected: number,
  { baselineEvents, dispersion }: Pick<WatchedCounts, 'baselineEvents' | 'dispersion'>,
  level: number,
): { readonly estimate: number; readonly lower: number; readonly upper: number } {
  const [low, high] = garwoodLimits(observed / dispersion, level)
  const z = normalQuantile((1 + level) / 2)
  const ofBaseline = (z * z * dispersion) / baselineEvents
  const from = (low * dispersion) / expected
  const to = (high * dispersion) / expected
  const estimate = observed / expected
  // The two errors are put together on the scale of logs, each side by itself (Zou and Donner 2008).
  const centre = observed === 0 ? to / Math.E : estimate
  return {
    estimate,
    lower: observed === 0 ? 0 : estimate / Math.exp(Math.sqrt(Math.log(estimate / from) ** 2 + ofBaseline)),
    upper: centre * Math.exp(Math.sqrt(Math.log(to / centre) ** 2 + ofBaseline)),
  }
}

/** Expected counts for as many steps as are asked for; beyond what is there, the mean of its last half year of weeks. */
function extended(expected: ArrayLike<number>, steps: number): readonly number[] {
  const known = Array.from(expected).slice(0, steps)
  const last = known.slice(-26)
  const mean = last.reduce((sum, one) => sum + one, 0) / Math.max(1, last.length)
  return [...known, ...Array.from({ length: steps - known.length }, () => mean)]
}

/**
 * True rates over those of the baseline, drawn from a gamma distribution with half an event more than there were (Jeffreys's
 * prior for a Poisson rate): with it the stated chance holds on average over baselines of any size from five events on.
 */
function baselineFactor(
  { baselineEvents, dispersion }: Pick<WatchedCounts, 'baselineEvents' | 'dispersion'>,
  random: RandomStream,
): number {
  const effective = baselineEvents / dispersion
  return random.gamma(effective + 0.5) / effective
}

/** Events of a step: clumps come independently, their size is geometric so that variance over mean is the dispersion. */
function clumped(mean: number, dispersion: number, random: RandomStream): number {
  const size = (dispersion + 1) / 2
  let events = 0
  for (let clumps = poisson(mean / size, random); clumps > 0; clumps--) {
    events += 1
    while (random.uniform() > 1 / size) events += 1
  }
  return events
}

/** Poisson draw by products of uniforms; means of a step are small. */
function poisson(mean: number, random: RandomStream): number {
  let count = 0
  let left = mean
  while (left > 0) {
    const part = Math.min(left, 500)
    left -= part
    let product = random.uniform()
    for (const least = Math.exp(-part); product > least; product *= random.uniform()) count += 1
  }
  return count
}
