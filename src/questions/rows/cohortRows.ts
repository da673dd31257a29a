import type { Cohort } from '../../cohort/cohort.js'
import { type ExposureGroup, exposureGroups } from '../../cohort/definition.js'
import type { PlacedTimes } from '../../cohort/placement.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { rowsWhere, takenCodes, takenIntegers, takenRows } from '../../core/columns.js'
import { startsOfRisk, type TimesAtRisk } from '../../statistics/hazardModels/timesAtRisk.js'

/** Columns of some restorations of a cohort, as the estimators take them. */
export interface CohortRows {
  readonly n: number
  readonly timeDays: Float64Array
  readonly timeYears: Float64Array
  /** Days of delayed entry; undefined where every restoration was at risk from delivery. */
  readonly entryDays: Float64Array | undefined
  /** Time at risk in years: from entry to the end. */
  readonly yearsAtRisk: Float64Array
  /** 1 where the endpoint was found. */
  readonly event: Uint8Array
  /** 0 censored, 1 endpoint, 2 competing event. */
  readonly status: Uint8Array
  readonly patient: Int32Array
  readonly exposure: Uint8Array
  /** Position of each in the cohort. */
  readonly row: Int32Array
}

/** Takes the restorations that satisfy a condition on their position in the cohort; all without one. */
export function cohortRows(cohort: Cohort, wanted: (row: number) => boolean = () => true): CohortRows {
  const row = rowsWhere(cohort.n, wanted)
  const doubles = (column: ArrayLike<number>): Float64Array => takenRows(column, row)
  const timeDays = doubles(cohort.timeDays)
  const entry = doubles(cohort.entryDays)
  const status = takenCodes(cohort.status, row)
  return {
    n: row.length,
    timeDays,
    timeYears: timeDays.map((days) => days / daysPerYear),
    entryDays: entry.some((days) => days > 0) ? entry : undefined,
    yearsAtRisk: timeDays.map((days, i) => (days - entry[i]!) / daysPerYear),
    event: status.map((code) => (code === restorationStatus.endpoint ? 1 : 0)),
    status,
    patient: takenIntegers(cohort.patient, row),
    exposure: takenCodes(cohort.exposure, row),
    row,
  }
}

/** Restorations of one exposure group. */
export function rowsOfGroup(cohort: Cohort, group: ExposureGroup): CohortRows {
  const code = exposureGroups.indexOf(group)
  return cohortRows(cohort, (row) => cohort.exposure[row] === code)
}

/** Exposure groups with at least one restoration, in the order of every table. */
export function presentGroups(cohort: Cohort): readonly ExposureGroup[] {
  return exposureGroups.filter((_group, code) => cohort.exposure.includes(code))
}

/**
 * The same restorations with each event placed; the time at risk of a rate goes on running to the finding.
 *
 * @param placed times of the whole cohort, not capped
 */
export function placedRows(rows: CohortRows, placed: PlacedTimes): CohortRows {
  const timeDays = takenRows(placed.timeDays, rows.row)
  return { ...rows, timeDays, timeYears: timeDays.map((days) => days / daysPerYear) }
}

/** Number of different patients. */
export function countPatients(rows: CohortRows): number {
  return new Set(rows.patient).size
}

/** Number of rows with a status. */
export function countStatus(rows: CohortRows, status: number): number {
  return rows.status.reduce((sum, one) => sum + (one === status ? 1 : 0), 0)
}

/** Time at risk and event of each row as the regressions take them. */
export function timesAtRisk(rows: CohortRows): TimesAtRisk {
  return rows.entryDays === undefined
    ? { time: rows.timeDays, event: rows.event }
    : { start: startsOfRisk(rows.entryDays), stop: rows.timeDays, event: rows.event }
}

/** Some of the rows, by their positions among them. */
export function subsetRows(rows: CohortRows, kept: ArrayLike<number>): CohortRows {
  const doubles = (column: Float64Array): Float64Array => takenRows(column, kept)
  const entry = rows.entryDays === undefined ? undefined : doubles(rows.entryDays)
  return {
    n: kept.length,
    timeDays: doubles(rows.timeDays),
    timeYears: doubles(rows.timeYears),
    entryDays: entry?.some((days) => days > 0) === true ? entry : undefined,
    yearsAtRisk: doubles(rows.yearsAtRisk),
    event: takenCodes(rows.event, kept),
    status: takenCodes(rows.status, kept),
    patient: takenIntegers(rows.patient, kept),
    exposure: takenCodes(rows.exposure, kept),
    row: takenIntegers(rows.row, kept),
  }
}
