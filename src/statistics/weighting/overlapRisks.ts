import { keptOf } from '../../core/columns.js'
import { NumericalError } from '../../core/errors.js'
import { checked } from '../kernel/checked.js'
import { addRow, cellProduct } from '../numeric/filledCells.js'
import { ascendingOrder } from '../numeric/order.js'
import type { OverlapScores } from './overlapScores.js'

/**
 * Weighted cumulative incidence of two groups with competing events and delayed entry, and the influence of every row
 * on it, with the scores taken as known and with the scores estimated.
 */

/** What happened to each row. */
export interface TimedColumns {
  /** Last time at risk. */
  readonly time: Float64Array
  /** 0 censored, 1 event, 2 competing event. */
  readonly status: ArrayLike<number>
  /** First time at risk; default 0 for all. */
  readonly entry?: Float64Array | undefined
  /** How much a row counts besides its overlap weight; default 1. */
  readonly weights?: Float64Array | undefined
}

/** Weighted risk by group, their difference, and the influence of each row on them. */
export interface WeightedRisks {
  readonly group: number
  readonly against: number
  readonly difference: number
  /** Influence of each row on the risk of its own group, scores taken as known; the other group's is 0. */
  readonly influence: Float64Array
  /** What the scores being estimated adds to the influence of each row on the difference. */
  readonly ofScores: Float64Array
  /** The same for the risk of the group and of the comparator. */
  readonly ofScoresByGroup: { readonly group: Float64Array; readonly against: Float64Array }
  /** Rows at risk at the horizon, unweighted. */
  readonly atRisk: { readonly group: number; readonly against: number }
}

/** Order in which a set of times is walked; the same for every weighting of the same rows. */
export interface TimeOrder {
  readonly byTime: Int32Array
  readonly byEntry: Int32Array | undefined
}

/** Sorts rows by time, and by entry where some enter late. */
export function timeOrder({ time, entry }: Pick<TimedColumns, 'time' | 'entry'>): TimeOrder {
  const late = entry?.some((one) => one > 0) === true
  return { byTime: ascendingOrder(time), byEntry: late ? ascendingOrder(entry!) : undefined }
}

/** The rows of either group in the order of their times; those of the comparator first. */
type ArmOrders = readonly [TimeOrder, TimeOrder]

const known = new WeakMap<TimeOrder, { readonly inGroup: ArrayLike<number>; readonly arms: ArmOrders }>()

/** The orders of both groups: the same for every weighting, so that they are kept with the order of all. */
function armOrders(order: TimeOrder, inGroup: ArrayLike<number>): ArmOrders {
  const found = known.get(order)
  if (found?.inGroup === inGroup) return found.arms
  const of = (arm: number): TimeOrder => orderOf(order, (row) => inGroup[row] === arm)
  const arms: ArmOrders = [of(0), of(1)]
  known.set(order, { inGroup, arms })
  return arms
}

function orderOf({ byTime, byEntry }: TimeOrder, member: (row: number) => boolean): TimeOrder {
  return { byTime: keptOf(byTime, member), byEntry: byEntry && keptOf(byEntry, member) }
}

/** A weighted curve of one group: its event times with what the influence of a row needs of them. */
interface ArmCurve {
  readonly times: Float64Array
  /** Weighted incidence after each time. */
  readonly incidence: Float64Array
  /** Weight at risk at each time. */
  readonly atRisk: Float64Array
  /** Rows at risk at each time. */
  readonly rowsAtRisk: Int32Array
  /** Share free of any event just before each time. */
  readonly freeBefore: Float64Array
  /** Weighted hazard of the event, and of any event, at each time. */
  readonly hazard: Float64Array
  readonly anyHazard: Float64Array
}

/** Weighted Aalen–Johansen curve of the rows of one group. */
export function weightedCurve(
  columns: TimedColumns,
  weight: Float64Array,
  member: (row: number) => boolean,
  order: TimeOrder = timeOrder(columns),
): ArmCurve {
  return curveOf(columns, weight, orderOf(order, member))
}

/** The same of rows that are sorted out already. */
function curveOf(
  { time, status, entry }: TimedColumns,
  weight: Float64Array,
  { byTime: rows, byEntry: late }: TimeOrder,
): ArmCurve {
  let most = 0
  for (let i = 0; i < rows.length; i++) if (status[rows[i]!] !== 0) most++
  const times = new Float64Array(most)
  const incidence = new Float64Array(most)
  const atRisk = new Float64Array(most)
  const rowsAtRisk = new Int32Array(most)
  const freeBefore = new Float64Array(most)
  const hazard = new Float64Array(most)
  const anyHazard = new Float64Array(most)
  const remaining = suffixSums(rows, weight)
  // Rows that leave at or after each time, less those that have not entered yet.
  const waiting = late === undefined ? undefined : suffixSums(late, weight)
  let count = 0
  let entered = 0
  let free = 1
  let risk = 0
  for (let first = 0; first < rows.length; ) {
    const now = time[rows[first]!]!
    let last = first
    let own = 0
    let any = 0
    for (; last < rows.length && time[rows[last]!] === now; last++) {
      const row = rows[last]!
      if (status[row] === 0) continue
      any += weight[row]!
      if (status[row] === 1) own += weight[row]!
    }
    if (late !== undefined) while (entered < late.length && entry![late[entered]!]! < now) entered++
    const notYet = waiting === undefined ? 0 : waiting[entered]!
    const present = remaining[first]! - notYet
    if (any > 0 && present > 0) {
      times[count] = now
      atRisk[count] = present
      rowsAtRisk[count] = rows.length - first - (late === undefined ? 0 : late.length - entered)
      freeBefore[count] = free
      hazard[count] = own / present
      anyHazard[count] = Math.min(1, any / present)
      risk += (free * own) / present
      free *= 1 - Math.min(1, any / present)
      incidence[count++] = risk
    }
    first = last
  }
  return {
    times: times.subarray(0, count),
    incidence: incidence.subarray(0, count),
    atRisk: atRisk.subarray(0, count),
    rowsAtRisk: rowsAtRisk.subarray(0, count),
    freeBefore: freeBefore.subarray(0, count),
    hazard: hazard.subarray(0, count),
    anyHazard: anyHazard.subarray(0, count),
  }
}

/**
 * Risks of two groups by a horizon under overlap weights, and the influence of every row: the derivative of the
 * estimate by the weight of the row (infinitesimal jackknife), and what follows from the scores being estimated.
 * Summed over patients and squared, the influences give the variance (Mao, Li, Yang and Shen 2018, Biometrical
 * Journal 60:757, for estimated scores).
 *
 * @param columns time, status, entry, further weights
 * @param inGroup 1 in the group asked about
 * @param scores model of the choice, of the same rows
 * @param horizon in the unit of time; events at the horizon count
 * @throws NumericalError `unequal-length`
 * @example overlapRisks({ time: new Float64Array([1, 2, 3, 4]), status: [1, 0, 1, 0] }, [1, 1, 0, 0], overlapScores([1, 1, 0, 0], new Float64Array([1, 1, 1, 1]), 1), 3).difference // => 0
 */
export const overlapRisks = checked(
  'overlapRisks',
  (
    columns: TimedColumns,
    inGroup: ArrayLike<number>,
    scores: OverlapScores,
    horizon: number,
    order: TimeOrder = timeOrder(columns),
  ): WeightedRisks => {
    const n = inGroup.length
    if (columns.time.length !== n || scores.score.length !== n) throw unequal(n, columns.time.length)
    return risksOf(columns, inGroup, scores, horizon, order)
  },
)

/** The same of columns and scores that belong together. */
export function risksOf(
  columns: TimedColumns,
  inGroup: ArrayLike<number>,
  scores: OverlapScores,
  horizon: number,
  order: TimeOrder,
): WeightedRisks {
  const n = inGroup.length
  const further = columns.weights
  const weight = scores.weight.slice()
  if (further !== undefined) for (let i = 0; i < n; i++) weight[i]! *= further[i]!
  const influence = new Float64Array(n)
  const derivative = new Float64Array(n)
  const risks = armOrders(order, inGroup).map((rows) => {
    const curve = curveOf(columns, weight, rows)
    fillDerivatives(derivative, columns, curve, rows.byTime, horizon)
    return riskAt(curve, horizon)
  })
  for (let i = 0; i < n; i++) influence[i] = weight[i]! * derivative[i]!
  const byGroup = scoreInfluences(derivative, inGroup, scores, further)
  const ofScores = new Float64Array(n)
  for (let i = 0; i < n; i++) ofScores[i] = byGroup.group[i]! - byGroup.against[i]!
  return {
    group: risks[1]!,
    against: risks[0]!,
    difference: risks[1]! - risks[0]!,
    influence,
    ofScores,
    ofScoresByGroup: byGroup,
    atRisk: {
      group: countAtRisk(columns, inGroup, 1, horizon),
      against: countAtRisk(columns, inGroup, 0, horizon),
    },
  }
}

/** Rows of a group whose time at risk reaches a time. */
export function countAtRisk(
  { time, entry }: Pick<TimedColumns, 'time' | 'entry'>,
  inGroup: ArrayLike<number>,
  arm: number,
  at: number,
): number {
  let count = 0
  for (let i = 0; i < time.length; i++) {
    if (inGroup[i] === arm && time[i]! >= at && (entry?.[i] ?? 0) < at) count++
  }
  return count
}

/** Weighted incidence at a time: that of the last event time not after it. */
export function riskAt({ times, incidence }: Pick<ArmCurve, 'times' | 'incidence'>, at: number): number {
  const index = lastNotAfter(times, at)
  return index < 0 ? 0 : incidence[index]!
}

/**
 * Derivative of the risk by the weight of each row of the group: with dΛ the weighted hazards, S the share free of any
 * event and F the risk, a row changes F by the integral of S(u−) dM₁(u) − (F(t) − F(u)) dM(u) / (1 − ΔΛ(u)), over the
 * weight at risk.
 *
 * @param rows those of the group, by time
 */
function fillDerivatives(
  derivative: Float64Array,
  columns: TimedColumns,
  curve: ArmCurve,
  rows: Int32Array,
  horizon: number,
): void {
  const { times, incidence, atRisk, freeBefore, hazard, anyHazard } = curve
  const last = lastNotAfter(times, horizon)
  const end = last < 0 ? 0 : incidence[last]!
  const ownStep = new Float64Array(last + 1)
  const anyStep = new Float64Array(last + 1)
  const drift = new Float64Array(last + 2)
  for (let k = 0; k <= last; k++) {
    const left = 1 - anyHazard[k]!
    const ahead = left > 0 ? (end - incidence[k]!) / left : 0
    ownStep[k] = freeBefore[k]! / atRisk[k]!
    anyStep[k] = ahead / atRisk[k]!
    drift[k + 1] = drift[k]! + ownStep[k]! * hazard[k]! - anyStep[k]! * anyHazard[k]!
  }
  const { time, status, entry } = columns
  let passed = -1
  for (let at = 0; at < rows.length; at++) {
    const i = rows[at]!
    while (passed < last && times[passed + 1]! <= time[i]!) passed++
    const until = passed
    const since =
      entry === undefined || !(entry[i]! > 0) ? -1 : Math.min(last, lastNotAfter(times, entry[i]!))
    let sum = -(drift[Math.max(until, since) + 1]! - drift[since + 1]!)
    if (status[i] !== 0 && until >= 0 && times[until] === time[i]!) {
      sum += (status[i] === 1 ? ownStep[until]! : 0) - anyStep[until]!
    }
    derivative[i] = sum
  }
}

/** Influence of each row on the risk of either group by way of the coefficients of the scores. */
function scoreInfluences(
  derivative: Float64Array,
  inGroup: ArrayLike<number>,
  { score, width, solve, cells }: OverlapScores,
  further: Float64Array | undefined,
): { readonly group: Float64Array; readonly against: Float64Array } {
  const slopes = [new Float64Array(width), new Float64Array(width)] as const
  const n = score.length
  for (let i = 0; i < n; i++) {
    const arm = inGroup[i] === 1 ? 1 : 0
    const spread = score[i]! * (1 - score[i]!) * (arm === 1 ? -1 : 1) * (further?.[i] ?? 1)
    addRow(slopes[arm], cells, i, derivative[i]! * spread)
  }
  const [ofAgainst, ofGroup] = [solve(slopes[0]), solve(slopes[1])]
  const [against, group] = [new Float64Array(n), new Float64Array(n)]
  for (let i = 0; i < n; i++) {
    const residual = inGroup[i]! - score[i]!
    const share = further?.[i] ?? 1
    against[i] = cellProduct(cells, i, ofAgainst) * residual * share
    group[i] = cellProduct(cells, i, ofGroup) * residual * share
  }
  return { group, against }
}

/** Sums of a column over the rows from each position on. */
function suffixSums(rows: Int32Array, weight: Float64Array): Float64Array {
  const sums = new Float64Array(rows.length + 1)
  for (let i = rows.length - 1; i >= 0; i--) sums[i] = sums[i + 1]! + weight[rows[i]!]!
  return sums
}

/** Position of the last of ascending times that is not after a time; −1 where all are. */
function lastNotAfter(times: Float64Array, at: number): number {
  let low = 0
  let high = times.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (times[middle]! <= at) low = middle + 1
    else high = middle
  }
  return low - 1
}

function unequal(n: number, times: number): NumericalError {
  return new NumericalError({
    code: 'unequal-length',
    problem: `there are ${n} groups, but ${times} times.`,
    expected: 'columns and scores of the same rows.',
    mend: 'make columns, groups and scores of the same rows.',
  })
}

/**
 * Unweighted risk of the rows of one group by a horizon, and its derivative by the weight of each row: with the number
 * of rows times it added to the risk, the pseudo-observation of the row.
 */
export function incidenceDerivative(
  columns: TimedColumns,
  member: (row: number) => boolean,
  horizon: number,
): { readonly risk: number; readonly derivative: Float64Array } {
  const n = columns.time.length
  const order = orderOf(timeOrder(columns), member)
  const curve = curveOf(columns, new Float64Array(n).fill(1), order)
  const derivative = new Float64Array(n)
  fillDerivatives(derivative, columns, curve, order.byTime, horizon)
  return { risk: riskAt(curve, horizon), derivative }
}
