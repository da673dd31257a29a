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

function filledBuckets(
  rows: CheckedRows,
  sorted: Uint32Array,
  rank: Int32Array,
  entryRank: Int32Array | undefined,
  eventTimes: Float64Array,
): RiskOrder {
  const { event, stratum } = rows
  const row = new Uint32Array(sorted.length)
  const firstCovered = entryRank === undefined ? undefined : new Int32Array(sorted.length)
  const rankOf = new Int32Array(rows.events)
  const bucketStart = new Uint32Array(rows.events + 1)
  const eventEnd = new Uint32Array(rows.events)
  const stratumOf = new Int32Array(rows.events)
  let buckets = 0
  let stratumStart = 0
  let place = 0
  const put = (next: number): void => {
    if (firstCovered !== undefined) {
      const first = firstAbove(rankOf, entryRank![next]!, stratumStart, buckets)
      if (first === buckets) return
      firstCovered[place] = first
    }
    row[place++] = next
  }
  for (let from = 0; from < sorted.length; ) {
    const lead = sorted[from]!
    const code = stratum === undefined ? 0 : stratum[lead]!
    if (from > 0 && stratum !== undefined && stratum[sorted[from - 1]!] !== code) stratumStart = buckets
    let to = from
    let eventsHere = 0
    while (to < sorted.length && rank[sorted[to]!] === rank[lead] && (stratum?.[sorted[to]!] ?? 0) === code) {
      if (event[sorted[to]!] === 1) eventsHere++
      to++
    }
    if (eventsHere > 0) {
      bucketStart[buckets] = place
      rankOf[buckets] = rank[lead]!
      stratumOf[buckets++] = code
      for (let i = from; i < to; i++) if (event[sorted[i]!] === 1) put(sorted[i]!)
      eventEnd[buckets - 1] = place
    }
    if (buckets > stratumStart) for (let i = from; i < to; i++) if (event[sorted[i]!] !== 1) put(sorted[i]!)
    from = to
  }
  bucketStart[buckets] = place
  const entries = entriesByEventTime(firstCovered, place, stratumOf, buckets)
  return {
    row: row.subarray(0, place),
    eventTime: Float64Array.from(rankOf.subarray(0, buckets), (one) => eventTimes[one]!),
    stratumOfEventTime: stratumOf.subarray(0, buckets),
    bucketStart: bucketStart.subarray(0, buckets + 1),
    eventEnd: eventEnd.subarray(0, buckets),
    firstCovered,
    ...entries,
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
