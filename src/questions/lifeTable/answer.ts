import type { Cohort } from '../../cohort/cohort.js'
import { isNumber, type Quantity } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { lifeTable } from '../../statistics/curves/lifeTable.js'
import { answered } from '../answered.js'
import { defaultPlan } from '../plan/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, rowsOfGroup, subsetRows } from '../rows/cohortRows.js'

/** One year of service. */
export interface YearOfService {
  readonly fromYears: number
  readonly toYears: number
  readonly atStart: number
  readonly events: number
  /** Ended by a competing event in the year. */
  readonly competing: number
  /** No longer followed for another reason: last check, or the end of the records. */
  readonly withdrawn: number
  /** At risk with those withdrawn, competing events among them, counted half. */
  readonly effective: number
  /** Probability of the endpoint in the year, among those free of it at its start. */
  readonly probability: Quantity
  /** Probability of no endpoint up to the end of the year, competing events counted as no longer followed. */
  readonly freeAtEnd: Quantity
}

/** Actuarial life table of one group. */
export interface GroupLifeTable {
  readonly group: string
  readonly restorations: number
  readonly years: readonly YearOfService[]
}

/** Life tables by year of service. */
export interface LifeTableResult {
  readonly kind: 'lifeTable'
  /** "all", then the two groups that are compared as far as they are there. */
  readonly groups: readonly GroupLifeTable[]
  /** Restorations left out, since they were observed only from some time after delivery on. */
  readonly lateEntry: number
  readonly method: MethodName
  readonly reference: string
}

/**
 * Actuarial life table by year of service (Cutler and Ederer 1958), as the trade prints it: those withdrawn in a year
 * count half in it, an event on an anniversary belongs to the year that begins there. Point estimates only: restorations
 * of one patient are alike, and the intervals that allow for it are those of the curves.
 *
 * @param cohort restorations with time at risk; those observed from some time after delivery on are left out
 * @param settings plan with the two groups; default `defaultSettings`
 * @example lifeTableByYear(cohort).groups[0].group // => "all"
 */
export function lifeTableByYear(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): LifeTableResult {
  const { group, against } = settings.plan ?? defaultPlan
  const named: readonly (readonly [string, CohortRows])[] = [
    ['all', cohortRows(cohort)],
    ...[against, group].map((name) => [name, rowsOfGroup(cohort, name)] as const),
  ]
  const all = named[0]![1]
  return answered(cohort, settings, {
    kind: 'lifeTable' as const,
    groups: named
      .map(([name, rows]) => [name, fromDelivery(rows)] as const)
      .filter(([, rows]) => rows.n > 0)
      .map(([name, rows]) => ({ group: name, restorations: rows.n, years: yearsOf(rows) })),
    lateEntry: all.n - fromDelivery(all).n,
    method: methodOf('actuarial-life-table-by-year-of-service', 'those-withdrawn-counted-half'),
    reference: 'life-table',
  })
}

function fromDelivery(rows: CohortRows): CohortRows {
  const { entryDays } = rows
  if (entryDays === undefined) return rows
  return subsetRows(
    rows,
    Array.from(rows.row.keys()).filter((i) => entryDays[i] === 0),
  )
}

function yearsOf(rows: CohortRows): readonly YearOfService[] {
  const last = rows.timeYears.reduce((most, years) => Math.max(most, years), 0)
  const boundaries = Array.from({ length: Math.floor(last) + 1 }, (_one, year) => year)
  const competing = new Array<number>(boundaries.length).fill(0)
  rows.status.forEach((status, i) => {
    if (status === 2) competing[Math.floor(rows.timeYears[i]!)]! += 1
  })
  return lifeTable(rows.timeYears, rows.event, boundaries).rows.map((row, year) => ({
    fromYears: row.intervalStart,
    toYears: isNumber(row.intervalEnd) ? row.intervalEnd : row.intervalStart + 1,
    atStart: row.atStart,
    events: row.events,
    competing: competing[year]!,
    withdrawn: row.withdrawn - competing[year]!,
    effective: row.effective,
    probability: row.eventProbability,
    freeAtEnd: row.survivalAtEnd,
  }))
}
