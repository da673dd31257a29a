import type { Cohort } from '../../cohort/cohort.js'
import { placedTimes } from '../../cohort/placement.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import type { AnalysisSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, placedRows } from './cohortRows.js'

/** Horizon in years that leads where no plan names another. */
const usualHorizonYears = 3

/** Shorter horizons that stand in where too few are at risk at the one wished for, longest first. */
export const shorterHorizonsYears: readonly number[] = [2, 1, 0.5]

/** Horizon that leads where enough are at risk there: that of the plan, else 3 years. */
export function wishedHorizon(settings: AnalysisSettings): number {
  return settings.plan?.primary.horizonYears ?? usualHorizonYears
}

/**
 * Whether a risk by a horizon can be stated: enough are at risk there, or nobody of enough was left unseen before it, so
 * that what happened to all of them is known.
 *
 * @param rows with each event placed
 */
export function isHorizonReached(rows: CohortRows, years: number, leastAtRisk: number): boolean {
  const days = years * daysPerYear
  let atRisk = 0
  let leftUnseen = 0
  for (let i = 0; i < rows.n; i++) {
    const entry = rows.entryDays?.[i] ?? 0
    if (rows.timeDays[i]! >= days && (entry === 0 || entry < days)) atRisk++
    if (entry > 0 || (rows.status[i] === restorationStatus.censored && rows.timeDays[i]! < days)) leftUnseen++
  }
  return atRisk >= leastAtRisk || (leftUnseen === 0 && rows.n >= leastAtRisk)
}

/** The horizon wished for, or the longest of 2, 1 and half a year that is reached; undefined where none is. */
export function reachedHorizon(rows: CohortRows, settings: AnalysisSettings): number | undefined {
  const wished = wishedHorizon(settings)
  return [wished, ...shorterHorizonsYears.filter((years) => years < wished)].find((years) =>
    isHorizonReached(rows, years, settings.leastAtRisk),
  )
}

/** Horizons of every table: those of the settings, and the one that leads. */
export function reportedHorizons(cohort: Cohort, settings: AnalysisSettings): readonly number[] {
  const leading = reachedHorizon(placedRows(cohortRows(cohort), placedTimes(cohort, 'midpoint')), settings)
  const all = new Set([...settings.horizonsYears, ...(leading === undefined ? [] : [leading])])
  return [...all].sort((left, right) => left - right)
}
