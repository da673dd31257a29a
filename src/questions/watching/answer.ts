import type { Cohort } from '../../cohort/cohort.js'
import { possibleFollowUp } from '../../cohort/possibleFollowUp.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { CohortError } from '../../core/errors.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { type ClinicFunnel, clinicFunnel } from '../clinicFunnel/answer.js'
import { comparisonSettings } from '../comparison/settings.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type WatchedDevice, watchedDevices } from './devices.js'
import { watchedExposure } from './exposure.js'
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
    withoutDevice: countWhere(cohort.torqueRecords().read, ({ device }) => device === undefined),
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

function countWhere<One>(all: Iterable<One>, counts: (one: One) => boolean): number {
  let count = 0
  for (const one of all) if (counts(one)) count++
  return count
}

/** What was not looked at. */
export interface NotLooked {
  /** Restorations in place whose last look is older than the recall interval, and all that are in place. */
  readonly overdue: number
  readonly inPlace: number
  readonly recallIntervalDays: number
  readonly neverChecked: number
  readonly years: number
  /** Share of the restoration-years that is not there where only ticked checks count. */
  readonly presumedShare: number
  /** Fields known in at least ten points less of the deliveries of the last year than of those before. */
  readonly fell: readonly { readonly field: string; readonly before: number; readonly now: number }[]
}

const leastFall = 0.1

/** What the comparison allows for, and who did it. */
const watchedFields = ['operator_id', 'connection', 'component_system', 'opposing', 'bruxism'] as const
const leastRestorations = 20

/** Checks overdue, follow-up that rests on presumed looks, fields that are filled in less than they were. */
function notLookedAt(cohort: Cohort): NotLooked {
  const possible = possibleFollowUp(cohort)
  const { recallIntervalDays } = cohort.definition
  const years = yearsOf(cohort)
  const inPlace = Array.from({ length: cohort.n }, (_one, row) => row).filter(
    (row) => cohort.status[row] === restorationStatus.censored,
  )
  return {
    overdue: inPlace.filter((row) => possible[row]! - cohort.timeDays[row]! > recallIntervalDays).length,
    inPlace: inPlace.length,
    recallIntervalDays,
    neverChecked: cohort.summary.neverChecked,
    years,
    presumedShare: years > 0 ? Math.max(0, 1 - tickedYears(cohort) / years) : 0,
    fell: fellOf(cohort, possible),
  }
}

function yearsOf({ timeDays, entryDays }: Cohort): number {
  return timeDays.reduce((sum, day, row) => sum + day - entryDays[row]!, 0) / daysPerYear
}

function tickedYears(cohort: Cohort): number {
  try {
    return yearsOf(cohort.redefined({ looks: 'ticks' }))
  } catch (thrown) {
    if (thrown instanceof CohortError && thrown.code === 'empty-cohort') return 0
    throw thrown
  }
}

function fellOf(cohort: Cohort, possible: Float64Array): NotLooked['fell'] {
  const recent = Array.from(possible, (days) => days < daysPerYear)
  const counts = [recent.filter(Boolean).length, recent.filter((one) => !one).length]
  if (Math.min(...counts) < leastRestorations) return []
  return watchedFields.flatMap((field) => {
    if (!cohort.has(field)) return []
    const { codes } = cohort.category(field)
    const known = (wanted: boolean): number =>
      recent.filter((one, row) => one === wanted && codes[row]! >= 0).length / counts[wanted ? 0 : 1]!
    const [now, before] = [known(true), known(false)]
    return before - now >= leastFall ? [{ field, before, now }] : []
  })
}
