import { NumericalError } from '../../core/errors.js'
import { type Quantity, unbounded, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type AmountColumn, asDoubles, type CauseColumn, requireSameLength } from '../numeric/columns.js'
import { boundsOfMass } from './intervalCensored.js'
import { type CheckedIntervals, checkIntervals, type IntervalTimes } from './intervalTimes.js'

/** Mass of one cause within one interval; where in it the events lie the data do not say. */
export interface CauseMass {
  readonly lower: number
  readonly upper: Quantity
  readonly mass: number
}

/** Events of competing causes over time, each known only to lie in an interval. */
export interface IntervalCensoredIncidence {
  readonly causes: readonly {
    readonly cause: number
    readonly events: number
    readonly intervals: readonly CauseMass[]
  }[]
  /** Mass beyond the last time at which anybody was seen: of which cause it will be nobody knows. */
  readonly massBeyond: number
  readonly logLikelihood: number
  /** Largest excess of a derivative over its bound, relative to the total weight; 0 at the maximum. */
  readonly excess: number
  readonly n: number
  readonly events: number
  readonly iterations: number
  readonly converged: boolean
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** Cells of support: those of cause k stand at first[k] … first[k + 1] − 1, ascending; the mass beyond comes last. */
interface Support {
  readonly lower: readonly number[]
  readonly upper: readonly number[]
  readonly first: readonly number[]
  readonly beyond: boolean
  /** First and last cell that each row covers, by cause; a row of one cause covers cells of that cause only. */
  readonly from: readonly Int32Array[]
  readonly to: readonly Int32Array[]
}

const mostIterations = 50_000
/** Extrapolation may lower the likelihood for a while; passes after these are plain, so that they end at the maximum. */
const mostExtrapolated = mostIterations / 2
/** No mass falls to less than this share of what the plain step gives it, so that each can still grow. */
const leastKept = 0.1
/** Masses below this are left alone: numbers whose squares are no normal ones any more are slow, and add nothing. */
const negligible = 1e-150
const enough = 1e-12
const emptyMass = 1e-8

/**
 * Cumulative incidence of competing causes where each event is known only to lie in an interval: the non-parametric
 * maximum-likelihood estimate of the masses of all causes together, on the innermost intervals of each cause (Hudgens,
 * Satten and Longini 2001), by the EM algorithm with squared extrapolation (Varadhan and Roland 2008) until
 * the conditions of the maximum hold.
 *
 * @param times intervals (lower, upper]; `upper` Infinity where no event had happened by `lower`, equal to `lower` where
 *   the time is known
 * @param cause 0 where no event had happened, otherwise the number of its cause
 * @param options weights default 1
 * @throws NumericalError `unequal-length`, `reversed-interval`, `cause-without-end`, `end-without-cause`, `no-rows`
 * @example intervalCensoredIncidence({ lower: [0, 0, 1, 2], upper: [1, 1, 2, Infinity] }, [1, 2, 1, 0]).causes[0].intervals[0].mass // => 0.25
 */
export const intervalCensoredIncidence = checked(
  'intervalCensoredIncidence',
  (
    times: IntervalTimes,
    cause: CauseColumn,
    options: { readonly weights?: AmountColumn } = {},
  ): IntervalCensoredIncidence => {
    requireSameLength({ lower: times.lower, cause })
    const rows = checkIntervals(times, options.weights)
    const causes = [...new Set(Array.from(cause))].filter((one) => one > 0).sort((a, b) => a - b)
    const own = Int32Array.from(cause, (one) => causes.indexOf(one))
    requireCausesWhereEnded(rows, own)
    const weight = rows.weight ?? new Float64Array(rows.rows).fill(1)
    const support = supportOf(rows, own, causes.length)
    const fit = maximise(support, own, asDoubles(weight))
    const beyond = support.beyond ? fit.mass[fit.mass.length - 1]! : 0
    return deepFreeze({
      causes: causes.map((number, k) => ({
        cause: number,
        events: own.reduce((sum, one, row) => sum + (one === k && weight[row]! > 0 ? 1 : 0), 0),
        intervals: massesOf(support, fit.mass, k),
      })),
      massBeyond: beyond < emptyMass ? 0 : beyond,
      logLikelihood: fit.logLikelihood,
      excess: fit.excess,
      n: rows.n,
      events: rows.events,
      iterations: fit.iterations,
      converged: fit.excess <= 1e-6,
      method: methodOf('non-parametric-maximum-likelihood', 'competing-events', 'interval-censored-times'),
      warnings: [
        ...(rows.events === 0 ? [warning('no-event-known')] : []),
        ...(fit.excess <= 1e-6 ? [] : [warning('maximum-not-reached')]),
      ],
      reference: 'interval-censored-incidence',
    })
  },
)

/**
 * Cumulative incidence of a cause by a time, as bounds, since mass lies somewhere within its interval.
 *
 * @param estimate what `intervalCensoredIncidence` answered
 * @param cause number of the cause
 * @throws NumericalError `no-such-cause`
 * @example incidenceBounds(intervalCensoredIncidence({ lower: [0, 0, 1, 2], upper: [1, 1, 2, Infinity] }, [1, 2, 1, 0]), 1, 1.5).upper // => 0.5
 */
export const incidenceBounds = checked(
  'incidenceBounds',
  (
    estimate: IntervalCensoredIncidence,
    cause: number,
    time: number,
  ): { readonly time: number; readonly lower: number; readonly upper: number } => {
    const found = estimate.causes.find((one) => one.cause === cause)
    if (found === undefined) throw noSuchCause(cause, estimate)
    const masses = found.intervals.map((one) => one.mass)
    const total = masses.reduce((sum, one) => sum + one, 0)
    const free = boundsOfMass(
      found.intervals.map((one) => one.lower),
      found.intervals.map((one) => (typeof one.upper === 'number' ? one.upper : Number.POSITIVE_INFINITY)),
      masses,
      time,
    )
    return Object.freeze({
      time,
      lower: Math.max(0, total - free.upper),
      upper: Math.max(0, total - free.lower),
    })
  },
)

/**
 * Where the interval of each row begins and ends, as whole numbers in the order of time: at one time known times begin first,
 * then intervals end, then others begin, three numbers for each time.
 */
interface Marks {
  /** Times, ascending; the last is Infinity where a row has no end. */
  readonly times: Float64Array
  readonly begin: Int32Array
  readonly end: Int32Array
}

function marksOf({ rows, lower, upper }: CheckedIntervals): Marks {
  const times = Float64Array.from(new Set([...lower, ...upper])).sort()
  const places = new Map(Array.from(times, (time, place) => [time, place] as const))
  const begin = new Int32Array(rows)
  const end = new Int32Array(rows)
  for (let row = 0; row < rows; row++) {
    begin[row] = 3 * places.get(lower[row]!)! + (lower[row] === upper[row] ? 0 : 2)
    end[row] = 3 * places.get(upper[row]!)! + 1
  }
  return { times, begin, end }
}

function supportOf(rows: CheckedIntervals, own: Int32Array, causes: number): Support {
  const { times, begin, end } = marksOf(rows)
  const all = Array.from(begin.keys()).filter((row) => (rows.weight?.[row] ?? 1) > 0)
  const begins = all.map((row) => begin[row]!)
  const isEnd = (mark: number): boolean => mark % 3 === 1
  const cellBegin: number[] = []
  const cellEnd: number[] = []
  const first = [0]
  for (let k = 0; k < causes; k++) {
    const ends = all.filter((row) => own[row] === k).map((row) => end[row]!)
    const marks = Int32Array.from([...begins, ...ends]).sort()
    for (let i = 1; i < marks.length; i++) {
      if (!isEnd(marks[i]!) || isEnd(marks[i - 1]!)) continue
      cellBegin.push(marks[i - 1]!)
      cellEnd.push(marks[i]!)
    }
    first.push(cellBegin.length)
  }
  const open = all.filter((row) => own[row]! < 0)
  const latest = open.reduce((most, row) => Math.max(most, begin[row]!), 0)
  const beyond = open.length > 0 && !cellBegin.some((mark) => mark >= latest)
  const from = Array.from({ length: causes }, () => new Int32Array(rows.rows))
  const to = Array.from({ length: causes }, () => new Int32Array(rows.rows))
  for (const row of all) {
    for (let k = 0; k < causes; k++) {
      if (own[row]! >= 0 && own[row] !== k) continue
      from[k]![row] = firstFrom(cellBegin, begin[row]!, first[k]!, first[k + 1]!)
      to[k]![row] = firstFrom(cellEnd, end[row]! + 1, first[k]!, first[k + 1]!)
    }
  }
  const timeOf = (mark: number): number => times[Math.floor(mark / 3)]!
  return { lower: cellBegin.map(timeOf), upper: cellEnd.map(timeOf), first, beyond, from, to }
}

/** The first of ascending marks between two places that is at least so large; the end where none is. */
function firstFrom(marks: readonly number[], least: number, from: number, to: number): number {
  let [below, above] = [from, to]
  while (below < above) {
    const middle = (below + above) >> 1
    if (marks[middle]! < least) below = middle + 1
    else above = middle
  }
  return below
}

/** Rows that cover the same cells are one row with their weights together: the likelihood knows no other difference. */
interface RowGroups {
  readonly weight: Float64Array
  /** Whether nothing has happened in the rows of a group. */
  readonly open: Uint8Array
  /** First cell covered, and the one after the last, cause by cause within a group. */
  readonly from: Int32Array
  readonly to: Int32Array
}

function rowGroups(support: Support, own: Int32Array, weight: Float64Array): RowGroups {
  const causes = support.from.length
  const places = new Map<string, number>()
  const weights: number[] = []
  const open: number[] = []
  const from: number[] = []
  const to: number[] = []
  for (let row = 0; row < own.length; row++) {
    if (weight[row] === 0) continue
    const cells = support.from.flatMap((one, k) => [one[row]!, support.to[k]![row]!])
    const key = `${own[row]! < 0} ${cells.join(' ')}`
    const place = places.get(key)
    if (place !== undefined) {
      weights[place]! += weight[row]!
      continue
    }
    places.set(key, weights.length)
    weights.push(weight[row]!)
    open.push(own[row]! < 0 ? 1 : 0)
    for (let k = 0; k < causes; k++) {
      from.push(cells[2 * k]!)
      to.push(cells[2 * k + 1]!)
    }
  }
  return {
    weight: Float64Array.from(weights),
    open: Uint8Array.from(open),
    from: Int32Array.from(from),
    to: Int32Array.from(to),
  }
}

/** The EM algorithm on running sums, extrapolated after every second pass: a pass is linear in groups of rows and cells. */
function maximise(
  support: Support,
  own: Int32Array,
  weight: Float64Array,
): {
  readonly mass: Float64Array
  readonly logLikelihood: number
  readonly excess: number
  readonly iterations: number
} {
  const groups = rowGroups(support, own, weight)
  const causes = support.from.length
  const cells = support.lower.length
  const size = cells + (support.beyond ? 1 : 0)
  const total = weight.reduce((sum, one) => sum + one, 0)
  const state: MassState = {
    mass: new Float64Array(size).fill(1 / Math.max(1, size)),
    covered: new Float64Array(groups.weight.length),
    running: new Float64Array(cells + 1),
    steps: new Float64Array(cells + 1),
  }
  const { mass, covered } = state
  const start = new Float64Array(size)
  const once = new Float64Array(size)
  let excess = Number.POSITIVE_INFINITY
  let iterations = 0
  while (iterations < mostIterations && !(excess <= enough)) {
    const isSecond = iterations % 2 === 1
    ;(isSecond ? once : start).set(mass)
    excess = improveMass(state, groups, causes, total)
    iterations++
    if (isSecond && excess > enough && iterations < mostExtrapolated) extrapolate(start, once, mass)
  }
  const logLikelihood = groups.weight.reduce((sum, one, group) => sum + one * Math.log(covered[group]!), 0)
  return { mass, logLikelihood, excess, iterations }
}

/**
 * Goes on along the path of two steps (squared extrapolation with the third step length of Varadhan and Roland 2008). The
 * masses add up to 1 again, without which the conditions of the maximum would say nothing.
 *
 * @param mass masses after the second step, changed
 */
function extrapolate(start: Float64Array, once: Float64Array, mass: Float64Array): void {
  let stepSquares = 0
  let bendSquares = 0
  for (let j = 0; j < mass.length; j++) {
    if (mass[j]! < negligible) continue
    const step = once[j]! - start[j]!
    const bend = mass[j]! - once[j]! - step
    stepSquares += step * step
    bendSquares += bend * bend
  }
  const length = Math.sqrt(stepSquares / bendSquares)
  if (!(length > 1 && Number.isFinite(length))) return
  let sum = 0
  for (let j = 0; j < mass.length; j++) {
    if (mass[j]! < negligible) continue
    const step = once[j]! - start[j]!
    const bend = mass[j]! - once[j]! - step
    mass[j] = Math.max(leastKept * mass[j]!, start[j]! + length * (2 * step + length * bend))
    sum += mass[j]!
  }
  for (let j = 0; j < mass.length; j++) mass[j]! /= sum
}

/** The masses of the cells, that beyond the last look after them where there is one, and what a pass works with. */
type MassState = Readonly<Record<'mass' | 'covered' | 'running' | 'steps', Float64Array>>

/** One step of the EM algorithm; answers by how much the likelihood could still grow. */
function improveMass(state: MassState, groups: RowGroups, causes: number, total: number): number {
  const { mass, running, steps } = state
  const cells = running.length - 1
  const beyond = mass.length > cells
  for (let j = 0; j < cells; j++) running[j + 1] = running[j]! + mass[j]!
  const ofBeyond = fillSteps(groups, causes, beyond ? mass[cells]! : 0, state)
  let excess = 0
  let derivative = 0
  for (let j = 0; j < cells; j++) {
    derivative += steps[j]!
    const ratio = derivative / total
    excess = Math.max(excess, ratio - 1)
    mass[j]! *= ratio
  }
  if (beyond) {
    excess = Math.max(excess, ofBeyond / total - 1)
    mass[cells]! *= ofBeyond / total
  }
  return excess
}

/** Weights over covered mass, as steps of their running sum; answers with what open rows give to the mass beyond. */
function fillSteps(
  { weight, open, from, to }: RowGroups,
  causes: number,
  beyond: number,
  { covered, running, steps }: MassState,
): number {
  steps.fill(0)
  let ofBeyond = 0
  for (let group = 0; group < weight.length; group++) {
    const start = group * causes
    let sum = open[group] === 1 ? beyond : 0
    for (let k = start; k < start + causes; k++) sum += running[to[k]!]! - running[from[k]!]!
    covered[group] = sum
    const share = weight[group]! / sum
    for (let k = start; k < start + causes; k++) {
      steps[from[k]!]! += share
      steps[to[k]!]! -= share
    }
    if (open[group] === 1) ofBeyond += share
  }
  return ofBeyond
}

function massesOf({ lower, upper, first }: Support, mass: Float64Array, k: number): readonly CauseMass[] {
  const masses: CauseMass[] = []
  for (let j = first[k]!; j < first[k + 1]!; j++) {
    if (mass[j]! < emptyMass) continue
    const end = upper[j]!
    masses.push({ lower: lower[j]!, upper: Number.isFinite(end) ? end : unbounded('above'), mass: mass[j]! })
  }
  return masses
}

function requireCausesWhereEnded(rows: CheckedIntervals, own: Int32Array): void {
  for (let row = 0; row < rows.rows; row++) {
    const ended = Number.isFinite(rows.upper[row]!)
    if (ended === own[row]! >= 0) continue
    throw new NumericalError({
      code: ended ? 'end-without-cause' : 'cause-without-end',
      problem: `column cause says ${ended ? 'that no event had happened' : 'an event'} where upper is ${ended ? 'a time' : 'Infinity'}, first in row ${row + 1} of ${rows.rows}.`,
      expected: 'a cause above 0 exactly where upper is a time.',
      mend: 'give rows without an event the upper limit Infinity and the cause 0.',
    })
  }
}

function noSuchCause(cause: number, estimate: IntervalCensoredIncidence): NumericalError {
  return new NumericalError({
    code: 'no-such-cause',
    problem: `the estimate has no cause ${cause}.`,
    expected: `one of ${estimate.causes.map((one) => one.cause).join(', ')}.`,
    mend: 'ask for one of these.',
  })
}
