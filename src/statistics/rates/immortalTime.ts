import { NumericalError } from '../../core/errors.js'
import { notEstimable, type Quantity } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { logTails } from '../numeric/noncentralHypergeometric.js'

/** Events and time of one group before and after the first visit of each of its members. */
export interface BeforeAndAfter {
  /** Events found with no clean look before them. */
  readonly earlyEvents: number
  /** Events found after a clean look. */
  readonly lateEvents: number
  /** Time at risk before the first visit of each member, summed. */
  readonly timeBefore: number
  /** Time at risk after it, summed. */
  readonly timeAfter: number
}

/** What the early events of a group say about how it came to be a group. */
export interface ImmortalTimeTest {
  /** Odds of an early event, group over comparator, that time before and after the first visit let expect. */
  readonly expectedOdds: Quantity
  /** Probability of so few early events in the group, given all events and all early events. */
  readonly pValue: Quantity
  readonly earlyEvents: { readonly group: number; readonly against: number }
  /** No early event in the group, and less probable than the limit. */
  readonly fires: boolean
  readonly method: MethodName
  readonly reference: string
}

/**
 * Whether the members of a group had to stay event-free until their first visit to become members of it: then the group
 * has no event before it. Given all events of each group and all early events, the early events of the group follow
 * Fisher's noncentral hypergeometric distribution, whose odds are the ratio of time before to time after the first
 * visit, group over comparator, whatever the hazard ratio of the groups and however the hazard falls after the start.
 *
 * @param group events and time of the group asked about
 * @param against those of the comparator
 * @param limit P value below which the test fires; default 0.01, one-sided
 * @throws NumericalError `count-out-of-range` for counts that are no counts, or negative time
 * @example immortalTimeTest({ earlyEvents: 0, lateEvents: 9, timeBefore: 10, timeAfter: 10 }, { earlyEvents: 12, lateEvents: 9, timeBefore: 10, timeAfter: 10 }).fires // => true
 */
export const immortalTimeTest = checked(
  'immortalTimeTest',
  (group: BeforeAndAfter, against: BeforeAndAfter, limit = 0.01): ImmortalTimeTest => {
    for (const side of [group, against]) requireCounts(side)
    const earlyEvents = { group: group.earlyEvents, against: against.earlyEvents }
    const method = methodOf('noncentral-hypergeometric')
    const shared = { earlyEvents, method, reference: 'immortal-time' }
    const times = [group.timeBefore, group.timeAfter, against.timeBefore, against.timeAfter]
    if (times.some((one) => one === 0)) {
      const none = notEstimable('no-time-before-or-after')
      return deepFreeze({ ...shared, expectedOdds: none, pValue: none, fires: false })
    }
    const odds = group.timeBefore / group.timeAfter / (against.timeBefore / against.timeAfter)
    const table = {
      n1: group.earlyEvents + group.lateEvents,
      n2: against.earlyEvents + against.lateEvents,
      total: group.earlyEvents + against.earlyEvents,
    }
    const pValue = atMost(table, group.earlyEvents, Math.log(odds))
    return deepFreeze({
      ...shared,
      expectedOdds: odds,
      pValue,
      fires: group.earlyEvents === 0 && pValue < limit,
    })
  },
)

/** Probability of at most x early events in the group. */
function atMost(table: { n1: number; n2: number; total: number }, x: number, logOdds: number): number {
  // With one table only, nothing is left to chance.
  if (Math.max(0, table.total - table.n2) === Math.min(table.n1, table.total)) return 1
  const { fewer, exactly } = logTails(table, x, logOdds)
  return Math.min(1, Math.exp(fewer) + Math.exp(exactly))
}

function requireCounts({ earlyEvents, lateEvents, timeBefore, timeAfter }: BeforeAndAfter): void {
  const counts = [earlyEvents, lateEvents].every((one) => Number.isInteger(one) && one >= 0)
  if (counts && timeBefore >= 0 && timeAfter >= 0) return
  throw new NumericalError({
    code: 'count-out-of-range',
    problem: 'events must be whole numbers and times must not be negative.',
    expected: 'events of 0 or more and time at risk of 0 or more.',
    mend: 'count events before and after the first visit, and sum the time at risk.',
  })
}
