import { NumericalError } from '../../core/errors.js'
import { notReached, type Quantity } from '../../core/estimate.js'
import { type MethodName, methodOf, term } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireFinite, requireSameLength, requireZeroOne } from '../numeric/columns.js'

/** Options of a risk-adjusted cumulative chart. */
export interface CumulativeChartOptions {
  /** Odds ratio against the expected risk that counts as in order; default 1. */
  readonly acceptable?: number
  /** Odds ratio that the chart is to find; default 2. The lower branch looks for its reciprocal. */
  readonly toDetect?: number
  /** Whether a branch starts again from 0 after each signal; default false. */
  readonly restart?: boolean
}

/** One case of the chart. */
export interface CumulativeChartRow {
  /** Log-likelihood-ratio score of the case for the odds ratio to be found. */
  readonly weight: number
  /** Height of the branch that looks for that odds ratio. */
  readonly up: number
  /** Height of the branch that looks for its reciprocal. */
  readonly down: number
  /** Events so far less those expected. */
  readonly observedLessExpected: number
}

/** A risk-adjusted cumulative log-likelihood-ratio chart. */
export interface CumulativeChart {
  readonly rows: readonly CumulativeChartRow[]
  readonly limit: number
  /** Cases, counted from 1, at which a branch reached the limit; with no restart every case from then on may. */
  readonly signals: readonly number[]
  readonly signalsDown: readonly number[]
  readonly firstSignal: Quantity
  readonly firstSignalDown: Quantity
  readonly n: number
  readonly events: number
  readonly expectedEvents: number
  readonly method: MethodName
  readonly reference: string
}

/**
 * Risk-adjusted cumulative chart of single cases (Steiner and others 2000): each case adds the log-likelihood ratio of
 * a raised odds of the event against the expected one, the sum never falls below 0, and a signal is a sum at the
 * limit. A second branch looks for odds as much lower.
 *
 * @param events 1 where the case had the event, in the order of the cases
 * @param risks expected risk of each case, from 0 to 1
 * @param limit height at which a branch signals, above 0; see limitForRunLength
 * @param options acceptable 1, toDetect 2, restart false
 * @throws NumericalError `unequal-length`, `not-zero-one`, `not-finite`, `risk-out-of-range`, `limit-not-positive`,
 *   `ratio-not-usable`
 * @example riskAdjustedChart([0, 1, 1], [0.1, 0.1, 0.1], 1).firstSignal // => 3
 */
export const riskAdjustedChart = checked(
  'riskAdjustedChart',
  (
    events: NumberColumn,
    risks: NumberColumn,
    limit: number,
    options: CumulativeChartOptions = {},
  ): CumulativeChart => {
    const { acceptable = 1, toDetect = 2, restart = false } = options
    const n = requireSameLength({ events, risks })
    requireZeroOne('events', events)
    requireRisks(risks)
    requireRatios(acceptable, toDetect)
    requireLimit(limit)
    const rows: CumulativeChartRow[] = []
    const signals: number[] = []
    const signalsDown: number[] = []
    let up = 0
    let down = 0
    let excess = 0
    let expectedEvents = 0
    let observed = 0
    for (let i = 0; i < n; i++) {
      const event = events[i]! === 1
      const risk = risks[i]!
      const weight = caseWeight(event, risk, acceptable, toDetect)
      up = Math.max(0, up + weight)
      down = Math.max(0, down + caseWeight(event, risk, acceptable, 1 / toDetect))
      excess += events[i]! - risk
      expectedEvents += risk
      observed += events[i]!
      rows.push(Object.freeze({ weight, up, down, observedLessExpected: excess }))
      if (up >= limit) signals.push(i + 1)
      if (down >= limit) signalsDown.push(i + 1)
      if (restart && up >= limit) up = 0
      if (restart && down >= limit) down = 0
    }
    return Object.freeze({
      rows: Object.freeze(rows),
      limit,
      signals: Object.freeze(signals),
      signalsDown: Object.freeze(signalsDown),
      firstSignal: signals[0] ?? notReached(n),
      firstSignalDown: signalsDown[0] ?? notReached(n),
      n,
      events: observed,
      expectedEvents,
      method: methodOf(
        'risk-adjusted-cumulative-log-likelihood-ratio',
        term('odds-ratio-against', { toDetect, acceptable }),
      ),
      reference: 'cumulative-chart',
    })
  },
)

/** Log-likelihood ratio of one case. */
export function caseWeight(event: boolean, risk: number, acceptable: number, toDetect: number): number {
  const common = Math.log1p((acceptable - 1) * risk) - Math.log1p((toDetect - 1) * risk)
  return event ? common + Math.log(toDetect / acceptable) : common
}

/** Refuses risks that are missing or outside [0, 1]. */
export function requireRisks(risks: NumberColumn): void {
  requireFinite('risks', risks)
  for (let i = 0; i < risks.length; i++) {
    if (risks[i]! < 0 || risks[i]! > 1) {
      throw new NumericalError({
        code: 'risk-out-of-range',
        problem: `column risks leaves the range from 0 to 1, first in case ${i + 1} of ${risks.length}.`,
        expected: 'the expected risk of each case as a share.',
        mend: 'write 5% as 0.05.',
      })
    }
  }
}

/** Refuses odds ratios that are not positive or not apart. */
export function requireRatios(acceptable: number, toDetect: number): void {
  const usable = [acceptable, toDetect].every((ratio) => Number.isFinite(ratio) && ratio > 0)
  if (usable && acceptable !== toDetect) return
  throw new NumericalError({
    code: 'ratio-not-usable',
    problem: `the odds ratios are ${acceptable} (in order) and ${toDetect} (to be found).`,
    expected: 'two different odds ratios above 0.',
    mend: 'use 1 and 2, for a doubling of the odds.',
  })
}

/** Refuses a limit that is not above 0. */
export function requireLimit(limit: number): void {
  if (Number.isFinite(limit) && limit > 0) return
  throw new NumericalError({
    code: 'limit-not-positive',
    problem: `the limit is ${limit}.`,
    expected: 'a height above 0.',
    mend: 'set it by the run length that is wanted without a change.',
  })
}
