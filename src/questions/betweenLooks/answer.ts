import type { Cohort } from '../../cohort/cohort.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { HoldfastError } from '../../core/errors.js'
import { type Interval, isNumber, type Quantity } from '../../core/estimate.js'
import type { MethodName } from '../../core/method.js'
import {
  incidenceBounds,
  intervalCensoredIncidence,
} from '../../statistics/intervalCensored/intervalCensoredIncidence.js'
import { parametricRegression } from '../../statistics/regression/parametric.js'
import { parametricSurvival } from '../../statistics/regression/parametricSurvival.js'
import { answered } from '../answered.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, subsetRows } from '../rows/cohortRows.js'

/** The risk by one horizon where each event is only known to lie between two looks. */
export interface BetweenLooksBy {
  readonly years: number
  readonly atRisk: number
  /** Bounds of the non-parametric estimate: where between two looks the events of a gap lie, the data do not say. */
  readonly nonParametric?: { readonly lower: number; readonly upper: number }
  /** Risk by a Weibull curve, competing events as the end of follow-up; absent where it could not be fitted. */
  readonly weibull?: { readonly estimate: Quantity; readonly interval: Interval }
}

/** Fits that place no event: each lies anywhere between its last clean look and its finding. */
export interface BetweenLooks {
  readonly kind: 'betweenLooks'
  readonly restorations: number
  readonly events: number
  /** Events for which the patient told the day, which narrows their gap. */
  readonly onsetTold: number
  /** Restorations left out, since they were observed only from some time after delivery on. */
  readonly lateEntry: number
  readonly horizons: readonly BetweenLooksBy[]
  readonly level: number
  readonly methods: readonly { readonly method: MethodName; readonly reference: string }[]
}

/** Restorations above which the non-parametric estimate, whose steps grow with their square, waits for full detail. */
export const mostForNonParametric = 3000

/** Fewest events for which the fits are made. */
const leastEvents = 10

/** An event on the day of delivery, for a curve of times above zero: half the smallest step of the records. */
const halfDay = 0.5

/**
 * Risk with each event anywhere between its last clean look and its finding: the non-parametric maximum-likelihood
 * estimate with competing events, as bounds, and a Weibull curve with an interval robust by patient. An onset that the
 * patient told ends the gap earlier.
 *
 * @param cohort restorations with time at risk; those observed from some time after delivery on are left out
 * @returns undefined below ten events, or where no horizon has enough at risk
 */
export function betweenLooks(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): BetweenLooks | undefined {
  const all = cohortRows(cohort)
  const rows = fromDelivery(all)
  const events = rows.event.reduce((sum, one) => sum + one, 0)
  const horizons = settings.horizonsYears
    .map((years) => ({ years, atRisk: rows.timeYears.filter((time) => time >= years).length }))
    .filter(({ atRisk }) => atRisk >= settings.leastAtRisk)
  if (events < leastEvents || horizons.length === 0) return undefined
  const gaps = gapsOf(cohort, rows)
  const incidence =
    rows.n > mostForNonParametric && settings.detail !== 'full'
      ? undefined
      : intervalCensoredIncidence({ lower: gaps.lower, upper: gaps.upper }, rows.status)
  const curve = weibullOf(gaps, rows, settings.level)
  return answered<BetweenLooks>(cohort, settings, {
    kind: 'betweenLooks',
    restorations: rows.n,
    events,
    onsetTold: gaps.onsetTold,
    lateEntry: all.n - rows.n,
    horizons: horizons.map(({ years, atRisk }) => {
      const bounds = incidence && incidenceBounds(incidence, restorationStatus.endpoint, years)
      const [predicted] = curve === undefined ? [] : parametricSurvival(curve, {}, [years])
      return {
        years,
        atRisk,
        ...(bounds === undefined ? {} : { nonParametric: { lower: bounds.lower, upper: bounds.upper } }),
        ...(predicted === undefined || !isNumber(predicted.survival)
          ? {}
          : {
              weibull: {
                estimate: 1 - predicted.survival,
                interval: {
                  lower: complement(predicted.interval.upper),
                  upper: complement(predicted.interval.lower),
                },
              },
            }),
      }
    }),
    level: settings.level,
    methods: [incidence, curve].flatMap((one) =>
      one === undefined ? [] : [{ method: one.method, reference: one.reference }],
    ),
  })
}

function complement(one: Quantity): Quantity {
  return isNumber(one) ? 1 - one : one
}

function fromDelivery(rows: CohortRows): CohortRows {
  const { entryDays } = rows
  if (entryDays === undefined) return rows
  return subsetRows(
    rows,
    Array.from(rows.row.keys()).filter((i) => entryDays[i] === 0),
  )
}

interface Gaps {
  readonly lower: Float64Array
  readonly upper: Float64Array
  readonly onsetTold: number
}

/** Years between which each event lies; a competing event is known to the day, and no event has no end. */
function gapsOf(cohort: Cohort, { n, row, timeDays, status }: CohortRows): Gaps {
  const lower = new Float64Array(n)
  const upper = new Float64Array(n)
  let onsetTold = 0
  for (let i = 0; i < n; i++) {
    const end = timeDays[i]!
    const clear = cohort.lastClearDays[row[i]!]!
    const onset = cohort.onsetDays[row[i]!]!
    const known = status[i] !== restorationStatus.endpoint || end <= clear
    const told = !known && onset > clear && onset < end
    if (told) onsetTold += 1
    lower[i] = (known ? end : clear) / daysPerYear
    upper[i] =
      status[i] === restorationStatus.censored ? Number.POSITIVE_INFINITY : (told ? onset : end) / daysPerYear
  }
  return { lower, upper, onsetTold }
}

/** The Weibull curve, competing events as the end of follow-up; undefined where it has no maximum. */
function weibullOf(gaps: Gaps, { status, patient }: CohortRows, level: number) {
  const step = halfDay / daysPerYear
  const competing = status.map((one) => (one === restorationStatus.competing ? 1 : 0))
  const upper = gaps.upper.map((one, i) =>
    competing[i] === 1 ? Number.POSITIVE_INFINITY : Math.max(one, step),
  )
  const lower = gaps.lower.map((one, i) => (one === gaps.upper[i] ? Math.max(one, step) : one))
  try {
    const fit = parametricRegression({ lower, upper }, {}, 'weibull', { level, cluster: patient })
    return fit.converged ? fit : undefined
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return undefined
    throw thrown
  }
}
