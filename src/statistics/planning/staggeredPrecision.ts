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
  /** Units that come in per day. */
  readonly perDay: number
  /** How often each cluster counts, where clusters were drawn anew; default once each. */
  readonly drawn?: Int32Array
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

/** How follow-up of a unit ended: it goes on, with an event, with another end, or nobody knows since it is lost. */
const ending = { none: 0, event: 1, other: 2, lost: 3 } as const

/** Beyond any horizon. */
const never = 2 ** 31 - 1

/**
 * Units placed into bins of age. What a unit adds to which bin does not hang on how often it counts, nor on the horizon, so
 * that it is worked out once for any number of practices that are drawn from it.
 */
export interface PlacedUnits {
  readonly n: number
  /** Usual days between two looks. */
  readonly gap: number
  /** Cluster of each unit, numbered from 0 by the first unit of each. */
  readonly cluster: Int32Array
  readonly clusters: number
  /** First and last bin at risk (the first `never` where there is none), and how much of each the unit was at risk. */
  readonly first: Int32Array
  readonly last: Int32Array
  readonly ofFirst: Float64Array
  readonly ofLast: Float64Array
  /** Bin in which follow-up ended, and how. */
  readonly end: Int32Array
  readonly ending: Uint8Array
  /** Day of the last look, and how long the unit could have been followed. */
  readonly lastLook: Float64Array
  readonly possible: Float64Array
  /** Units that go on being followed, gathered by bin of the last look and of what was possible; −1 for all others. */
  readonly cell: Int32Array
  /** Bin of the last look of each cell. */
  readonly binOfCell: Int32Array
}

/**
 * Places units into bins of age.
 *
 * @param columns what is known so far; a row of `possible` that is no number counts as followed to the end of its time
 * @param gap usual days between two looks; a unit unseen for one and a half of them is lost
 */
export function placedUnits(columns: FollowedSoFar, gap: number): PlacedUnits {
  const { time, status, entry, possible } = columns
  const n = time.length
  const cluster = numbered(columns.cluster)
  const first = new Int32Array(n).fill(never)
  const last = new Int32Array(n)
  const ofFirst = new Float64Array(n)
  const ofLast = new Float64Array(n)
  const end = new Int32Array(n)
  const endings = new Uint8Array(n)
  const lastLook = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    const from = entry[i]!
    const to = time[i]!
    const firstBin = Math.floor(from / binDays)
    last[i] = Math.ceil(to / binDays) - 1
    if (firstBin <= last[i]!) {
      first[i] = firstBin
      ofFirst[i] = (Math.min(to, (firstBin + 1) * binDays) - from) / binDays
      ofLast[i] = (to - Math.max(from, last[i]! * binDays)) / binDays
    }
    end[i] = Math.max(0, last[i]!)
    endings[i] =
      status[i] === 1
        ? ending.event
        : status[i] !== 0
          ? ending.other
          : possible[i]! - to > gapsUntilLost * gap
            ? ending.lost
            : ending.none
    lastLook[i] = Math.max(to, from)
  }
  const seen = Float64Array.from(possible)
  const { cell, binOfCell } = cellsGoingOn(endings, lastLook, seen)
  return {
    n,
    gap,
    cluster,
    clusters: cluster.reduce((most, one) => Math.max(most, one + 1), 0),
    first,
    last,
    ofFirst,
    ofLast,
    end,
    ending: endings,
    lastLook,
    possible: seen,
    cell,
    binOfCell,
  }
}

/** Values numbered from 0 in the order in which they first come. */
function numbered(values: ArrayLike<number>): Int32Array {
  const numbers = new Map<number, number>()
  const found = new Int32Array(values.length)
  for (let i = 0; i < values.length; i++) {
    const number = numbers.get(values[i]!) ?? numbers.size
    numbers.set(values[i]!, number)
    found[i] = number
  }
  return found
}

/** Gathers the units that go on being followed by bin of the last look and bin of what was possible. */
function cellsGoingOn(
  endings: Uint8Array,
  lastLook: Float64Array,
  possible: Float64Array,
): Pick<PlacedUnits, 'cell' | 'binOfCell'> {
  const cell = new Int32Array(endings.length).fill(-1)
  const going = Array.from(endings.keys()).filter((i) => endings[i] === ending.none && possible[i]! >= 0)
  const binOf = (day: number): number => Math.floor(day / binDays)
  const most = going.reduce((highest, i) => Math.max(highest, binOf(lastLook[i]!)), 0)
  const cells = numbered(going.map((i) => binOf(lastLook[i]!) + binOf(possible[i]!) * (most + 1)))
  const binOfCell: number[] = []
  going.forEach((i, at) => {
    cell[i] = cells[at]!
    binOfCell[cells[at]!] = binOf(lastLook[i]!)
  })
  return { cell, binOfCell: Int32Array.from(binOfCell) }
}

interface Bins {
  readonly count: number
  readonly atRisk: Float64Array
  readonly events: Float64Array
  readonly others: Float64Array
  readonly lost: Float64Array
}

function binned(units: PlacedUnits, drawn: Int32Array, count: number): Bins {
  const { cluster, first, last, ofFirst, ofLast, end } = units
  const atRisk = new Float64Array(count)
  const counts = [0, 1, 2, 3].map(() => new Float64Array(count))
  // Bins that a row spans from end to end are counted by where they begin and end: whole bins in which it was at risk.
  const spanned = new Float64Array(count + 1)
  for (let i = 0; i < units.n; i++) {
    const times = drawn[cluster[i]!]!
    if (times === 0) continue
    if (first[i]! < count) {
      atRisk[first[i]!]! += times * ofFirst[i]!
      if (last[i]! > first[i]!) {
        spanned[first[i]! + 1]! += times
        if (last[i]! < count) {
          atRisk[last[i]!]! += times * ofLast[i]!
          spanned[last[i]!]! -= times
        }
      }
    }
    if (end[i]! < count) counts[units.ending[i]!]![end[i]!]! += times
  }
  let whole = 0
  for (let bin = 0; bin < count; bin++) {
    whole += spanned[bin]!
    atRisk[bin]! += whole
  }
  return {
    count,
    atRisk,
    events: counts[ending.event]!,
    others: counts[ending.other]!,
    lost: counts[ending.lost]!,
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
  const hazard = new Float64Array(bins.count).fill(mean)
  for (let bin = 0; bin < seen; bin++) hazard[bin] = counts[bin]! / bins.atRisk[bin]!
  return hazard
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
  for (let bin = seen; bin < bins.count; bin++) hazard[bin] = reached(bin + 1) - reached(bin)
  return hazard
}

/** Squared influences summed over clusters, over squared influences summed over units. */
function clusteringRatio(
  units: PlacedUnits,
  drawn: Int32Array,
  bins: Bins,
  hazard: Float64Array,
  seen: number,
): number {
  const { cluster, first, last, ofFirst, ofLast, end } = units
  const pull = new Float64Array(seen)
  const before = new Float64Array(seen + 1)
  for (let bin = 0; bin < seen; bin++) {
    pull[bin] = hazard[bin]! / bins.atRisk[bin]!
    before[bin + 1] = before[bin]! + pull[bin]!
  }
  const ofCluster = new Float64Array(units.clusters)
  let independent = 0
  for (let i = 0; i < units.n; i++) {
    const times = drawn[cluster[i]!]!
    if (times === 0) continue
    let influence = 0
    const from = first[i]!
    const to = last[i]!
    if (from < seen) {
      influence -= ofFirst[i]! * pull[from]!
      if (to > from) influence -= before[Math.min(to, seen)]! - before[from + 1]!
      if (to > from && to < seen) influence -= ofLast[i]! * pull[to]!
    }
    if (units.ending[i] === ending.event && end[i]! < seen) influence += 1 / bins.atRisk[end[i]!]!
    independent += times * influence * influence
    ofCluster[cluster[i]!]! += influence
  }
  let together = 0
  for (let one = 0; one < ofCluster.length; one++) together += drawn[one]! * ofCluster[one]! * ofCluster[one]!
  return independent > 0 ? together / independent : 1
}

/**
 * How precise a risk will be on any later day. What is at risk at each age then is counted from those followed now, those
 * who will go on being followed, each looked at a gap after its last look and then once a gap, and those who will still come
 * in at the pace so far; hazard, loss and the time between looks stay as they were. A unit counts as at risk up to its last
 * look, which for those who still come in lies half a gap before the end on average. The variance of the log of the share without the event is the sum of hazard over number at risk (Greenwood's
 * type), times what clusters made of it so far.
 *
 * @param units what is known so far
 * @param options horizon, pace, how often each cluster counts, and what is assumed where too little was seen
 */
export function staggeredPrecision(units: PlacedUnits, options: StaggeredOptions): StaggeredPrecision {
  const { horizon, perDay, assumedRisk, assumedRatio } = options
  const drawn = options.drawn ?? new Int32Array(units.clusters).fill(1)
  const count = Math.max(1, Math.round(horizon / binDays))
  const bins = binned(units, drawn, count)
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
  const goingOn = lookedAtLater(looksToCome(units, drawn, inPlay), count, units.gap)
  const unitsNow = unitsOf(units, drawn)
  return Object.freeze({
    risk: assumedRisk ?? had,
    ratio: assumedRatio ?? clusteringRatio(units, drawn, bins, own, seen),
    followedShare: followed,
    seenUntil: seen * binDays,
    in: (days: number) => {
      const later = goingOn(days)
      let independentVariance = 0
      let events = 0
      let atRisk = 0
      for (let bin = 0; bin < count; bin++) {
        const reach = (inPlay[bin]! + inPlay[bin + 1]!) / 2
        atRisk =
          bins.atRisk[bin]! + reach * (later[bin]! + perDay * daysOfFresh(days - ageOf(bin), units.gap))
        if (hazard[bin] !== 0) independentVariance += hazard[bin]! / atRisk
        events += atRisk * hazard[bin]!
      }
      return {
        independentVariance: atRisk >= leastAtRisk ? independentVariance : Number.POSITIVE_INFINITY,
        units: unitsNow + perDay * days,
        events,
      }
    },
  })
}

function unitsOf({ cluster }: PlacedUnits, drawn: Int32Array): number {
  let sum = 0
  for (let i = 0; i < cluster.length; i++) sum += drawn[cluster[i]!]!
  return sum
}

/** Days on which those came in who come in from now on, evenly, and will have been looked at so many days past an age. */
function daysOfFresh(past: number, gap: number): number {
  return past <= 0 ? 0 : past <= gap ? (past * past) / (2 * gap) : past - gap / 2
}

/** Gaps over which the looks of one day are spread. */
const spreadOfLooks = 0.2

/** Age of a unit in the middle of a bin. */
function ageOf(bin: number): number {
  return (bin + 0.5) * binDays
}

/** The first bin whose middle lies past an age. */
function binPast(age: number): number {
  return Math.floor(age / binDays - 0.5) + 1
}

/** Looks that units under follow-up now have before them: each is the first at the age of some bins, in no gap. */
interface LooksToCome {
  readonly count: number
  /** Gaps from now to the look. */
  readonly ahead: Float64Array
  /** Units that are looked at, as far as they are still there at the time. */
  readonly units: Float64Array
  /** First of those bins, and the one after the last. */
  readonly from: Int32Array
  readonly to: Int32Array
}

/**
 * The looks of units under follow-up now: their last is known, the next comes a gap after it (where that is past, halfway to the
 * day on which they would count as lost), then one each gap. Units of a cell go by their mean.
 */
function looksToCome(units: PlacedUnits, drawn: Int32Array, inPlay: Float64Array): LooksToCome {
  const { gap, cell, binOfCell, cluster, lastLook, possible } = units
  const bins = inPlay.length - 1
  const cells = binOfCell.length
  const rows = new Float64Array(cells)
  const looked = new Float64Array(cells)
  const sofar = new Float64Array(cells)
  for (let i = 0; i < units.n; i++) {
    const own = cell[i]!
    const times = drawn[cluster[i]!]!
    if (own < 0 || times === 0) continue
    rows[own]! += times
    looked[own]! += times * lastLook[i]!
    sofar[own]! += times * possible[i]!
  }
  const most = cells * (Math.ceil((bins * binDays) / gap) + 2)
  const looks = {
    ahead: new Float64Array(most),
    units: new Float64Array(most),
    from: new Int32Array(most),
    to: new Int32Array(most),
  }
  let count = 0
  for (let own = 0; own < cells; own++) {
    if (rows[own] === 0 || binOfCell[own]! >= bins) continue
    const last = looked[own]! / rows[own]!
    const since = (sofar[own]! / rows[own]! - last) / gap
    const still = rows[own]! / inPlay[binOfCell[own]!]!
    let from = binPast(last)
    for (let look = Math.max(1, (since + gapsUntilLost) / 2); from < bins; look++) {
      const to = Math.min(bins, binPast(last + look * gap))
      if (to <= from) continue
      looks.ahead[count] = look - since
      looks.units[count] = still
      looks.from[count] = from
      looks.to[count++] = to
      from = to
    }
  }
  return { ...looks, count }
}

/**
 * Units under follow-up now that will have been looked at, after so many days, at the age of a bin or later, as far as they
 * reach it. Once all have been, it stays so: the days that are asked for are many.
 */
function lookedAtLater(looks: LooksToCome, bins: number, gap: number): (days: number) => Float64Array {
  const { count, ahead, units, from, to } = looks
  let allAfter = Number.POSITIVE_INFINITY
  const all = new Float64Array(bins)
  return (days) => {
    if (days >= allAfter) return all
    const steps = new Float64Array(bins + 1)
    let whole = true
    for (let i = 0; i < count; i++) {
      const share = Math.min(1, (days / gap - ahead[i]!) / spreadOfLooks)
      if (share < 1) whole = false
      if (share <= 0) continue
      steps[from[i]!]! += units[i]! * share
      steps[to[i]!]! -= units[i]! * share
    }
    for (let bin = 1; bin < bins; bin++) steps[bin]! += steps[bin - 1]!
    if (whole) {
      allAfter = days
      all.set(steps.subarray(0, bins))
    }
    return steps
  }
}

/** Quantiles of Student's t by the number of events, with two degrees of freedom fewer and one at the least. */
export type QuantileOfEvents = (events: number) => number

/** Quantiles for intervals of a level; each whole number of degrees of freedom is computed once. */
export function quantilesFor(level: number): QuantileOfEvents {
  const known = new Map<number, number>()
  return (events) => {
    const freedom = Math.max(1, Math.round(events) - 2)
    let found = known.get(freedom)
    if (found === undefined) {
      found = studentTQuantile((1 + level) / 2, freedom)
      known.set(freedom, found)
    }
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
