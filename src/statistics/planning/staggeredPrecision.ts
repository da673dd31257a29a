import { studentTQuantile } from '../numeric/distributions.js'

/** What is known so far of units that came in one after the other, in days since each came in. */
export interface FollowedSoFar {
  /** End of the time at risk. */
  readonly time: ArrayLike<number>
  /** 0 censored, 1 event, any other number another end. */
  readonly status: ArrayLike<number>
  /** First day at risk. */
  readonly entry: ArrayLike<number>
  readonly cluster: ArrayLike<number>
  /** How long the unit could have been followed. */
  readonly possible: ArrayLike<number>
}

/** Options of the precision to come. */
export interface StaggeredOptions {
  /** Day by which the risk is asked for. */
  readonly horizon: number
  /** Usual days between two looks; a unit unseen for one and a half of them is lost. */
  readonly gap: number
  /** Units that come in per day. */
  readonly perDay: number
  /** Risk by the horizon that is taken in the place of what was seen. */
  readonly assumedRisk?: number
  /** Variance over that of independent units that is taken in the place of the ratio that was seen. */
  readonly assumedRatio?: number
}

/** The precision of a risk at any later day, as far as units go on coming in and being followed as they were. */
export interface StaggeredPrecision {
  /** Risk by the horizon, other ends competing. */
  readonly risk: number
  /** Variance with clusters kept together over that of independent units. */
  readonly ratio: number
  /** Share not lost by the horizon. */
  readonly followedShare: number
  /** Day up to which the hazard was seen with at least ten at risk; beyond it it is carried on as a power of time. */
  readonly seenUntil: number
  /** What there will be that many days from now. */
  in(days: number): {
    /**
     * Variance of the log of the share without the event, units independent: the sum of hazard over number at risk.
     * Infinite where fewer than ten are at risk at the horizon.
     */
    readonly independentVariance: number
    /** Units that will have come in. */
    readonly units: number
    /** Events expected by the horizon. */
    readonly events: number
  }
}

/** Width of the bins of time, in days: a twelfth of a year. */
const binDays = 365.25 / 12

/** Fewest at risk from whom a hazard is taken. */
const leastAtRisk = 10

/** Unseen for this many gaps, a unit counts as lost. */
const gapsUntilLost = 1.5

interface Bins {
  readonly count: number
  readonly atRisk: Float64Array
  readonly events: Float64Array
  readonly others: Float64Array
  readonly lost: Float64Array
}

/** Whether a unit was lost rather than not seen again yet. */
function isLost({ time, status, possible }: FollowedSoFar, i: number, gap: number): boolean {
  return status[i] === 0 && possible[i]! - time[i]! > gapsUntilLost * gap
}

function binned(columns: FollowedSoFar, count: number, gap: number): Bins {
  const bins: Bins = {
    count,
    atRisk: new Float64Array(count),
    events: new Float64Array(count),
    others: new Float64Array(count),
    lost: new Float64Array(count),
  }
  const { time, status, entry } = columns
  // Bins that a row spans from end to end are counted by where they begin and end: whole months in which it was at risk.
  const spanned = new Float64Array(count + 1)
  for (let i = 0; i < time.length; i++) {
    const end = time[i]!
    const at = stretchOf(entry[i]!, end)
    if (at.first < count && at.first <= at.last) {
      bins.atRisk[at.first]! += at.ofFirst
      if (at.last > at.first) spanned[at.first + 1]! += 1
      if (at.last > at.first && at.last < count) {
        bins.atRisk[at.last]! += at.ofLast
        spanned[at.last]! -= 1
      }
    }
    const last = Math.max(0, Math.ceil(end / binDays) - 1)
    if (last >= count) continue
    if (status[i] === 1) bins.events[last]! += 1
    else if (status[i] !== 0) bins.others[last]! += 1
    else if (isLost(columns, i, gap)) bins.lost[last]! += 1
  }
  let whole = 0
  for (let bin = 0; bin < count; bin++) {
    whole += spanned[bin]!
    bins.atRisk[bin]! += whole
  }
  return bins
}

/** The first and last bin in which a row was at risk, none where `last` is below `first`, and its share of each. */
function stretchOf(entry: number, end: number): Record<'first' | 'last' | 'ofFirst' | 'ofLast', number> {
  const first = Math.floor(entry / binDays)
  const last = Math.ceil(end / binDays) - 1
  return {
    first,
    last,
    ofFirst: (Math.min(end, (first + 1) * binDays) - entry) / binDays,
    ofLast: (end - Math.max(entry, last * binDays)) / binDays,
  }
}

/** Hazard of each bin, what was seen where enough were at risk, the mean so far beyond. */
function hazards(bins: Bins, counts: Float64Array, seen: number): Float64Array {
  let events = 0
  let time = 0
  for (let bin = 0; bin < seen; bin++) {
    events += counts[bin]!
    time += bins.atRisk[bin]!
  }
  const mean = time > 0 ? events / time : 0
  return Float64Array.from({ length: bins.count }, (_one, bin) =>
    bin < seen ? counts[bin]! / bins.atRisk[bin]! : mean,
  )
}

/** Least power of time that is read off the hazard so far; common practice, no source. */
const leastShape = 0.5

/**
 * Hazard of each bin. Beyond what was seen it slows down where it slowed down so far, since events that come early would else
 * make the risk to come too high: the cumulative hazard goes on as a power of time, halfway between the power on which that of
 * the first half and of all that was seen lie, which a few events leave uncertain, and a hazard that stays.
 */
function eventHazards(bins: Bins, seen: number): Float64Array {
  const hazard = hazards(bins, bins.events, seen)
  const until = (end: number): number => {
    let sum = 0
    for (let bin = 0; bin < end; bin++) sum += hazard[bin]!
    return sum
  }
  const half = Math.floor(seen / 2)
  const [first, all] = [until(half), until(seen)]
  if (!(first > 0) || seen === bins.count) return hazard
  const slowed = Math.min(1, Math.max(leastShape, Math.log(all / first) / Math.log(seen / half)))
  const shape = (1 + slowed) / 2
  const reached = (bin: number): number => all * (bin / seen) ** shape
  return hazard.map((one, bin) => (bin < seen ? one : reached(bin + 1) - reached(bin)))
}

/** Squared influences summed over clusters, over squared influences summed over rows. */
function clusteringRatio(columns: FollowedSoFar, bins: Bins, hazard: Float64Array, seen: number): number {
  const { time, status, entry, cluster } = columns
  const byCluster = new Map<number, number>()
  const before = new Float64Array(seen + 1)
  const pull = (bin: number): number => (bin < seen ? hazard[bin]! / bins.atRisk[bin]! : 0)
  for (let bin = 0; bin < seen; bin++) before[bin + 1] = before[bin]! + pull(bin)
  let independent = 0
  for (let i = 0; i < time.length; i++) {
    let influence = 0
    const at = stretchOf(entry[i]!, time[i]!)
    if (at.first < seen && at.first <= at.last) {
      influence -= at.ofFirst * pull(at.first)
      if (at.last > at.first)
        influence -= before[Math.min(at.last, seen)]! - before[at.first + 1]! + at.ofLast * pull(at.last)
    }
    const last = Math.max(0, Math.ceil(time[i]! / binDays) - 1)
    if (status[i] === 1 && last < seen) influence += 1 / bins.atRisk[last]!
    independent += influence * influence
    byCluster.set(cluster[i]!, (byCluster.get(cluster[i]!) ?? 0) + influence)
  }
  let together = 0
  for (const one of byCluster.values()) together += one * one
  return independent > 0 ? together / independent : 1
}

/**
 * How precise a risk will be on any later day. What is at risk at each age then is counted from those followed now, those
 * who will go on being followed, each looked at a gap after its last look and then once a gap, and those who will still come
 * in at the pace so far; hazard, loss and the time between looks stay as they were. A unit counts as at risk up to its last
 * look, which for those who still come in lies half a gap before the end on average. The variance of the log of the share without the event is the sum of hazard over number at risk (Greenwood's
 * type), times what clusters made of it so far.
 *
 * @param columns what is known so far; a row of `possible` that is no number counts as followed to the end of its time
 * @param options horizon, gap, pace, and what is assumed where too little was seen
 */
export function staggeredPrecision(columns: FollowedSoFar, options: StaggeredOptions): StaggeredPrecision {
  const { horizon, gap, perDay, assumedRisk, assumedRatio } = options
  const count = Math.max(1, Math.round(horizon / binDays))
  const bins = binned(columns, count, gap)
  let seen = 0
  while (seen < count && bins.atRisk[seen]! >= leastAtRisk) seen++
  const own = eventHazards(bins, seen)
  const hazard =
    assumedRisk === undefined ? own : new Float64Array(count).fill(-Math.log1p(-assumedRisk) / count)
  const ends = hazards(bins, bins.others, seen)
  const losses = hazards(bins, bins.lost, seen)
  const inPlay = new Float64Array(count + 1).fill(1)
  let [free, had] = [1, 0]
  let followed = 1
  for (let bin = 0; bin < count; bin++) {
    had += free * hazard[bin]!
    free *= Math.max(0, 1 - hazard[bin]! - ends[bin]!)
    followed *= Math.max(0, 1 - losses[bin]!)
    inPlay[bin + 1] = inPlay[bin]! * Math.max(1e-6, 1 - hazard[bin]! - ends[bin]! - losses[bin]!)
  }
  const goingOn = unitsGoingOn(cellsGoingOn(columns, inPlay, gap), inPlay, gap)
  const atRiskIn = (days: number): Float64Array => {
    const atRisk = new Float64Array(count)
    for (let bin = 0; bin < count; bin++) atRisk[bin] = bins.atRisk[bin]! + later(bin, days)
    return atRisk
  }
  const later = (bin: number, days: number): number => {
    const reach = (inPlay[bin]! + inPlay[bin + 1]!) / 2
    // Those who come in from now on, spread evenly over the days to come.
    const past = days - ageOf(bin)
    const fresh = past <= 0 ? 0 : past <= gap ? (past * past) / (2 * gap) : past - gap / 2
    return goingOn(bin, days) + perDay * reach * fresh
  }
  return Object.freeze({
    risk: assumedRisk ?? had,
    ratio: assumedRatio ?? clusteringRatio(columns, bins, own, seen),
    followedShare: followed,
    seenUntil: seen * binDays,
    in: (days: number) => {
      const atRisk = atRiskIn(days)
      const reached = atRisk[count - 1]! >= leastAtRisk
      let independentVariance = 0
      let events = 0
      for (let bin = 0; bin < count; bin++) {
        if (hazard[bin] !== 0) independentVariance += hazard[bin]! / atRisk[bin]!
        events += atRisk[bin]! * hazard[bin]!
      }
      return {
        independentVariance: reached ? independentVariance : Number.POSITIVE_INFINITY,
        units: columns.time.length + perDay * days,
        events,
      }
    },
  })
}

/** Gaps over which the looks of one day are spread. */
const spreadOfLooks = 0.2

/** Age of a unit in the middle of a bin. */
function ageOf(bin: number): number {
  return (bin + 0.5) * binDays
}

/**
 * Units under follow-up now that will have been looked at, after so many days, at the age of a bin or later. Their last look
 * is known: the next comes a gap after it (where that is past, halfway to the day on which they would count as lost), then
 * one each gap. Nobody is looked at in no time.
 *
 * Which look it takes is settled once for every cell and bin, and a bin in which all have been looked at stays so: the days
 * that are asked for are many.
 */
function unitsGoingOn(
  cells: readonly Cell[],
  inPlay: Float64Array,
  gap: number,
): (bin: number, days: number) => number {
  const bins = inPlay.length - 1
  const from = new Int32Array(bins + 1)
  const now = new Float64Array(bins * cells.length)
  const look = new Float64Array(now.length)
  const units = new Float64Array(now.length)
  let count = 0
  for (let bin = 0; bin < bins; bin++) {
    const age = ageOf(bin)
    const reach = (inPlay[bin]! + inPlay[bin + 1]!) / 2
    for (let one = 0; one < cells.length; one++) {
      const { time, possible, weight } = cells[one]!
      if (!(time < age)) continue
      const since = (possible - time) / gap
      const next = Math.max(1, (since + gapsUntilLost) / 2)
      now[count] = since
      look[count] = next + Math.max(0, Math.ceil((age - time) / gap - next))
      units[count++] = weight * reach
    }
    from[bin + 1] = count
  }
  const allAfter = new Float64Array(bins).fill(Number.POSITIVE_INFINITY)
  const all = new Float64Array(bins)
  return (bin, days) => {
    if (days >= allAfter[bin]!) return all[bin]!
    const ahead = days / gap
    const end = from[bin + 1]!
    let sum = 0
    let whole = true
    for (let i = from[bin]!; i < end; i++) {
      const share = (now[i]! + ahead - look[i]!) / spreadOfLooks
      if (share >= 1) sum += units[i]!
      else {
        whole = false
        if (share > 0) sum += units[i]! * share
      }
    }
    if (whole) {
      allAfter[bin] = days
      all[bin] = sum
    }
    return sum
  }
}

interface Cell {
  readonly time: number
  readonly possible: number
  readonly weight: number
}

/** Units under follow-up now, gathered by month of their last look and month of what was possible. */
function cellsGoingOn(columns: FollowedSoFar, inPlay: Float64Array, gap: number): readonly Cell[] {
  const { time, status, entry, possible } = columns
  const cells = new Map<number, { time: number; possible: number; weight: number; rows: number }>()
  for (let i = 0; i < time.length; i++) {
    if (status[i] !== 0 || isLost(columns, i, gap) || !(possible[i]! >= 0)) continue
    const start = Math.max(time[i]!, entry[i]!)
    const month = Math.floor(start / binDays)
    if (month >= inPlay.length - 1) continue
    const key = month + Math.floor(possible[i]! / binDays) * inPlay.length
    const found = cells.get(key)
    const cell = found ?? { time: 0, possible: 0, weight: 0, rows: 0 }
    if (found === undefined) cells.set(key, cell)
    cell.time += start
    cell.possible += possible[i]!
    cell.weight += 1 / inPlay[month]!
    cell.rows += 1
  }
  return [...cells.values()].map((cell) => ({
    time: cell.time / cell.rows,
    possible: cell.possible / cell.rows,
    weight: cell.weight,
  }))
}

/** Quantiles of Student's t by the number of events, with two degrees of freedom fewer and one at the least. */
export type QuantileOfEvents = (events: number) => number

/** Quantiles for intervals of a level; each whole number of degrees of freedom is computed once. */
export function quantilesFor(level: number): QuantileOfEvents {
  const known = new Map<number, number>()
  return (events) => {
    const freedom = Math.max(1, Math.round(events) - 2)
    const found = known.get(freedom) ?? studentTQuantile((1 + level) / 2, freedom)
    known.set(freedom, found)
    return found
  }
}

/** Width of the log-log interval of a risk. */
export function widthOfRisk(risk: number, varianceOfLog: number, quantile: number): number {
  const log = -Math.log1p(-risk)
  if (!(log > 0) || !Number.isFinite(varianceOfLog)) return 1
  const spread = Math.exp((quantile * Math.sqrt(varianceOfLog)) / log)
  return (1 - risk) ** (1 / spread) - (1 - risk) ** spread
}
