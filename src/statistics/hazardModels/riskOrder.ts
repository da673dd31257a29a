import type { CheckedRows } from './timesAtRisk.js'

/**
 * Rows in the order in which risk sets grow. Event times of all strata stand in one list, ascending within their
 * stratum. Every row that is at risk at some event time has a place in the bucket of the last event time that it
 * reaches; within a bucket the events of that time come first. A sum over the risk set of event time k is then the
 * sum over buckets k and above of the stratum, less the rows that enter at a later event time.
 */
export interface RiskOrder {
  /** Row of the input at each place. */
  readonly row: Uint32Array
  /** Distinct event times, by stratum. */
  readonly eventTime: Float64Array
  /** Stratum of each event time. */
  readonly stratumOfEventTime: Int32Array
  /** First place of each bucket, one more at the end. */
  readonly bucketStart: Uint32Array
  /** Place after the last event of each bucket. */
  readonly eventEnd: Uint32Array
  /** First event time at which the row at each place is at risk; undefined where nobody enters late. */
  readonly firstCovered: Int32Array | undefined
  /** Places of rows that enter after the first event time of their stratum, by the event time of entry. */
  readonly entry: Uint32Array
  /** First entry of each event time, one more at the end. */
  readonly entryStart: Uint32Array
}

/** Largest whole time that is looked up in a table instead of searched. */
const largestTableTime = 1 << 22

/** Orders rows by stratum and time; whole times by counting, others through their distinct values. */
export function orderAtRisk(rows: CheckedRows): RiskOrder {
  const eventTimes = distinctEventTimes(rows)
  const rank = floorRanks(eventTimes, rows.stop)
  const entryRank = rows.start === undefined ? undefined : floorRanks(eventTimes, rows.start)
  const present = presentRows(rows, rank)
  const byTime = countingSort(present, rank, eventTimes.length)
  const sorted = rows.stratum === undefined ? byTime : countingSort(byTime, rows.stratum, rows.strata.length)
  return filledBuckets(rows, sorted, rank, entryRank, eventTimes)
}

/** Distinct times of events of rows with positive weight, ascending. */
function distinctEventTimes(rows: CheckedRows): Float64Array {
  const { stop, event, weight } = rows
  const times = new Float64Array(rows.events)
  let count = 0
  for (let row = 0; row < stop.length; row++) {
    if (event[row] === 1 && (weight === undefined || weight[row]! > 0)) times[count++] = stop[row]!
  }
  times.sort()
  let distinct = 0
  for (let i = 0; i < count; i++) if (i === 0 || times[i] !== times[i - 1]) times[distinct++] = times[i]!
  return times.slice(0, distinct)
}

/** For every entry of a column the position of the last event time at or before it; −1 where there is none. */
function floorRanks(eventTimes: Float64Array, column: Float64Array): Int32Array {
  const last = eventTimes.length - 1
  const ranks = new Int32Array(column.length)
  if (last < 0) return ranks.fill(-1)
  const table = floorTable(eventTimes)
  for (let row = 0; row < column.length; row++) {
    const time = column[row]!
    if (time >= eventTimes[last]!) ranks[row] = last
    else if (time < eventTimes[0]!) ranks[row] = -1
    else ranks[row] = table === undefined ? floorSearch(eventTimes, time) : table[Math.floor(time)]!
  }
  return ranks
}

/** Position of the last event time at or before every whole time, or undefined where times are not whole. */
function floorTable(eventTimes: Float64Array): Int32Array | undefined {
  const latest = eventTimes[eventTimes.length - 1]!
  if (latest > largestTableTime || !eventTimes.every(Number.isInteger)) return undefined
  const table = new Int32Array(latest + 1)
  let position = -1
  for (let time = 0; time <= latest; time++) {
    if (eventTimes[position + 1] === time) position++
    table[time] = position
  }
  return table
}

/** Position of the last event time at or before a time that lies within their range. */
export function floorSearch(sorted: Float64Array, value: number, low = 0, high = sorted.length - 1): number {
  let below = low
  let above = high + 1
  while (above - below > 1) {
    const middle = (below + above) >>> 1
    if (sorted[middle]! <= value) below = middle
    else above = middle
  }
  return below
}

function presentRows(rows: CheckedRows, rank: Int32Array): Uint32Array {
  const present = new Uint32Array(rows.rows)
  let count = 0
  for (let row = 0; row < rows.rows; row++) {
    if (rank[row]! >= 0 && (rows.weight === undefined || rows.weight[row]! > 0)) present[count++] = row
  }
  return present.subarray(0, count)
}

/** Rows in ascending order of a small whole key, stable. */
function countingSort(rows: Uint32Array, key: Int32Array, keys: number): Uint32Array {
  const next = new Uint32Array(keys + 1)
  for (let i = 0; i < rows.length; i++) next[key[rows[i]!]! + 1]!++
  for (let k = 0; k < keys; k++) next[k + 1]! += next[k]!
  const sorted = new Uint32Array(rows.length)
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!
    sorted[next[key[row]!]!++] = row
  }
  return sorted
}

/** Fills the buckets from rows in ascending order of stratum and time. */
function filledBuckets(
  rows: CheckedRows,
  sorted: Uint32Array,
  rank: Int32Array,
  entryRank: Int32Array | undefined,
  eventTimes: Float64Array,
): RiskOrder {
  const filling = new BucketFilling(rows, sorted.length, entryRank)
  const { stratum } = rows
  for (let from = 0; from < sorted.length; ) {
    const lead = sorted[from]!
    const code = stratum === undefined ? 0 : stratum[lead]!
    if (from > 0 && stratum !== undefined && stratum[sorted[from - 1]!] !== code) filling.openStratum()
    let to = from + 1
    while (to < sorted.length && rank[sorted[to]!] === rank[lead] && (stratum?.[sorted[to]!] ?? 0) === code)
      to++
    filling.addTime(sorted.subarray(from, to), rank[lead]!, code)
    from = to
  }
  return filling.finished(eventTimes)
}

/** Buckets while they are filled, in ascending order of stratum and time. */
class BucketFilling {
  private readonly row: Uint32Array
  private readonly firstCovered: Int32Array | undefined
  private readonly rankOf: Int32Array
  private readonly stratumOf: Int32Array
  private readonly bucketStart: Uint32Array
  private readonly eventEnd: Uint32Array
  private buckets = 0
  private stratumStart = 0
  private place = 0

  constructor(
    private readonly rows: CheckedRows,
    places: number,
    private readonly entryRank: Int32Array | undefined,
  ) {
    this.row = new Uint32Array(places)
    this.firstCovered = entryRank === undefined ? undefined : new Int32Array(places)
    this.rankOf = new Int32Array(rows.events)
    this.stratumOf = new Int32Array(rows.events)
    this.bucketStart = new Uint32Array(rows.events + 1)
    this.eventEnd = new Uint32Array(rows.events)
  }

  openStratum(): void {
    this.stratumStart = this.buckets
  }

  /** Adds the rows of one stratum whose last event time by rank is the same; those with the event open a bucket. */
  addTime(rows: Uint32Array, rank: number, stratum: number): void {
    const { event } = this.rows
    let events = 0
    for (let i = 0; i < rows.length; i++) events += event[rows[i]!]!
    if (events > 0) {
      this.bucketStart[this.buckets] = this.place
      this.rankOf[this.buckets] = rank
      this.stratumOf[this.buckets++] = stratum
      for (let i = 0; i < rows.length; i++) if (event[rows[i]!] === 1) this.put(rows[i]!)
      this.eventEnd[this.buckets - 1] = this.place
    }
    // Rows that end before the first event of their stratum are at risk at none.
    if (this.buckets === this.stratumStart) return
    for (let i = 0; i < rows.length; i++) if (event[rows[i]!] !== 1) this.put(rows[i]!)
  }

  /** Gives a row its place, unless it enters after the last event time that it reaches. */
  private put(row: number): void {
    if (this.firstCovered !== undefined) {
      const first = firstAbove(this.rankOf, this.entryRank![row]!, this.stratumStart, this.buckets)
      if (first === this.buckets) return
      this.firstCovered[this.place] = first
    }
    this.row[this.place++] = row
  }

  finished(eventTimes: Float64Array): RiskOrder {
    const { buckets, place, rankOf, stratumOf, firstCovered } = this
    this.bucketStart[buckets] = place
    return {
      row: this.row.subarray(0, place),
      eventTime: Float64Array.from(rankOf.subarray(0, buckets), (one) => eventTimes[one]!),
      stratumOfEventTime: stratumOf.subarray(0, buckets),
      bucketStart: this.bucketStart.subarray(0, buckets + 1),
      eventEnd: this.eventEnd.subarray(0, buckets),
      firstCovered,
      ...entriesByEventTime(firstCovered, place, stratumOf, buckets),
    }
  }
}

/** First position in an ascending stretch whose entry exceeds a value; the end of the stretch where none does. */
function firstAbove(sorted: Int32Array, value: number, from: number, to: number): number {
  let low = from
  let high = to
  while (low < high) {
    const middle = (low + high) >>> 1
    if (sorted[middle]! > value) high = middle
    else low = middle + 1
  }
  return low
}

function entriesByEventTime(
  firstCovered: Int32Array | undefined,
  places: number,
  stratumOf: Int32Array,
  buckets: number,
): { readonly entry: Uint32Array; readonly entryStart: Uint32Array } {
  if (firstCovered === undefined)
    return { entry: new Uint32Array(0), entryStart: new Uint32Array(buckets + 1) }
  const late = new Uint32Array(places)
  let count = 0
  for (let place = 0; place < places; place++) {
    const first = firstCovered[place]!
    if (first > 0 && stratumOf[first - 1] === stratumOf[first]) late[count++] = place
  }
  const entry = countingSort(late.subarray(0, count), firstCovered, buckets)
  const entryStart = new Uint32Array(buckets + 1)
  for (let i = 0; i < entry.length; i++) entryStart[firstCovered[entry[i]!]! + 1]!++
  for (let k = 0; k < buckets; k++) entryStart[k + 1]! += entryStart[k]!
  return { entry, entryStart }
}
