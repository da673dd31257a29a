import {
  allRows,
  codesOfRows,
  numbersOfRows,
  rowsWhere,
  takenCodes,
  takenIntegers,
  takenRows,
} from '../core/columns.js'
import type { Cohort } from './cohort.js'
import { restorationStatus } from './selection.js'

/**
 * Where an event that was found at a visit is placed: halfway between its last clean look and its finding, on the day of
 * finding, or right after the last clean look.
 */
export type Placement = 'midpoint' | 'found' | 'after-last-look'

/** Placements, in the order of every table. */
export const placements: readonly Placement[] = ['after-last-look', 'midpoint', 'found']

/** Columns of a cohort with each event placed; the estimators take them as they are. */
export interface PlacedTimes {
  readonly placement: Placement
  /** Positions in the cohort; every one of them unless follow-up was capped. */
  readonly row: Int32Array
  /** First day at risk. */
  readonly entryDays: Float64Array
  /** Last day at risk, in days and half days. */
  readonly timeDays: Float64Array
  /** 0 censored, 1 endpoint, 2 competing event. */
  readonly status: Uint8Array
  /** Position in `competingCauses` where status is 2. */
  readonly competingCause: Uint8Array
}

/** A day is the smallest step of the records: "right after" a look is half a day later. */
const halfDay = 0.5

/**
 * Where one event is placed. The halves are exact in floating point, and nothing is rounded: an odd gap puts the event
 * on a half day, between the looks of two days. Without a clean look before, the gap begins with delivery, or with the
 * day from which findings were recorded. An event on the day of delivery stays there.
 *
 * @param lastClearDay day of the last clean look before the finding, 0 for delivery
 * @param entryDay first day at risk
 * @param foundDay day of the finding
 */
export function placedDay(
  placement: Placement,
  lastClearDay: number,
  entryDay: number,
  foundDay: number,
): number {
  const from = Math.max(lastClearDay, entryDay)
  if (placement === 'found' || foundDay <= from) return foundDay
  return placement === 'midpoint' ? (from + foundDay) / 2 : from + halfDay
}

/**
 * The cohort with each event of the endpoint placed; censorings and competing events keep their days. Whoever caps
 * follow-up does so after placing (`cappedTimes`), else the cap would decide by the day of finding what came within it.
 *
 * @param cohort restorations with time at risk
 * @param placement where each event is placed; the lead uses `midpoint`
 */
export function placedTimes(cohort: Cohort, placement: Placement): PlacedTimes {
  const { lastClearDays, entryDays, status } = cohort
  const timeDays = cohort.timeDays.map((day, i) =>
    status[i] === restorationStatus.endpoint
      ? placedDay(placement, lastClearDays[i]!, entryDays[i]!, day)
      : day,
  )
  return Object.freeze({
    placement,
    row: allRows(timeDays.length),
    entryDays: cohort.entryDays.slice(),
    timeDays,
    status: cohort.status.slice(),
    competingCause: cohort.competingCause.slice(),
  })
}

/**
 * Placed times with follow-up ended on a day at the latest: whatever came later is censored there, and restorations that
 * came under observation on that day or later are left out.
 */
export function cappedTimes(placed: PlacedTimes, lastDay: number): PlacedTimes {
  const kept = rowsWhere(
    placed.row.length,
    (i) => placed.entryDays[i]! === 0 || placed.entryDays[i]! < lastDay,
  )
  const beyond = (i: number): boolean => placed.timeDays[i]! > lastDay
  return Object.freeze({
    placement: placed.placement,
    row: takenIntegers(placed.row, kept),
    entryDays: takenRows(placed.entryDays, kept),
    timeDays: numbersOfRows(kept.length, (k) => Math.min(placed.timeDays[kept[k]!]!, lastDay)),
    status: codesOfRows(kept.length, (k) =>
      beyond(kept[k]!) ? restorationStatus.censored : placed.status[kept[k]!]!,
    ),
    competingCause: takenCodes(placed.competingCause, kept),
  })
}
