import { type Cohort, competingCauseName } from '../../cohort/cohort.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import type { Contrast, Quantity } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import type { Compared } from '../compared.js'
import { risksByDayFound } from '../lookIntervals.js'
import type { ComparisonVariant } from '../variant.js'
import { crudeDifferences } from '../variants/risk.js'

/** Competing events and what ignoring them would do. */
export interface CompetingEvents {
  readonly causes: readonly { readonly cause: string; readonly group: number; readonly against: number }[]
  /** Risks by the horizon as if competing events were losses: too high wherever there are any. */
  readonly ignored: { readonly group: Quantity; readonly against: Quantity }
}

/** Counts competing events by cause and group, and computes the risks that ignoring them would give. */
export function competingEvents(
  cohort: Cohort,
  compared: Compared,
  horizonYears: number,
  level: number,
): CompetingEvents {
  const { rows, inGroup } = compared
  const counts = new Map<string, { group: number; against: number }>()
  rows.row.forEach((row, i) => {
    if (rows.status[i] !== restorationStatus.competing) return
    const cause = competingCauseName(cohort.competingCause[row]!)
    const own = counts.get(cause) ?? { group: 0, against: 0 }
    if (inGroup[i] === 1) own.group += 1
    else own.against += 1
    counts.set(cause, own)
  })
  const [against, group] = risksByDayFound(compared, horizonYears * daysPerYear, level)
  return deepFreeze({
    causes: [...counts]
      .sort(([left], [right]) => (left < right ? -1 : 1))
      .map(([cause, one]) => ({ cause, ...one })),
    ignored: { group, against },
  })
}

/** The endpoint or a competing event, whichever came first, as one endpoint. */
export function compositeVariants(
  compared: Compared,
  horizonYears: number,
  level: number,
): readonly ComparisonVariant[] {
  const { rows } = compared
  if (!rows.status.includes(restorationStatus.competing)) return []
  const event = rows.status.map((status) => (status === restorationStatus.censored ? 0 : 1))
  const composite: Compared = { ...compared, rows: { ...rows, event, status: event } }
  return [
    {
      key: 'endpoint-or-competing-event',
      role: 'sensitivity',
      scale: 'risk-difference',
      horizonYears,
      population: 'compared',
      adjustedFor: [],
      assumes: ['groups-alike', 'losses-alike', 'found-when-it-came'],
      contrast: named(crudeDifferences(composite, [horizonYears], level)[0]!.difference, compared),
    },
  ]
}

function named(contrast: Contrast, { names }: Compared): Contrast {
  return { ...contrast, comparator: { ...names } }
}
