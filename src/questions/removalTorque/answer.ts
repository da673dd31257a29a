import type { Cohort } from '../../cohort/cohort.js'
import { exposureGroups } from '../../cohort/definition.js'
import type { RemovalMeasurement } from '../../cohort/torqueRecords.js'
import { type Warning, warning } from '../../core/estimate.js'
import { summaryFigures } from '../../statistics/means/means.js'
import { answered } from '../answered.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type BenchComparison, type BenchGroup, compareBench } from './benchTorque.js'

/** Answer to "at what torque did the screws come loose when undone", by handling on the delivery day. */
export interface RemovalTorqueResult {
  readonly kind: 'removalTorque'
  readonly measurements: number
  readonly restorations: number
  /** Restorations with more than one measurement, of which the mean counts as one value. */
  readonly measuredRepeatedly: number
  /** Torque of removal in N·cm. */
  readonly removal: BenchComparison
  /** Share of the torque reached that was lost; absent where no torque before is known. */
  readonly loss?: BenchComparison
  readonly warnings: readonly Warning[]
  readonly level: number
}

/**
 * Removal torque, and the share of the torque of tightening that was lost, by handling on the day of delivery. Several
 * measurements of one restoration are averaged: they are not independent. Removal torque is a surrogate: what it says
 * of loosening in the mouth is not known.
 *
 * @param cohort cohort of the records in question
 * @param settings level; default `defaultSettings`
 * @returns undefined where no torque of removal is recorded
 * @example removalTorque(cohort).measurements // => 30
 */
export function removalTorque(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): RemovalTorqueResult | undefined {
  const { removals } = cohort.torqueRecords()
  if (removals.length === 0) return undefined
  const { level } = settings
  const loss = groupsOf(removals, ({ removalNcm, tightenedNcm }) =>
    tightenedNcm === undefined ? undefined : (tightenedNcm - removalNcm) / tightenedNcm,
  )
  const perRestoration = new Map<number, number>()
  for (const { restoration } of removals) {
    perRestoration.set(restoration, (perRestoration.get(restoration) ?? 0) + 1)
  }
  const measuredRepeatedly = [...perRestoration.values()].filter((count) => count > 1).length
  return answered(cohort, settings, {
    kind: 'removalTorque' as const,
    measurements: removals.length,
    restorations: perRestoration.size,
    measuredRepeatedly,
    removal: compareBench(
      groupsOf(removals, ({ removalNcm }) => removalNcm),
      { level },
    ),
    ...(loss.length === 0 ? {} : { loss: compareBench(loss, { level }) }),
    warnings:
      measuredRepeatedly === 0 ? [] : [warning('measured-repeatedly', { restorations: measuredRepeatedly })],
    level,
  })
}

/** Figures of each group, one value a restoration. */
function groupsOf(
  removals: readonly RemovalMeasurement[],
  readValue: (one: RemovalMeasurement) => number | undefined,
): readonly BenchGroup[] {
  return exposureGroups.flatMap((name) => {
    const values = new Map<number, number[]>()
    for (const one of removals) {
      const value = one.group === name ? readValue(one) : undefined
      if (value === undefined) continue
      const own = values.get(one.restoration)
      if (own === undefined) values.set(one.restoration, [value])
      else own.push(value)
    }
    if (values.size === 0) return []
    const means = [...values.values()].map((own) => own.reduce((sum, one) => sum + one, 0) / own.length)
    return [{ name, ...summaryFigures(means), implants: means.length }]
  })
}
