import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { type Estimate, notReached, type Quantity } from '../../core/estimate.js'
import { medianFollowUp as medianOf } from '../../statistics/curves/followUp.js'
import { type CohortRows, countStatus } from './cohortRows.js'

/**
 * Median follow-up in years by the reverse product-limit method: the end of observation is the event, the endpoint and
 * competing events are censorings (Schemper and Smith 1996).
 */
export function medianFollowUp(rows: CohortRows, level: number): Estimate {
  const median = medianOf(rows.timeDays, rows.status, { entry: rows.entryDays, cluster: rows.patient, level })
  return {
    estimate: inYears(median.estimate),
    interval: { lower: inYears(median.interval.lower), upper: inYears(median.interval.upper) },
    level,
    method: median.method,
    n: rows.n,
    events: countStatus(rows, restorationStatus.censored),
    clusters: median.clusters,
    warnings: median.warnings,
    reference: median.reference,
  }
}

/** A quantity in days as years, its tags kept. */
function inYears(days: Quantity): Quantity {
  if (typeof days === 'number') return days / daysPerYear
  return days.state === 'not-reached' ? notReached(days.lastTime / daysPerYear) : days
}
