import { NumericalError } from '../../core/errors.js'
import { type Quantity, unbounded } from '../../core/estimate.js'
import { checked } from '../kernel/checked.js'
import { requireLimit } from './cumulativeChart.js'

/** One value that a case can add to a cumulative sum, with its probability. */
export interface ScoreStep {
  readonly score: number
  readonly probability: number
}

/** Options of the exact run length. */
export interface ExactRunLengthOptions {
  /**
   * Step of which all scores are whole multiples; default the largest 1/d, d up to 1000, that serves. Where none
   * does, give one: scores are then rounded to it and the answer is approximate.
   */
  readonly unit?: number
  /** Height from which the sum starts; default 0. */
  readonly start?: number
}

/**
 * Mean number of cases until a cumulative sum that never falls below 0 reaches a limit, the case that signals
 * included, by the linear system of the Markov chain of its heights (Brook and Evans 1972).
 *
 * The chain is reduced state by state without a subtraction (Grassmann, Taksar and Heyman 1985), so that run lengths of
 * many millions keep their digits.
 *
 * @param steps values that a case adds and their probabilities, which sum to 1
 * @param limit the sum signals at or above it, above 0
 * @param options unit, start 0
 * @returns the mean run length, or unbounded where the limit cannot be reached
 * @throws NumericalError `limit-not-positive`, `not-a-distribution`, `scores-not-commensurate`, `too-many-states`
 * @example exactRunLength([{ score: 1, probability: 0.5 }, { score: -1, probability: 0.5 }], 2) // => 6
 */
export const exactRunLength = checked(
  'exactRunLength',
  (steps: readonly ScoreStep[], limit: number, options: ExactRunLengthOptions = {}): Quantity => {
    const { start = 0 } = options
    requireLimit(limit)
    requireDistribution(steps)
    const unit = options.unit ?? commonUnit(steps)
    const moves = steps
      .filter(({ probability }) => probability > 0)
      .map(({ score, probability }) => ({ by: Math.round(score / unit), probability }))
    const states = Math.ceil(limit / unit - 1e-9)
    const from = Math.min(Math.max(0, Math.round(start / unit)), states - 1)
    if (!moves.some(({ by }) => by > 0)) return unbounded('above')
    return meanTime(chainOf(moves, states), from)
  },
)

/** Transition probabilities in a band around the diagonal, with the probability of leaving at the top. */
interface Chain {
  readonly states: number
  readonly below: number
  readonly width: number
  readonly band: Float64Array
  readonly leaving: Float64Array
}

function chainOf(moves: readonly { by: number; probability: number }[], states: number): Chain {
  const most = states - 1
  const below = Math.min(most, Math.max(0, ...moves.map(({ by }) => -by)))
  const above = Math.min(most, Math.max(0, ...moves.map(({ by }) => by)))
  const width = below + above + 1
  requireRoom(states * width, states * below * above)
  const band = new Float64Array(states * width)
  const leaving = new Float64Array(states)
  for (let state = 0; state < states; state++) {
    for (const { by, probability } of moves) {
      const next = Math.max(0, state + by)
      if (next >= states) leaving[state]! += probability
      else band[state * width + next - state + below]! += probability
    }
  }
  return { states, below, width, band, leaving }
}

/** Takes states out from the top; what a state costs and where it leads is handed to those that lead to it. */
function meanTime({ states, below, width, band, leaving }: Chain, from: number): Quantity {
  const cost = new Float64Array(states).fill(1)
  const above = width - 1 - below
  // Out of reach of the start, a state may have nowhere to go; those are passed over.
  for (let state = states - 1; state > from; state--) {
    const lowest = Math.max(0, state - below)
    let away = leaving[state]!
    for (let to = lowest; to < state; to++) away += band[state * width + to - state + below]!
    if (away === 0) continue
    for (let before = Math.max(0, state - above); before < state; before++) {
      const at = before * width + state - before + below
      const share = band[at]! / away
      if (share === 0) continue
      cost[before]! += share * cost[state]!
      leaving[before]! += share * leaving[state]!
      for (let to = lowest; to < state; to++) {
        band[before * width + to - before + below]! += share * band[state * width + to - state + below]!
      }
    }
  }
  return reducedFromBelow({ states, below, width, band, leaving }, cost, from)
}

/** The states at and below the start, taken out from the bottom, leave the start with its cost and its exit. */
function reducedFromBelow(chain: Chain, cost: Float64Array, from: number): Quantity {
  const { below, width, band, leaving } = chain
  const at = (row: number, column: number): number => row * width + column - row + below
  for (let state = 0; state < from; state++) {
    let away = leaving[state]!
    for (let to = state + 1; to <= from; to++) {
      const index = to - state + below
      if (index < width) away += band[at(state, to)]!
    }
    if (away === 0) continue
    for (let before = state + 1; before <= from && before - state <= below; before++) {
      const share = band[at(before, state)]! / away
      if (share === 0) continue
      cost[before]! += share * cost[state]!
      leaving[before]! += share * leaving[state]!
      for (let to = state + 1; to <= from && to - state + below < width; to++) {
        band[at(before, to)]! += share * band[at(state, to)]!
      }
    }
  }
  return leaving[from]! > 0 ? cost[from]! / leaving[from]! : unbounded('above')
}

function commonUnit(steps: readonly ScoreStep[]): number {
  for (let d = 1; d <= 1000; d++) {
    const whole = steps.every(({ score }) => {
      const multiple = score * d
      return Math.abs(multiple - Math.round(multiple)) < 1e-9 * Math.max(1, Math.abs(multiple))
    })
    if (whole) return 1 / d
  }
  throw new NumericalError({
    code: 'scores-not-commensurate',
    problem: 'the scores are not whole multiples of any step from 1 down to 1/1000.',
    expected: 'scores with a common step.',
    mend: 'give a unit, to which they are rounded, or simulate the run length.',
  })
}

function requireDistribution(steps: readonly ScoreStep[]): void {
  const sum = steps.reduce((total, { probability }) => total + probability, 0)
  const usable = steps.every(({ score, probability }) => Number.isFinite(score) && probability >= 0)
  if (usable && Math.abs(sum - 1) < 1e-9) return
  throw new NumericalError({
    code: 'not-a-distribution',
    problem: `the probabilities of the scores sum to ${sum}.`,
    expected: 'probabilities from 0 to 1 that sum to 1, and finite scores.',
    mend: 'check the scores and their probabilities.',
  })
}

function requireRoom(cells: number, steps: number): void {
  if (cells <= 3e7 && steps <= 5e9) return
  throw new NumericalError({
    code: 'too-many-states',
    problem: `the chain needs ${cells} numbers.`,
    expected: 'at most 30 million.',
    mend: 'use a coarser unit, or simulate the run length.',
  })
}
