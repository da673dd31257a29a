import type { Cohort } from '../../cohort/cohort.js'
import { possibleFollowUp } from '../../cohort/possibleFollowUp.js'
import { restorationStatus } from '../../cohort/selection.js'
import { isNumber } from '../../core/estimate.js'
import { clusteredRate } from '../../statistics/rates/clusteredRate.js'
import { garwoodLimits } from '../../statistics/rates/rateLimits.js'
import type { AnalysisSettings } from '../plan/settings.js'
import type { CohortRows } from '../rows/cohortRows.js'

/** Fewer events than this make a short report: what was seen, what it allows, and what another year would bring. */
export const fewEventsBelow = 10

/** Further years for which the precision to be reached is told. */
const furtherYears: readonly number[] = [1, 2, 3]

/** Years over which the pace of deliveries is read. */
const paceYears = 3

/** How precise the rate would be after further years at this pace. */
export interface FurtherYear {
  readonly furtherYears: number
  readonly restorationYears: number
  /** Events to be expected in all, at the rate seen; 0 where none was seen. */
  readonly events: number
  /** Limits of the rate per 100 restoration-years that this many events would give. */
  readonly lower: number
  readonly upper: number
}

/** What a practice with few events can be told. */
export interface FewEvents {
  readonly events: number
  /** Restorations still followed: seen within the recall interval before the last contact of their clinic. */
  readonly followed: number
  /** Restorations without an event that were not seen for longer than the recall interval. */
  readonly unseen: number
  /** Deliveries a year over the last three years of deliveries. */
  readonly deliveriesPerYear: number
  readonly precision: readonly FurtherYear[]
}

/**
 * What a few events allow: how many restorations are still followed, and how precise the rate would be after each further
 * year if it stays as it is. Likeness within patients is allowed for by the design effect seen, or by counting patients
 * where no event was seen.
 */
export function fewEvents(cohort: Cohort, rows: CohortRows, settings: AnalysisSettings): FewEvents {
  const possible = possibleFollowUp(cohort)
  let followed = 0
  let unseen = 0
  for (let row = 0; row < cohort.n; row++) {
    if (cohort.status[row] !== restorationStatus.censored) continue
    const gap = possible[row]! - cohort.timeDays[row]!
    if (Number.isNaN(gap)) continue
    if (gap <= cohort.definition.recallIntervalDays) followed++
    else unseen++
  }
  const deliveriesPerYear = paceOfDeliveries(cohort)
  return {
    events: cohort.summary.looks.events,
    followed,
    unseen,
    deliveriesPerYear,
    precision: precisionAfter(rows, followed, deliveriesPerYear, settings.level),
  }
}

function precisionAfter(
  rows: CohortRows,
  followed: number,
  deliveriesPerYear: number,
  level: number,
): readonly FurtherYear[] {
  const rate = clusteredRate(rows.event, rows.yearsAtRisk, rows.patient, { level })
  const { events, timeAtRisk, n, clusters } = rate
  if (timeAtRisk === 0) return []
  const inflation =
    events === 0 ? n / clusters : Math.max(1, isNumber(rate.designEffect) ? rate.designEffect : 1)
  return furtherYears.map((further) => {
    const added = further * followed + (deliveriesPerYear * further * further) / 2
    const restorationYears = timeAtRisk + added
    const expected = (events / timeAtRisk) * restorationYears
    const [lower, upper] = garwoodLimits(expected / inflation, level)
    const per100 = (inflation * 100) / restorationYears
    return {
      furtherYears: further,
      restorationYears,
      events: expected,
      lower: lower * per100,
      upper: upper * per100,
    }
  })
}

/** Deliveries a year among the last three calendar years of deliveries, by the year of delivery that every record has. */
function paceOfDeliveries({ deliveryYear }: Cohort): number {
  const known = [...deliveryYear].filter((year) => year > 0)
  const last = known.reduce((most, year) => Math.max(most, year), 0)
  const first = known.reduce((least, year) => Math.min(least, year), last)
  const years = Math.min(paceYears, last - first + 1)
  return known.filter((year) => year > last - years).length / years
}
