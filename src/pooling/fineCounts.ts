import type { Protocol } from './protocol.js'
import type { SiteRows } from './siteRows.js'

/** How rows are put together before they are counted. */
export interface Grouping {
  /** Block of each level of the strata. */
  readonly blockOf: readonly number[]
  readonly blocks: number
  /** Competing events are counted as censored, since too few patients had one. */
  readonly foldCompeting: boolean
  /** Both groups are counted as one, since one of them has too few patients behind a count. */
  readonly mergeGroups: boolean
}

/** Kinds of counts: how restorations leave, and those that come under observation late. */
export const countKinds = { censored: 0, endpoint: 1, competing: 2, entered: 3 } as const
export const kindsPerGroup = 4

/**
 * Counts on the finest grid: of block b, group g, kind k and interval j at ((b · groups + g) · 4 + k) · intervals + j.
 * They stay in the practice.
 */
export interface FineCounts {
  readonly blocks: number
  readonly groups: number
  readonly intervals: number
  readonly rows: Float64Array
  /**
   * Patients counted in the first interval only in which they have that block, group and kind: sums over intervals are
   * never more than the patients behind them, however intervals are put together.
   */
  readonly patients: Float64Array
  /** Sum of the days of exit of block b, group g and interval j at (b · groups + g) · intervals + j. */
  readonly exitDays: Float64Array
  /** Sum of the days of late entry, by the interval at the start of which they are counted. */
  readonly entryDays: Float64Array
  /** Most restorations of one patient in a block and group. */
  readonly mostOfOne: Float64Array
}

/** First interval that ends on or after a day: where an exit is counted. */
export function exitInterval(gridDays: readonly number[], day: number): number {
  let low = 0
  let high = gridDays.length - 1
  while (low < high) {
    const middle = (low + high) >>> 1
    if (gridDays[middle]! < day) low = middle + 1
    else high = middle
  }
  return low
}

/** Interval at the start of which a late entry is counted; 0 from the start. */
export function entryInterval(gridDays: readonly number[], day: number): number {
  if (day <= 0) return 0
  let count = 0
  while (count < gridDays.length && gridDays[count]! <= day) count++
  return count
}

/** Each level its own block, groups and causes apart. */
export function finestGrouping(levels: number): Grouping {
  return {
    blockOf: Array.from({ length: levels }, (_one, level) => level),
    blocks: levels,
    foldCompeting: false,
    mergeGroups: false,
  }
}

/** Counts the restorations of a clinic on the finest grid. */
export function fineCounts(rows: SiteRows, protocol: Protocol, grouping: Grouping): FineCounts {
  const intervals = protocol.gridDays.length
  const groups = grouping.mergeGroups ? 1 : 2
  const size = grouping.blocks * groups
  const counts = {
    rows: new Float64Array(size * kindsPerGroup * intervals),
    exitDays: new Float64Array(size * intervals),
    entryDays: new Float64Array(size * intervals),
    mostOfOne: new Float64Array(size),
  }
  const first = new Map<string, number>()
  const own = new Map<string, number>()
  const countAt = (place: number, kind: number, interval: number, patient: number): void => {
    counts.rows[(place * kindsPerGroup + kind) * intervals + interval]! += 1
    const key = `${place * kindsPerGroup + kind}|${patient}`
    first.set(key, Math.min(interval, first.get(key) ?? interval))
  }
  for (let row = 0; row < rows.n; row++) {
    const place = placeOf(rows, grouping, groups, row)
    const patient = rows.patient[row]!
    const exit = exitInterval(protocol.gridDays, rows.timeDays[row]!)
    countAt(place, kindOf(rows, grouping, row), exit, patient)
    counts.exitDays[place * intervals + exit]! += rows.timeDays[row]!
    const entry = entryInterval(protocol.gridDays, rows.entryDays[row]!)
    if (entry > 0) countAt(place, countKinds.entered, entry, patient)
    counts.entryDays[place * intervals + entry]! += rows.entryDays[row]!
    const key = `${place}|${patient}`
    const many = (own.get(key) ?? 0) + 1
    own.set(key, many)
    counts.mostOfOne[place] = Math.max(counts.mostOfOne[place]!, many)
  }
  const patients = new Float64Array(counts.rows.length)
  for (const [key, interval] of first) patients[Number(key.split('|')[0]) * intervals + interval]! += 1
  return { blocks: grouping.blocks, groups, intervals, patients, ...counts }
}

/** Block and group of a row as one number. */
export function placeOf(rows: SiteRows, grouping: Grouping, groups: number, row: number): number {
  return grouping.blockOf[rows.stratum[row]!]! * groups + (groups === 1 ? 0 : rows.group[row]!)
}

/** Kind of exit of a row, competing events folded where they are to be. */
export function kindOf(rows: SiteRows, grouping: Grouping, row: number): number {
  const status = rows.status[row]!
  return status === countKinds.competing && grouping.foldCompeting ? countKinds.censored : status
}
