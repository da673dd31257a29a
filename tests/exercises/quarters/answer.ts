import type { Cohort } from '../../cohort/cohort.js'
import { labelAt } from '../../cohort/covariates.js'
import { knownDeliveryDay } from '../../cohort/deliveryDay.js'
import { yearOfDay } from '../../core/calendar.js'
import { answered } from '../answered.js'
import type { AnalysisSettings } from '../plan/settings.js'
import { cohortRows } from '../rows/cohortRows.js'

/** Events of one clinic in one quarter of a year. */
export interface QuarterCount {
  readonly clinic: string
  /** Year and a quarter of it: 2024.25 begins in April 2024. */
  readonly from: number
  readonly events: number
}

/** Answer to "how many were found, quarter by quarter". */
export interface Quarters {
  readonly kind: 'quarters'
  readonly counts: readonly QuarterCount[]
  readonly events: number
}

/** Events by the quarter in which they were found and the clinic; undefined where no day is known. */
export function quarters(cohort: Cohort, settings: AnalysisSettings): Quarters | undefined {
  const rows = cohortRows(cohort)
  const counts = new Map<string, QuarterCount>()
  rows.row.forEach((row, i) => {
    const delivered = knownDeliveryDay(cohort, row)
    if (rows.event[i] !== 1 || delivered === undefined) return
    const day = delivered + rows.timeDays[i]!
    const year = yearOfDay(day)
    const from = year + Math.floor(((day / 365.25 + 1970 - year) % 1) * 4) / 4
    const clinic = labelAt(cohort.clinic, row) ?? 'unknown'
    const events = (counts.get(`${clinic} ${from}`)?.events ?? 0) + 1
    counts.set(`${clinic} ${from}`, { clinic, from, events })
  })
  if (counts.size === 0) return undefined
  const sorted = [...counts.values()].sort((a, b) => a.clinic.localeCompare(b.clinic) || a.from - b.from)
  return answered(cohort, settings, {
    kind: 'quarters' as const,
    counts: sorted,
    events: sorted.reduce((sum, one) => sum + one.events, 0),
  })
}
