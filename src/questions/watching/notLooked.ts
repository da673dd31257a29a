import type { Cohort } from '../../cohort/cohort.js'
import { possibleFollowUp } from '../../cohort/possibleFollowUp.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { CohortError } from '../../core/errors.js'

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
export function notLookedAt(cohort: Cohort): NotLooked {
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
