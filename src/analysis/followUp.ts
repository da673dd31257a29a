import { restorationStatus } from '../cohort/selection.js'
import { daysPerYear } from '../core/calendar.js'
import { type Estimate, notReached, type Quantity } from '../core/estimate.js'
import { kaplanMeier } from '../statistics/survival.js'
import { survivalQuantiles } from '../statistics/survivalQuantiles.js'
import { type CohortRows, countPatients, countStatus } from './cohortRows.js'

/**
 * Median follow-up in years by the reverse product-limit method: the end of observation is the event, the endpoint and
 * competing events are censorings (Schemper and Smith 1996).
 */
export function medianFollowUp(rows: CohortRows, level: number): Estimate {
  const ended = rows.status.map((status) => (status === restorationStatus.censored ? 1 : 0))
  const curve = kaplanMeier(rows.timeDays, ended, { entry: rows.entryDays, cluster: rows.patient, level })
  const median = survivalQuantiles(curve, [0.5])[0]!
  return {
    estimate: inYears(median.estimate),
    interval: { lower: inYears(median.interval.lower), upper: inYears(median.interval.upper) },
    level,
    method: 'reverse product-limit median',
    n: rows.n,
    events: countStatus(rows, restorationStatus.censored),
    clusters: countPatients(rows),
    warnings: [],
    reference: 'follow-up',
  }
}

/** A quantity in days as years, its tags kept. */
export function inYears(days: Quantity): Quantity {
  if (typeof days === 'number') return days / daysPerYear
  return days.state === 'not-reached' ? notReached(days.lastTime / daysPerYear) : days
}
