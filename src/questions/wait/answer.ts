import type { Cohort } from '../../cohort/cohort.js'
import { labelsTogether } from '../../cohort/covariates.js'
import { exposureGroups } from '../../cohort/definition.js'
import { listOfRows, takenRows } from '../../core/columns.js'
import { HoldfastError } from '../../core/errors.js'
import { type Contrast, noInterval, refusedBy } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import { answered } from '../answered.js'
import { type GroupIncidence, groupIncidence } from '../incidence/answer.js'
import { defaultPlan } from '../plan/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, countPatients, subsetRows, timesAtRisk } from '../rows/cohortRows.js'
import { type WaitCurve, type WaitCurveReason, waitCurve } from './curve.js'

export type { WaitCurve, WaitCurveReason } from './curve.js'

/** Where a repeated tightening lies against the window of the plan. */
export type WaitPlace = 'before' | 'inside' | 'after'

/** Restorations whose screw was tightened again before, inside or after the window. */
export interface WaitGroup {
  readonly place: WaitPlace
  readonly incidence: GroupIncidence
  /** Against those inside the window; absent for these themselves. */
  readonly hazardRatio?: Contrast
}

/** Answer to "how long to wait before tightening again". */
export interface WaitResult {
  readonly kind: 'wait'
  readonly windowMinutes: { readonly from: number; readonly to: number }
  readonly restorations: number
  readonly patients: number
  readonly events: number
  /** Tightened again without undoing, but after how long is not known. */
  readonly waitUnknown: number
  /** Tightened again both outside the window (first) and inside it (later): inside for the groups, early on the curve. */
  readonly severalTightenings: number
  /** Fewest events of which anything is said. */
  readonly leastEvents: number
  readonly groups: readonly WaitGroup[]
  /** Hazard along the wait; absent with the reason beside it. */
  readonly curve?: WaitCurve
  readonly curveReason?: WaitCurveReason
  /** Strata of the hazard ratios: none, or what the plan stratifies by. */
  readonly stratifiedBy: readonly string[]
  readonly level: number
}

/** Fewer events than this in all of them together, and nothing is said about the wait. */
const leastEventsForWait = 5

const places: readonly WaitPlace[] = ['before', 'inside', 'after']

/**
 * How the hazard went with the minutes waited, among restorations tightened again on the day of delivery without
 * undoing: before, inside and after the window of the plan, and as a smooth curve. The wait is that from the first to
 * the second tightening of the same screw. Hazard ratios have patient-robust variance and the strata of the plan;
 * nothing else is allowed for, so that what went with a longer wait may explain what they show.
 *
 * @param cohort restorations with time at risk
 * @param settings level, horizons, least number at risk, plan; default `defaultSettings`
 * @returns undefined where no wait is known
 * @example waitTime(cohort).events // => 26
 */
export function waitTime(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): WaitResult | undefined {
  const inside = exposureGroups.indexOf('repeated in the window')
  const outside = exposureGroups.indexOf('repeated outside the window')
  const notRecorded = exposureGroups.indexOf('repeated, wait not recorded')
  const repeated = cohortRows(cohort, (row) => [inside, outside, notRecorded].includes(cohort.exposure[row]!))
  const known = Array.from(repeated.row.keys()).filter((i) => {
    const row = repeated.row[i]!
    return cohort.exposure[row] !== notRecorded && !Number.isNaN(cohort.waitMinutes[row])
  })
  if (known.length === 0) return undefined
  const rows = subsetRows(repeated, known)
  const waits = takenRows(cohort.waitMinutes, rows.row)
  const { from, to } = cohort.definition.waitWindowMinutes
  const place = listOfRows(rows.row, (row, i): WaitPlace => {
    if (cohort.exposure[row] === inside) return 'inside'
    return waits[i]! < from ? 'before' : 'after'
  })
  const events = rows.event.reduce((sum, one) => sum + one, 0)
  const { strata, stratifiedBy } = strataOf(cohort, rows, settings)
  const { curve, reason } = waitCurve(rows, waits, {
    window: { from, to },
    strata,
    level: settings.level,
  })
  return answered(cohort, settings, {
    kind: 'wait' as const,
    windowMinutes: { from, to },
    restorations: rows.n,
    patients: countPatients(rows),
    events,
    waitUnknown: repeated.n - rows.n,
    severalTightenings: place.filter((one, i) => one === 'inside' && (waits[i]! < from || waits[i]! > to))
      .length,
    leastEvents: leastEventsForWait,
    groups: waitGroups(cohort, rows, place, strata, settings),
    ...(curve === undefined ? {} : { curve }),
    ...(reason === undefined ? {} : { curveReason: reason }),
    stratifiedBy,
    level: settings.level,
  })
}

/** Strata of the plan, where they set anything apart. */
function strataOf(
  cohort: Cohort,
  rows: CohortRows,
  settings: AnalysisSettings,
): { readonly strata: readonly string[] | undefined; readonly stratifiedBy: readonly string[] } {
  const planned = (settings.plan ?? defaultPlan).strata
  const columns = planned.map((name) => ({
    name,
    labels: name === 'clinic' ? cohort.clinic : cohort.operator,
  }))
  const apart = columns.filter(({ labels }) => new Set(labelsTogether([labels], rows.row)).size > 1)
  if (apart.length === 0) return { strata: undefined, stratifiedBy: [] }
  return {
    strata: labelsTogether(
      apart.map(({ labels }) => labels),
      rows.row,
    ),
    stratifiedBy: apart.map(({ name }) => name),
  }
}

function waitGroups(
  cohort: Cohort,
  rows: CohortRows,
  place: readonly WaitPlace[],
  strata: readonly string[] | undefined,
  settings: AnalysisSettings,
): readonly WaitGroup[] {
  const present = places.filter((one) => place.includes(one))
  const positions = (one: WaitPlace): readonly number[] =>
    Array.from(place.keys()).filter((i) => place[i] === one)
  return present.map((one) => {
    const own = subsetRows(rows, positions(one))
    return {
      place: one,
      incidence: groupIncidence(one, cohort, own, settings),
      ...(one === 'inside' || !present.includes('inside')
        ? {}
        : { hazardRatio: againstInside(rows, place, one, strata, settings.level) }),
    }
  })
}

/** Hazard ratio of one group against those inside the window, from these two alone. */
function againstInside(
  rows: CohortRows,
  place: readonly WaitPlace[],
  group: WaitPlace,
  strata: readonly string[] | undefined,
  level: number,
): Contrast {
  const kept = Array.from(place.keys()).filter((i) => place[i] === group || place[i] === 'inside')
  const pair = subsetRows(rows, kept)
  const comparator = { group, against: 'inside' }
  const events = pair.event.reduce((sum, one) => sum + one, 0)
  try {
    const fit = coxRegression(
      timesAtRisk(pair),
      { wait: Float64Array.from(kept, (i) => (place[i] === group ? 1 : 0)) },
      {
        cluster: pair.patient,
        level,
        ...(strata === undefined ? {} : { strata: kept.map((i) => strata[i]!) }),
      },
    )
    const { name: _name, ...ratio } = fit.hazardRatios[0]!
    return { ...ratio, comparator }
  } catch (thrown) {
    if (!(thrown instanceof HoldfastError)) throw thrown
    return {
      estimate: refusedBy(thrown),
      interval: noInterval(refusedBy(thrown)),
      level,
      method: methodOf('none'),
      n: pair.n,
      events,
      clusters: countPatients(pair),
      warnings: [],
      reference: 'patient-robust-cox',
      comparator,
    }
  }
}
