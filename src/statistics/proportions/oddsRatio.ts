import {
  type Contrast,
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
  quantityOf,
  type TestResult,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { increasingRoot } from '../numeric/bracket.js'
import { requireLevel } from '../numeric/columns.js'
import { normalCritical, requireEventsAmong } from '../numeric/counts.js'
import {
  type EventTable,
  logTails,
  meanEvents,
  minimumLikelihoodP,
  supportOf,
} from '../numeric/noncentralHypergeometric.js'
import { type ContrastOptions, type EventCount, unnamedGroups } from './twoProportions.js'

/** Estimates and intervals of an odds ratio. */
export type OddsRatioMethod = 'woolf' | 'half-added' | 'exact' | 'mid-p' | 'median-unbiased'

const methodNames: Readonly<Record<OddsRatioMethod, MethodName>> = {
  woolf: methodOf('sample-odds-ratio', 'woolf'),
  'half-added': methodOf('half-added-to-each-cell-haldane-anscombe', 'woolf'),
  exact: methodOf('conditional-maximum-likelihood', 'exact'),
  'mid-p': methodOf('conditional-maximum-likelihood', 'mid-p-exact'),
  'median-unbiased': methodOf('median-unbiased', 'mid-p-exact'),
}

const noInformation = 'all-or-none-had-event'

/**
 * Odds ratio of two independent groups, the group's odds over the reference's.
 *
 * @param group events and n of the group
 * @param against events and n of the reference
 * @param options level (0.95), method ('woolf'), comparator; 'woolf' has no interval where a cell is empty
 * @returns frozen contrast; unbounded or 0 where a cell is empty, not estimable where a whole margin is
 * @throws NumericalError `not-a-count`, `more-events-than-units`, `level-out-of-range`
 * Sources: Woolf 1955; Haldane 1956; Anscombe 1956; Cornfield 1956; Fisher 1935; Rothman 1986 (median-unbiased).
 * @example oddsRatio({ events: 3, n: 4 }, { events: 1, n: 4 }, { method: 'exact' }).estimate // => 6.40832
 */
export const oddsRatio = checked(
  'oddsRatio',
  (
    group: EventCount,
    against: EventCount,
    options: Omit<ContrastOptions<OddsRatioMethod>, 'clip'> = {},
  ): Contrast => {
    const { level = 0.95, method = 'woolf', comparator = unnamedGroups } = options
    requireEventsAmong(group.events, group.n)
    requireEventsAmong(against.events, against.n)
    requireLevel(level)
    const answer =
      method === 'woolf' || method === 'half-added'
        ? logOddsAnswer(group, against, method === 'woolf' ? 0 : 0.5, level)
        : conditionalAnswer(group, against, method, level)
    const n = group.n + against.n
    return deepFreeze({
      ...answer,
      level,
      method: methodNames[method],
      n,
      events: group.events + against.events,
      clusters: n,
      warnings: [],
      comparator: { group: comparator.group, against: comparator.against },
      reference: 'odds-ratio',
    })
  },
)

interface Answer {
  readonly estimate: Quantity
  readonly interval: Interval
  readonly standardError?: { readonly value: number; readonly scale: string }
}

function logOddsAnswer(group: EventCount, against: EventCount, added: number, level: number): Answer {
  if (group.n === 0 || against.n === 0) {
    return { estimate: notEstimable('group-without-units'), interval: noInterval('group-without-units') }
  }
  const a = group.events + added
  const b = group.n - group.events + added
  const c = against.events + added
  const d = against.n - against.events + added
  const estimate = quantityOf((a / b) * (d / c), noInformation)
  const variance = 1 / a + 1 / b + 1 / c + 1 / d
  if (!Number.isFinite(variance)) return { estimate, interval: noInterval('cell-empty') }
  const value = Math.sqrt(variance)
  const factor = Math.exp(normalCritical(level) * value)
  const odds = (a / b) * (d / c)
  return {
    estimate,
    interval: { lower: odds / factor, upper: odds * factor },
    standardError: { value, scale: 'log odds ratio' },
  }
}

function conditionalAnswer(
  group: EventCount,
  against: EventCount,
  method: 'exact' | 'mid-p' | 'median-unbiased',
  level: number,
): Answer {
  const table = tableOf(group, against)
  const x = group.events
  const [least, most] = supportOf(table)
  const [lower, upper] = conditionalLimits(table, x, level, method === 'exact' ? 1 : 0.5)
  const interval = { lower: quantityOf(lower, noInformation), upper: quantityOf(upper, noInformation) }
  if (least === most) return { estimate: notEstimable(noInformation), interval }
  if (method === 'median-unbiased') {
    if (x === least || x === most) return { estimate: notEstimable('cell-empty'), interval }
    return { estimate: Math.exp(limitAt(table, x, 0.5, 0.5, 'lower')), interval }
  }
  if (x === least) return { estimate: 0, interval }
  if (x === most) return { estimate: quantityOf(Number.POSITIVE_INFINITY, noInformation), interval }
  const logEstimate = increasingRoot((log) => meanEvents(table, log) - x, startOf(table, x))
  return { estimate: quantityOf(Math.exp(logEstimate ?? Number.NaN), noInformation), interval }
}

/** Exact limits of the odds ratio given the margins; `weight` is the share of the observed table that counts. */
function conditionalLimits(table: EventTable, x: number, level: number, weight: number): [number, number] {
  const [least, most] = supportOf(table)
  const tail = (1 - level) / 2
  return [
    x === least ? 0 : Math.exp(limitAt(table, x, tail, weight, 'lower')),
    x === most ? Number.POSITIVE_INFINITY : Math.exp(limitAt(table, x, tail, weight, 'upper')),
  ]
}

/** Log odds ratio at which the tail that holds x has the given probability. */
function limitAt(
  table: EventTable,
  x: number,
  tail: number,
  weight: number,
  side: 'lower' | 'upper',
): number {
  const logTail = (log: number): number => {
    const { fewer, exactly, more } = logTails(table, x, log)
    return logSum(side === 'lower' ? more : fewer, exactly + Math.log(weight))
  }
  const sign = side === 'lower' ? 1 : -1
  const root = increasingRoot((log) => sign * (logTail(log) - Math.log(tail)), startOf(table, x))
  return root ?? Number.NaN
}

function startOf({ n1, n2, total }: EventTable, x: number): number {
  return Math.log(((x + 0.5) * (n2 - total + x + 0.5)) / ((n1 - x + 0.5) * (total - x + 0.5)))
}

function logSum(a: number, b: number): number {
  const most = Math.max(a, b)
  return most === Number.NEGATIVE_INFINITY ? most : most + Math.log(Math.exp(a - most) + Math.exp(b - most))
}

function tableOf(group: EventCount, against: EventCount): EventTable {
  return { n1: group.n, n2: against.n, total: group.events + against.events }
}

/** Fisher's exact test with its one- and two-sided forms. */
export interface FisherTest extends TestResult {
  /** Probability of as few events in the group, or fewer. */
  readonly pLess: number
  /** Probability of as many events in the group, or more. */
  readonly pGreater: number
  /** Twice the smaller of the two, at most 1. */
  readonly pDoubled: number
  /** Twice the smaller of the two with half of the observed table's probability, at most 1. */
  readonly midPDoubled: number
}

/**
 * Fisher's exact test of independence in a table of two groups by event. `pValue` sums the probabilities of all
 * tables no more probable than the one observed (relative slack 1e-7 for ties).
 *
 * @param group events and n of the group
 * @param against events and n of the reference
 * @returns frozen test; `statistic` is the number of events in the group
 * @throws NumericalError `not-a-count`, `more-events-than-units`
 * Source: Fisher 1935; Lancaster 1961 (mid-P).
 * @example fisherTest({ events: 3, n: 4 }, { events: 1, n: 4 }).pValue // => 0.485714
 */
export const fisherTest = checked('fisherTest', (group: EventCount, against: EventCount): FisherTest => {
  requireEventsAmong(group.events, group.n)
  requireEventsAmong(against.events, against.n)
  const table = tableOf(group, against)
  const x = group.events
  const { fewer, exactly, more } = logTails(table, x, 0)
  const one = Math.exp(exactly)
  const pLess = Math.min(1, Math.exp(fewer) + one)
  const pGreater = Math.min(1, Math.exp(more) + one)
  const n = group.n + against.n
  return deepFreeze({
    statistic: x,
    degreesOfFreedom: notEstimable('no-degrees-of-freedom'),
    pValue: minimumLikelihoodP(table, x),
    pLess,
    pGreater,
    pDoubled: Math.min(1, 2 * Math.min(pLess, pGreater)),
    midPDoubled: Math.min(1, 2 * (Math.exp(Math.min(fewer, more)) + one / 2)),
    method: methodOf('fisher-exact', 'tables-no-more-probable'),
    n,
    events: table.total,
    clusters: n,
    warnings: [],
    reference: 'fisher-test',
  })
})
