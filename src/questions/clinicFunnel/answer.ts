import type { Cohort } from '../../cohort/cohort.js'
import { labelAt } from '../../cohort/covariates.js'
import type { Warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import type { CategoryColumn } from '../../records/columns.js'
import { nelsonAalen } from '../../statistics/curves/cumulativeHazard.js'
import { type FunnelPosition, funnelPlot } from '../../statistics/monitoring/funnel.js'
import { funnelLimits } from '../../statistics/monitoring/funnelLimits.js'
import { answered } from '../answered.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows } from '../rows/cohortRows.js'

/** One clinic against what would be expected of its restorations. */
export interface FunnelClinic {
  readonly clinic: string
  readonly restorations: number
  readonly events: number
  /** Events that the cumulative hazard of all clinics together gives for its times at risk. */
  readonly expected: number
  /** Events over expected. */
  readonly ratio: number
  readonly position: FunnelPosition
  /** Limits at its size, in the order of `tails`. */
  readonly limits: readonly number[]
}

/** Answer to "does a clinic stand out". */
export interface ClinicFunnel {
  readonly kind: 'clinicFunnel'
  /** In the order of their codes: a funnel does not rank. */
  readonly clinics: readonly FunnelClinic[]
  readonly tails: readonly number[]
  /** Limits along the expected number, for drawing. */
  readonly limits: readonly { readonly expected: number; readonly at: readonly number[] }[]
  /** Restorations of no known clinic, or of clinics of which nothing is expected: left out. */
  readonly leftOut: number
  /** Spread between clinics over what chance gives, and whether the limits are widened for it. */
  readonly overDispersion: { readonly factor: number; readonly widened: boolean }
  readonly warnings: readonly Warning[]
  readonly method: MethodName
  readonly reference: string
}

/** Of whom a funnel is made. */
export interface FunnelUnits {
  /** Label of each restoration's unit; default its clinic. */
  readonly by?: CategoryColumn
  /** Fewest units for which limits are widened where many lie outside; default any. */
  readonly widenedFrom?: number
}

/** Fewest clinics of which a funnel is made. */
export const leastClinicsForFunnel = 5

const steps = 40

/**
 * Sets the events of each clinic against those expected from the cumulative hazard of all clinics together over its
 * restorations' times at risk, so that longer follow-up does not make a clinic look worse. Limits are exact Poisson
 * limits of about 2 and 3 standard deviations. What differs between clinics in position, parts or patients is not
 * allowed for, and no clinic is ranked.
 *
 * @param cohort restorations with time at risk
 * @param settings level; default `defaultSettings`
 * @param units operators, say, in the place of clinics
 * @returns undefined with fewer than 5 clinics, or without events
 * @example clinicFunnel(cohort).clinics.length // => 5
 */
export function clinicFunnel(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
  units: FunnelUnits = {},
): ClinicFunnel | undefined {
  const by = units.by ?? cohort.clinic
  const rows = cohortRows(cohort)
  const expected = expectedEvents(rows, settings.level)
  const counts = new Map<string, { restorations: number; events: number; expected: number }>()
  let leftOut = 0
  rows.row.forEach((row, i) => {
    const clinic = labelAt(by, row)
    if (clinic === undefined) {
      leftOut++
      return
    }
    const own = counts.get(clinic) ?? { restorations: 0, events: 0, expected: 0 }
    own.restorations++
    own.events += rows.event[i]!
    own.expected += expected[i]!
    counts.set(clinic, own)
  })
  const clinics = [...counts]
    .filter(([, own]) => own.expected > 0)
    .sort(([left], [right]) => (left < right ? -1 : 1))
  for (const [, own] of counts) if (own.expected === 0) leftOut += own.restorations
  if (clinics.length < leastClinicsForFunnel) return undefined
  const sizes = clinics.map(([, own]) => own.expected)
  const funnel = funnelPlot(
    clinics.map(([, own]) => own.events),
    sizes,
    {
      family: 'poisson',
      ...(clinics.length < (units.widenedFrom ?? 0) ? { overDispersion: 'none' as const } : {}),
    },
  )
  return answered(cohort, settings, {
    kind: 'clinicFunnel' as const,
    clinics: clinics.map(([clinic, own], index) => {
      const { value, position, limits } = funnel.units[index]!
      return { clinic, ...own, ratio: value, position, limits }
    }),
    tails: funnel.tails,
    limits: drawnLimits(sizes, funnel),
    leftOut,
    overDispersion: {
      factor: funnel.overDispersion.factor,
      widened: funnel.overDispersion.applied !== 'none' && funnel.overDispersion.factor > 1,
    },
    warnings: funnel.warnings,
    method: methodOf('events-over-those-expected-from-the-cumulative-hazard-of-all', 'exact-poisson-limits'),
    reference: funnel.reference,
  })
}

/** Events expected of each restoration: the cumulative hazard of all over its time at risk. */
function expectedEvents(rows: CohortRows, level: number): Float64Array {
  const curve = nelsonAalen(rows.timeDays, rows.event, {
    entry: rows.entryDays,
    cluster: rows.patient,
    level,
  })
  const hazardAt = (day: number): number => {
    let low = 0
    let high = curve.rows.length
    while (low < high) {
      const middle = (low + high) >> 1
      if (curve.rows[middle]!.time <= day) low = middle + 1
      else high = middle
    }
    return low === 0 ? 0 : curve.rows[low - 1]!.cumulativeHazard
  }
  return Float64Array.from(rows.timeDays, (day, i) => {
    const entry = rows.entryDays?.[i] ?? 0
    return hazardAt(day) - (entry > 0 ? hazardAt(entry) : 0)
  })
}

/** Limits from a small expected number to a tenth above the largest, widened as those of the clinics are. */
function drawnLimits(
  sizes: readonly number[],
  {
    tails,
    overDispersion,
  }: {
    readonly tails: readonly number[]
    readonly overDispersion: { readonly factor: number; readonly applied: string }
  },
): ClinicFunnel['limits'] {
  const least = Math.min(2, Math.min(...sizes) / 2)
  const most = Math.max(...sizes) * 1.1
  const places = Array.from({ length: steps + 1 }, (_, step) => least + ((most - least) * step) / steps)
  const inflation = overDispersion.applied === 'none' ? 1 : Math.sqrt(Math.max(1, overDispersion.factor))
  return funnelLimits(places, 1, { family: 'poisson', tails }).map(({ size, exact }) => ({
    expected: size,
    at: exact.map((limit) => Math.max(0, 1 + (limit - 1) * inflation)),
  }))
}
