import type { Cohort } from '../../cohort/cohort.js'
import { possibleFollowUp } from '../../cohort/possibleFollowUp.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { isNumber } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { clusteredProportion } from '../../statistics/clusteredProportion.js'
import {
  type GroupWithLost,
  type LostScenario,
  lostScenarios,
  type TippingPoints,
  tippingPoints,
} from '../../statistics/sensitivity/lostToFollowUp.js'
import type { Compared } from '../compared.js'

export type { LostScenario, TippingPoint } from '../../statistics/sensitivity/lostToFollowUp.js'

/** What those lost could have hidden, by the horizon. */
export interface LostToFollowUp {
  readonly horizonYears: number
  /** Restorations delivered early enough to have been seen at the horizon, by what is known of them. */
  readonly group: GroupWithLost
  readonly against: GroupWithLost
  /** Absent where nobody was lost, or a group has nobody whose outcome is known. */
  readonly scenarios?: readonly LostScenario[]
  readonly bounds?: { readonly lower: number; readonly upper: number }
  readonly tipping?: Pick<TippingPoints, 'conclusion' | 'frontier' | 'tippingRatio'>
  readonly designEffect: number
}

/**
 * Who was lost before the horizon: delivered at least the horizon and a recall interval before the records of the
 * clinic end, observed from delivery on, and neither followed to the horizon nor known to have had the endpoint or a
 * competing event before it. Shareable records know years only, and take the latest day that they allow.
 */
export function lostToFollowUp(
  cohort: Cohort,
  compared: Compared,
  horizonYears: number,
  level: number,
): LostToFollowUp {
  const { rows, inGroup } = compared
  const horizon = horizonYears * daysPerYear
  const possible = possibleFollowUp(cohort)
  const counts = [emptyGroup(), emptyGroup()]
  const eligible: number[] = []
  rows.row.forEach((row, i) => {
    const observed = rows.entryDays === undefined || rows.entryDays[i] === 0
    if (!observed || !(possible[row]! >= horizon + cohort.definition.recallIntervalDays)) return
    eligible.push(i)
    const own = counts[inGroup[i]!]!
    const ended = rows.status[i] !== restorationStatus.censored && rows.timeDays[i]! <= horizon
    if (!ended && rows.timeDays[i]! < horizon) own.lost += 1
    else {
      own.observed += 1
      if (ended && rows.event[i] === 1) own.events += 1
    }
  })
  const [against, group] = counts as [GroupWithLost, GroupWithLost]
  const designEffect = designEffectOf(compared, eligible, level)
  const known = { horizonYears, group, against, designEffect }
  if (group.lost + against.lost === 0 || group.observed === 0 || against.observed === 0)
    return deepFreeze(known)
  const options = { level, designEffect }
  const { scenarios, bounds } = lostScenarios(group, against, options)
  const { conclusion, frontier, tippingRatio } = tippingPoints(group, against, options)
  return deepFreeze({
    ...known,
    scenarios,
    bounds: bounds as { lower: number; upper: number },
    tipping: { conclusion, frontier, tippingRatio },
  })
}

function emptyGroup(): { events: number; observed: number; lost: number } {
  return { events: 0, observed: 0, lost: 0 }
}

function designEffectOf({ rows }: Compared, eligible: readonly number[], level: number): number {
  if (eligible.length === 0) return 1
  const { designEffect } = clusteredProportion(
    eligible.map((i) => rows.event[i]!),
    eligible.map((i) => rows.patient[i]!),
    { level },
  )
  return isNumber(designEffect) ? Math.max(1, designEffect) : 1
}
