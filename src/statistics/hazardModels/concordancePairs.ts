import type { RiskOrder } from './riskOrder.js'

/** Weighted numbers of pairs within strata. */
export interface PairCounts {
  readonly concordant: number
  readonly discordant: number
  /** Comparable by time, but of equal score. */
  readonly tiedScore: number
  /** Events at the same time, of different score. */
  readonly tiedTime: number
  readonly tiedBoth: number
}

/** Pair counts with what each place adds to them, its weight included. */
export interface CountedPairs {
  readonly counts: PairCounts
  /** Weight of the comparable pairs of each place. */
  readonly compared: Float64Array
  /** Weight of those in favour of the score, ties of the score at one half. */
  readonly inFavour: Float64Array
}

/**
 * Counts pairs in n log n steps with cumulative sums over the ranks of the score (Fenwick 1994), one range of ranks
 * per stratum: one tree of those at risk, seen by each event, and one of past events, seen by each row over its time
 * at risk.
 */
export function countPairs(
  order: RiskOrder,
  score: Float64Array,
  weight: Float64Array | undefined,
): CountedPairs {
  const places = score.length
  const ranks = ranksByStratum(order, score)
  const state: PairState = {
    order,
    weight: weight ?? new Float64Array(places).fill(1),
    rank: ranks.rank,
    atRisk: new Tree(ranks.total),
    events: new Tree(ranks.total),
    compared: new Float64Array(places),
    inFavour: new Float64Array(places),
    counts: { concordant: 0, discordant: 0, tiedScore: 0, tiedTime: 0, tiedBoth: 0 },
  }
  const { stratumOfEventTime, bucketStart, eventEnd } = order
  const last = stratumOfEventTime.length - 1
  let stratumEnd = places
  for (let k = last; k >= 0; k--) {
    const ends = k === last || stratumOfEventTime[k] !== stratumOfEventTime[k + 1]
    if (ends) {
      stratumEnd = bucketStart[k + 1]!
      state.atRisk.open(ranks.first[k]!, ranks.count[k]!)
      state.events.open(ranks.first[k]!, ranks.count[k]!)
    } else
      for (const place of entering(order, k + 1)) state.atRisk.add(state.rank[place]!, -state.weight[place]!)
    for (let place = eventEnd[k]!; place < bucketStart[k + 1]!; place++) {
      state.atRisk.add(state.rank[place]!, state.weight[place]!)
      seeEvents(state, place, -1)
    }
    eventsSeeRisk(state, k)
    countTiedEvents(state, k)
    for (let place = bucketStart[k]!; place < eventEnd[k]!; place++) {
      state.atRisk.add(state.rank[place]!, state.weight[place]!)
      state.events.add(state.rank[place]!, state.weight[place]!)
    }
    for (let place = bucketStart[k]!; place < eventEnd[k]!; place++) seeEvents(state, place, -1)
    for (const place of entering(order, k)) seeEvents(state, place, 1)
    if (k === 0 || stratumOfEventTime[k] !== stratumOfEventTime[k - 1]) {
      for (let place = bucketStart[k]!; place < stratumEnd; place++) {
        if (order.firstCovered === undefined || order.firstCovered[place] === k) seeEvents(state, place, 1)
      }
    }
  }
  return { counts: state.counts, compared: state.compared, inFavour: state.inFavour }
}

interface PairState {
  readonly order: RiskOrder
  readonly weight: Float64Array
  readonly rank: Int32Array
  readonly atRisk: Tree
  readonly events: Tree
  readonly compared: Float64Array
  readonly inFavour: Float64Array
  readonly counts: { -readonly [K in keyof PairCounts]: number }
}

/** Places that enter late, at an event time of their stratum that is not its first. */
function entering(order: RiskOrder, k: number): Uint32Array {
  return order.entry.subarray(order.entryStart[k]!, order.entryStart[k + 1]!)
}

/** Adds, or takes away, the pairs of one place with the events counted so far. */
function seeEvents(state: PairState, place: number, sign: number): void {
  const rank = state.rank[place]!
  const share = sign * state.weight[place]!
  const below = state.events.below(rank)
  const upTo = state.events.below(rank + 1)
  state.compared[place]! += share * state.events.total
  state.inFavour[place]! += share * (state.events.total - upTo + (upTo - below) / 2)
}

/** Compares each event of one time with those at risk who do not have it then. */
function eventsSeeRisk(state: PairState, k: number): void {
  const { counts } = state
  for (let place = state.order.bucketStart[k]!; place < state.order.eventEnd[k]!; place++) {
    const share = state.weight[place]!
    const below = state.atRisk.below(state.rank[place]!)
    const upTo = state.atRisk.below(state.rank[place]! + 1)
    const above = state.atRisk.total - upTo
    counts.concordant += share * below
    counts.discordant += share * above
    counts.tiedScore += share * (upTo - below)
    state.compared[place]! += share * state.atRisk.total
    state.inFavour[place]! += share * (below + (upTo - below) / 2)
  }
}

/** Pairs of events of one time, by whether their scores differ. */
function countTiedEvents(state: PairState, k: number): void {
  const from = state.order.bucketStart[k]!
  const to = state.order.eventEnd[k]!
  if (to - from < 2) return
  const byRank = new Map<number, { weight: number; square: number }>()
  let weight = 0
  let square = 0
  for (let place = from; place < to; place++) {
    const share = state.weight[place]!
    const same = byRank.get(state.rank[place]!) ?? { weight: 0, square: 0 }
    byRank.set(state.rank[place]!, { weight: same.weight + share, square: same.square + share * share })
    weight += share
    square += share * share
  }
  let same = 0
  for (const one of byRank.values()) same += (one.weight * one.weight - one.square) / 2
  state.counts.tiedBoth += same
  state.counts.tiedTime += (weight * weight - square) / 2 - same
}

/** Sums of weights by rank within the range of one stratum at a time. */
class Tree {
  total = 0
  private first = 0
  private size = 0
  private readonly sums: Float64Array

  constructor(size: number) {
    this.sums = new Float64Array(size + 1)
  }

  /** Starts the range of a stratum; each is used once. */
  open(first: number, size: number): void {
    this.first = first
    this.size = size
    this.total = 0
  }

  add(rank: number, weight: number): void {
    this.total += weight
    for (let i = rank + 1; i <= this.size; i += i & -i) this.sums[this.first + i]! += weight
  }

  /** Weight of ranks below the given one. */
  below(rank: number): number {
    let sum = 0
    for (let i = rank; i > 0; i -= i & -i) sum += this.sums[this.first + i]!
    return sum
  }
}

/** Ranks of scores from 0 within each stratum, equal scores alike, and where the ranks of each event time's stratum lie. */
function ranksByStratum(
  order: RiskOrder,
  score: Float64Array,
): {
  readonly rank: Int32Array
  readonly first: Int32Array
  readonly count: Int32Array
  readonly total: number
} {
  const { stratumOfEventTime, bucketStart } = order
  const times = stratumOfEventTime.length
  const rank = new Int32Array(score.length)
  const first = new Int32Array(times)
  const count = new Int32Array(times)
  let total = 0
  for (let from = 0; from < times; ) {
    let to = from
    while (to < times && stratumOfEventTime[to] === stratumOfEventTime[from]) to++
    const values = score.slice(bucketStart[from]!, bucketStart[to]!).sort()
    let distinct = 0
    for (let i = 0; i < values.length; i++)
      if (i === 0 || values[i] !== values[i - 1]) values[distinct++] = values[i]!
    const levels = values.subarray(0, distinct)
    for (let place = bucketStart[from]!; place < bucketStart[to]!; place++)
      rank[place] = positionOf(levels, score[place]!)
    first.fill(total, from, to)
    count.fill(distinct, from, to)
    total += distinct
    from = to
  }
  return { rank, first, count, total }
}

function positionOf(levels: Float64Array, value: number): number {
  let low = 0
  let high = levels.length - 1
  while (low < high) {
    const middle = (low + high) >>> 1
    if (levels[middle]! < value) low = middle + 1
    else high = middle
  }
  return low
}
