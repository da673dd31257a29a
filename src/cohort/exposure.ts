import { type CategoryColumn, codeOf, labelAt } from '../records/columns.js'
import type { LinkedTable, RecordSet } from '../records/dataset.js'
import { type CohortDefinition, type ExposureGroup, exposureGroups } from './definition.js'

/** What was done to the screws of each restoration on the day of delivery. */
export interface DeliveryDayExposure {
  /** Position in `exposureGroups` for each restoration of the records. */
  readonly groupCode: Uint8Array
  /** Minutes from the first to the second tightening of the same screw; NaN where there was no second. */
  readonly waitMinutes: Float64Array
  /** 1 where the reported group and the tightening events disagree. */
  readonly disagrees: Uint8Array
  /** 1 where there are no delivery-day events and the reported group was taken. */
  readonly fromReportOnly: Uint8Array
  /** Position in `chartedWays` of what the chart says. */
  readonly charted: Uint8Array
  /** 1 where a second tightening of one screw is recorded on the day of delivery, with minutes or without. */
  readonly secondRecorded: Uint8Array
}

/** What the chart may say of the tightening at delivery. */
export const chartedWays = ['nothing', 'single', 'repeated', 'other'] as const

const codeOfGroup = Object.fromEntries(exposureGroups.map((group, code) => [group, code])) as Record<
  ExposureGroup,
  number
>

/** The group of a restoration of which only the chart speaks: never one whose name says that minutes were recorded. */
const groupByChart: Readonly<Record<(typeof chartedWays)[number], ExposureGroup>> = {
  nothing: 'unknown',
  single: 'single, by the chart',
  repeated: 'repeated, wait not recorded',
  other: 'other',
}

/**
 * Derives the exposure group of every restoration from its delivery-day tightening events. In the window means that
 * at least one later tightening of the same screw, not undone before, came within it, counted from the first. Screws
 * of one restoration that disagree make the restoration "other". Later tightenings at recall never count, nor does what
 * is called delivery but dated after its day. Without tightenings of that day the restoration is what the chart says,
 * under a name that says so.
 */
export function deliveryDayExposure(records: RecordSet, definition: CohortDefinition): DeliveryDayExposure {
  const { restorations, tightenings } = records
  const count = restorations.rowCount
  const exposure = {
    groupCode: new Uint8Array(count),
    waitMinutes: new Float64Array(count).fill(Number.NaN),
    disagrees: new Uint8Array(count),
    fromReportOnly: new Uint8Array(count),
    charted: new Uint8Array(count),
    secondRecorded: new Uint8Array(count),
  }
  const columns = tighteningColumns(tightenings)
  const reported = restorations.category('tightening_group')
  for (let restoration = 0; restoration < count; restoration++) {
    const screws = screwsAtDelivery(columns, tightenings, restoration)
    const stated = statedWay(labelAt(reported, restoration))
    exposure.charted[restoration] = chartedWays.indexOf(stated)
    const events = groupOfScrews(screws, definition)
    if (events === undefined) {
      exposure.groupCode[restoration] = codeOfGroup[groupByChart[stated]]
      exposure.fromReportOnly[restoration] = stated === 'nothing' ? 0 : 1
      continue
    }
    exposure.groupCode[restoration] = codeOfGroup[events]
    exposure.waitMinutes[restoration] = firstWait(screws)
    exposure.secondRecorded[restoration] = screws.some((screw) => screw.minutes.length > 1) ? 1 : 0
    exposure.disagrees[restoration] = stated !== 'nothing' && !sameGroup(stated, events) ? 1 : 0
  }
  return exposure
}

function statedWay(label: string | undefined): (typeof chartedWays)[number] {
  return label === 'single' || label === 'repeated' || label === 'other' ? label : 'nothing'
}

/** A reported "repeated" does not say when; it agrees with a repeat inside or outside the window. */
function sameGroup(stated: (typeof chartedWays)[number], events: ExposureGroup): boolean {
  if (stated === 'repeated') return events.startsWith('repeated')
  if (stated === 'other') return events !== 'single' && !events.startsWith('repeated')
  return stated === events
}

interface TighteningColumns {
  readonly context: CategoryColumn
  readonly delivery: number
  readonly action: CategoryColumn
  readonly undo: number
  readonly measurement: number
  readonly screw: CategoryColumn
  readonly minutes: Float64Array
  readonly day: Int32Array
}

function tighteningColumns(table: LinkedTable): TighteningColumns {
  const context = table.category('context')
  const action = table.category('action')
  return {
    context,
    delivery: codeOf(context, 'delivery'),
    action,
    undo: codeOf(action, 'undo_then_tighten'),
    measurement: codeOf(action, 'removal_measurement'),
    screw: table.category('screw_position'),
    minutes: table.number('minutes_since_first'),
    day: table.day('days_since_delivery'),
  }
}

/** Tightenings of one screw on the day of delivery: minutes since the first, and whether it was undone between. */
interface ScrewTightenings {
  readonly minutes: number[]
  undone: boolean
}

function screwsAtDelivery(
  columns: TighteningColumns,
  table: LinkedTable,
  restoration: number,
): readonly ScrewTightenings[] {
  const screws = new Map<number, ScrewTightenings>()
  const end = table.firstRow[restoration + 1]!
  for (let row = table.firstRow[restoration]!; row < end; row++) {
    if (columns.delivery < 0 || columns.context.codes[row] !== columns.delivery) continue
    // A day that is not known is below all others.
    if (columns.day[row]! > 0) continue
    if (columns.measurement >= 0 && columns.action.codes[row] === columns.measurement) continue
    const position = columns.screw.codes[row]!
    const screw = screws.get(position) ?? { minutes: [], undone: false }
    screw.minutes.push(columns.minutes[row]!)
    if (columns.undo >= 0 && columns.action.codes[row] === columns.undo) screw.undone = true
    screws.set(position, screw)
  }
  return [...screws.values()]
}

function groupOfScrews(
  screws: readonly ScrewTightenings[],
  definition: CohortDefinition,
): ExposureGroup | undefined {
  const groups = new Set(screws.map((screw) => groupOfScrew(screw, definition)))
  const [only] = groups
  return groups.size > 1 ? 'other' : only
}

function groupOfScrew(screw: ScrewTightenings, definition: CohortDefinition): ExposureGroup {
  if (screw.undone) return 'undone and tightened again'
  if (screw.minutes.length === 1) return 'single'
  const waits = waitsOf(screw)
  const { from, to } = definition.waitWindowMinutes
  if (waits.some((wait) => wait >= from && wait <= to)) return 'repeated in the window'
  return waits.some(Number.isNaN) ? 'repeated, wait not recorded' : 'repeated outside the window'
}

/**
 * Minutes from the first to every later tightening, in order; NaN where they are not recorded. Of one blank beside later
 * minutes the blank is the first tightening, which has none to record.
 */
function waitsOf({ minutes }: ScrewTightenings): readonly number[] {
  const known = minutes.filter((one) => !Number.isNaN(one)).sort((left, right) => left - right)
  const blanks = minutes.length - known.length
  if (blanks === 1 && known[0]! > 0) return known
  if (blanks > 0) return minutes.slice(1).map(() => Number.NaN)
  return known.slice(1).map((one) => one - known[0]!)
}

function firstWait(screws: readonly ScrewTightenings[]): number {
  const waits = screws.filter((screw) => screw.minutes.length > 1).map((screw) => waitsOf(screw)[0]!)
  return waits.length === 0 ? Number.NaN : Math.min(...waits)
}
