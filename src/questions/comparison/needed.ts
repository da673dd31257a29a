import type { Cohort } from '../../cohort/cohort.js'
import { unitsForDifference } from '../../statistics/planning/precisionOfDifference.js'
import type { ComparedRows } from './choice.js'
import type { OverlapEstimate } from './estimate.js'

/** Restorations and years until the interval is as narrow as the smallest difference that matters. */
export interface WhatItWouldTake {
  /** Restorations of both groups now. */
  readonly now: number
  /** Delivered per year, over the years of delivery in the records. */
  readonly perYear: number
  readonly scenarios: readonly {
    /** Risk that was taken, and whether it is the practice's own. */
    readonly risk: number
    readonly own: boolean
    readonly restorations: number
    /** Years at this pace until they are delivered, and followed to the horizon; absent where they are more than 20. */
    readonly years?: number
  }[]
  /** How many times larger the variance is than for independent restorations that are all followed. */
  readonly inflation: number
}

/** Years beyond which a practice alone will not get there. */
const mostYears = 20

/** Risks that are tried where too few events were seen to know the practice's own. */
const assumedRisks = [0.03, 0.05, 0.1] as const

/** Likeness within patients that is assumed where there are too few events to see it; common practice, no source. */
const assumedLikeness = 0.1

/** Fewest events from which the practice's own risk and spread are used. */
const enoughEvents = 10

/** What it would take to know, from the practice's own risk, likeness within patients, loss and overlap. */
export function whatItWouldTake(
  cohort: Cohort,
  compared: ComparedRows,
  lead: OverlapEstimate | undefined,
  smallest: number,
  horizonYears: number,
  level: number,
): WhatItWouldTake {
  const n = compared.row.length
  const members = compared.inGroup.reduce((sum, one) => sum + one, 0)
  const shareOfGroup = members / n
  const events = lead === undefined ? 0 : lead.events.group + lead.events.against
  const own = lead !== undefined && events >= enoughEvents
  const risk = own ? (lead.group.estimate + lead.against.estimate) / 2 : 0
  const spread = (one: number): number => (one * (1 - one)) / (shareOfGroup * (1 - shareOfGroup) * n)
  const inflation =
    own && risk > 0 && risk < 1
      ? lead.standardError ** 2 / spread(risk)
      : (1 + (n / compared.patients - 1) * assumedLikeness) / followedShare(cohort, compared, horizonYears)
  const perYear = n / Math.max(1, cohort.summary.deliveryYears.last - cohort.summary.deliveryYears.first + 1)
  const risks = own && risk > 0 && risk < 1 ? [risk] : assumedRisks
  return {
    now: n,
    perYear,
    inflation,
    scenarios: risks.map((one) => {
      const { units } = unitsForDifference({
        risk: one,
        shareOfGroup,
        halfWidth: smallest,
        inflation: Math.max(inflation, 0.1),
        level,
      })
      const years = Math.max(0, units - n) / perYear + horizonYears
      return { risk: one, own, restorations: units, ...(years > mostYears ? {} : { years }) }
    }),
  }
}

/** Share of the restorations whose follow-up reaches the horizon, or an event before it; at least a twentieth. */
function followedShare(cohort: Cohort, compared: ComparedRows, horizonYears: number): number {
  const end = horizonYears * 365.25
  let reached = 0
  for (const row of compared.row) if (cohort.timeDays[row]! >= end || cohort.status[row] === 1) reached += 1
  return Math.max(0.05, reached / compared.row.length)
}
