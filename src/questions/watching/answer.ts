import type { Cohort } from '../../cohort/cohort.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { type ClinicFunnel, clinicFunnel } from '../clinicFunnel/answer.js'
import { comparisonSettings } from '../comparison/settings.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type WatchedDevice, watchedDevices } from './devices.js'
import { watchedExposure } from './exposure.js'
import { type NotLooked, notLookedAt } from './notLooked.js'
import { type NowBefore, nowAgainstBefore } from './nowBefore.js'

/** Answer to "is it worse than before, and does anything drift". */
export interface WatchResult {
  readonly kind: 'watch'
  /** Whether the records are generated. */
  readonly generated: boolean
  readonly restorations: number
  /** Absent where no day of delivery is known. */
  readonly nowBefore?: NowBefore
  readonly devices: readonly WatchedDevice[]
  /** Tightenings that name no device. */
  readonly withoutDevice: number
  /** From five on. */
  readonly clinics?: ClinicFunnel
  readonly operators?: ClinicFunnel
  readonly clinicCount: number
  readonly operatorCount: number
  readonly notLooked: NotLooked
  readonly level: number
  readonly method: MethodName
  readonly reference: string
}

/** What is watched. */
export interface WatchOptions {
  /** Calendar day from which is watched; default three years before the end of the records. */
  readonly since?: number
}

/** Units from which the limits of a funnel are widened where many lie outside: fewer do not show their own spread. */
const widenedFrom = 10

/**
 * Watches a practice over time: findings of the last years against the rates before, torque devices by the instruments that
 * read them, clinics and operators beside each other, and what was not looked at.
 *
 * @param cohort restorations with time at risk
 * @param settings level and seed; default `defaultSettings`
 * @example watchPractice(cohort).restorations // => 960
 */
export function watchPractice(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
  { since }: WatchOptions = {},
): WatchResult {
  const exposure = watchedExposure(cohort)
  const clinics = clinicFunnel(cohort, settings, { widenedFrom })
  const operators = clinicFunnel(cohort, settings, { by: cohort.operator, widenedFrom })
  return deepFreeze({
    kind: 'watch' as const,
    generated: cohort.summary.source.generated,
    restorations: cohort.n,
    ...(exposure === undefined
      ? {}
      : {
          nowBefore: nowAgainstBefore(
            cohort,
            exposure,
            { level: settings.level, seed: settings.seed, adjustFor: comparisonSettings(settings).adjustFor },
            since,
          ),
        }),
    devices: watchedDevices(cohort),
    withoutDevice: cohort.torqueRecords().applications.filter(({ device }) => device === undefined).length,
    ...(clinics === undefined ? {} : { clinics }),
    ...(operators === undefined ? {} : { operators }),
    clinicCount: cohort.summary.clinics.length,
    operatorCount: cohort.summary.operators,
    notLooked: notLookedAt(cohort),
    level: settings.level,
    method: methodOf('cumulative-chart-against-the-rates-of-the-baseline-by-age-band'),
    reference: 'now-against-before',
  })
}
