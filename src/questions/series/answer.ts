import { type Cohort, competingCauseName } from '../../cohort/cohort.js'
import { type EndpointName, exposureGroups } from '../../cohort/definition.js'
import { restorationStatus } from '../../cohort/selection.js'
import type { RecordedDay } from '../../cohort/timelines.js'
import { daysPerYear } from '../../core/calendar.js'
import { answered } from '../answered.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'

/** A day of one restoration on which something was recorded. */
export interface TimelineDay extends RecordedDay {
  readonly years: number
}

/** What became of one restoration, from its delivery on. */
export interface RestorationTimeline {
  /** Pseudonym as the records hold it. */
  readonly restoration: string
  /** Patients counted in order of first appearance: restorations with one number share a mouth. */
  readonly patient: number
  readonly deliveryYear: number
  readonly group: string
  /** First and last day at risk. */
  readonly entryDays: number
  readonly endDays: number
  readonly endYears: number
  readonly end: 'endpoint' | 'competing' | 'censored'
  /** Why the time at risk ended, where a competing event ended it. */
  readonly competingCause?: string
  readonly checks: number
  readonly days: readonly TimelineDay[]
}

/** Every restoration of a small series, one by one. */
export interface SmallSeries {
  readonly kind: 'series'
  readonly endpoint: EndpointName
  readonly restorations: readonly RestorationTimeline[]
  /** Last day that the figure has to show, in years. */
  readonly lastYears: number
}

/** Most restorations that are shown one by one. */
export const mostInSmallSeries = 30

/**
 * Shows every restoration of a small series one by one: delivery, checks, findings, what was done, and how its time at
 * risk ended. Days are counted from delivery; no calendar date is handed on.
 *
 * @param cohort restorations with time at risk
 * @returns undefined where the cohort holds more than `mostInSmallSeries` restorations
 * @example smallSeries(cohort.where({ tightening: 'undone and tightened again' }))?.restorations.length // => 25
 */
export function smallSeries(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): SmallSeries | undefined {
  if (cohort.n > mostInSmallSeries) return undefined
  const restorations = cohort.recordedHistories().map((history, row): RestorationTimeline => {
    const status = cohort.status[row]!
    const endDays = cohort.timeDays[row]!
    return {
      restoration: history.restoration,
      patient: cohort.patient[row]! + 1,
      deliveryYear: cohort.deliveryYear[row]!,
      group: exposureGroups[cohort.exposure[row]!]!,
      entryDays: cohort.entryDays[row]!,
      endDays,
      endYears: endDays / daysPerYear,
      end:
        status === restorationStatus.endpoint
          ? 'endpoint'
          : status === restorationStatus.competing
            ? 'competing'
            : 'censored',
      ...(status === restorationStatus.competing
        ? { competingCause: competingCauseName(cohort.competingCause[row]!) }
        : {}),
      checks: history.days.filter(({ looked, day }) => looked && day <= endDays).length,
      days: history.days.map((day) => ({ ...day, years: day.day / daysPerYear })),
    }
  })
  return answered(cohort, settings, {
    kind: 'series' as const,
    endpoint: cohort.definition.endpoint,
    restorations,
    lastYears: Math.max(
      ...restorations.map(({ endYears, days }) => Math.max(endYears, ...days.map(({ years }) => years))),
    ),
  })
}
