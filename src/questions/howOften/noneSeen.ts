import { daysPerYear } from '../../core/calendar.js'
import type { Estimate } from '../../core/estimate.js'
import { compensatedSum } from '../../statistics/numeric/columns.js'
import { exactUpperOfNone } from '../../statistics/proportions/proportionLimits.js'
import { clusteredRate } from '../../statistics/rates/clusteredRate.js'
import type { AnalysisSettings } from '../plan/settings.js'
import type { CohortRows } from '../rows/cohortRows.js'
import { shorterHorizonsYears, wishedHorizon } from '../rows/horizons.js'

/** What "none seen" allows by one horizon. */
export interface NoneSeenBy {
  readonly years: number
  /** Restorations observed from delivery to the horizon, and their patients, who count in the limit. */
  readonly restorations: number
  readonly patients: number
  /** Exact upper limit of the risk by the horizon. */
  readonly upper: number
}

/** What can be said where the endpoint was not seen: by the time actually observed. */
export interface NoneSeen {
  readonly restorationYears: number
  /** Rate per 100 restoration-years: 0, with its exact upper limit. */
  readonly ratePer100Years: Estimate
  /** Horizons at which enough were observed, ascending; beyond the last of them nothing is known. */
  readonly horizons: readonly NoneSeenBy[]
  readonly level: number
}

/**
 * Upper limits where none was seen. The limit of a risk by a horizon is exact in the patients whose restorations were
 * observed from delivery to that horizon: no hazard is assumed, and nothing is carried beyond what was observed. Limits
 * are those of the two-sided interval.
 *
 * @param rows restorations without an event
 */
export function noneSeen(rows: CohortRows, settings: AnalysisSettings): NoneSeen {
  const { level, leastAtRisk } = settings
  const horizons = [...new Set([...shorterHorizonsYears, ...settings.horizonsYears, wishedHorizon(settings)])]
  return {
    restorationYears: compensatedSum(rows.yearsAtRisk),
    ratePer100Years: clusteredRate(rows.event, rows.yearsAtRisk, rows.patient, { level, per: 100 }),
    horizons: horizons
      .sort((left, right) => left - right)
      .flatMap((years) => {
        const observed = observedTo(rows, years)
        if (observed.length < leastAtRisk) return []
        const patients = new Set(observed.map((i) => rows.patient[i]!)).size
        return [
          {
            years,
            restorations: observed.length,
            patients,
            upper: exactUpperOfNone(patients, (1 - level) / 2),
          },
        ]
      }),
    level,
  }
}

function observedTo(rows: CohortRows, years: number): readonly number[] {
  const days = years * daysPerYear
  return Array.from(rows.row.keys()).filter(
    (i) => (rows.entryDays?.[i] ?? 0) === 0 && rows.timeDays[i]! >= days,
  )
}
