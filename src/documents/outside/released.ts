import { isNumber } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import type { AuditResult } from '../../questions/audit.js'
import { objectionsOf } from '../../questions/comparison/answerPart.js'
import type { ChallengeCode } from '../../questions/comparison/challenges.js'
import type { Verdict } from '../../questions/comparison/verdict.js'
import { isChosenPart } from '../../questions/words/chosenPart.js'

/** No count below this leaves the practice, neither by itself nor as a difference of counts that do. */
export const leastReleased = 5

/** An estimate as it is printed. */
export interface ReleasedEstimate {
  readonly estimate: number
  readonly lower: number
  readonly upper: number
}

/** A group that may be told of. */
export interface ReleasedGroup {
  readonly name: string
  readonly restorations: number
  readonly events: number
  readonly risk?: ReleasedEstimate
}

/**
 * All that leaves a practice: counts of which no cell is small, and risks as they are printed. What is not here is in no
 * document of the outside edition, whatever its format, since all of them are made from this alone.
 */
export interface Released {
  readonly kind: 'outside'
  readonly endpoint: AuditResult['definition']['endpoint']
  readonly generated: boolean
  readonly level: number
  readonly least: number
  /** How the audit was set up; nothing of it comes from a record. */
  readonly definition: Pick<
    AuditResult['definition'],
    'endpoint' | 'waitWindowMinutes' | 'restorationTypes' | 'recallIntervalDays'
  >
  /** Whether at least five restorations were never looked at. */
  readonly someNeverChecked: boolean
  /** Whether a part of the records was chosen; which part, and how many were not, is not told. */
  readonly chosenPart: boolean
  readonly restorations?: number
  readonly patients?: number
  readonly events?: number
  readonly years?: number
  readonly risk?: ReleasedEstimate
  readonly comparison?: {
    readonly verdict: Verdict
    /** Names of the fields that were allowed for. */
    readonly allowedFor: readonly string[]
    /** The group it was compared against, then the group; absent where a cell would be small. */
    readonly groups?: readonly ReleasedGroup[]
    readonly years?: number
    readonly difference?: ReleasedEstimate
    readonly objections: readonly {
      readonly code: ChallengeCode
      readonly effect: 'contradicts' | 'weakens'
    }[]
  }
}

/** What may leave of an audit. */
export function releasedOf(audit: AuditResult): Released {
  const { definition, settings, summary } = audit
  const { restorations, patients, events, years } = audit.howOften
  const { waitWindowMinutes, restorationTypes, recallIntervalDays } = definition
  const frame = {
    kind: 'outside',
    endpoint: definition.endpoint,
    generated: summary.source.generated,
    level: settings.level,
    least: leastReleased,
    definition: {
      endpoint: definition.endpoint,
      waitWindowMinutes: { from: waitWindowMinutes.from, to: waitWindowMinutes.to },
      restorationTypes: [...restorationTypes],
      recallIntervalDays,
    },
    someNeverChecked: isLarge(audit.howOften.leftOut.restorations),
    chosenPart: isChosenPart(summary),
  } as const
  if (restorations < leastReleased || patients < leastReleased) return deepFreeze(frame)
  const told = isLarge(events) && isLarge(restorations - events)
  const risk = told ? riskOf(audit) : undefined
  return deepFreeze({
    ...frame,
    restorations,
    patients,
    ...(told ? { events } : {}),
    ...(risk === undefined || years === undefined ? {} : { years, risk }),
    ...comparisonOf(audit, told),
  })
}

/** A count that may be told. */
function isLarge(count: number): boolean {
  return count >= leastReleased
}

/** The risk, unless the events after the horizon, which it gives away beside all events, are few. */
function riskOf({ howOften }: AuditResult): ReleasedEstimate | undefined {
  const risk = howOften.horizon?.risk
  if (howOften.verdict !== 'estimate' || risk === undefined) return undefined
  const { estimate, interval, events: byThen } = risk
  if (!isNumber(estimate) || !isNumber(interval.lower) || !isNumber(interval.upper)) return undefined
  const later = howOften.events - byThen
  if (!isLarge(byThen) || (later !== 0 && !isLarge(later))) return undefined
  return rounded({ estimate, lower: interval.lower, upper: interval.upper })
}

function comparisonOf({ tightening, howOften }: AuditResult, told: boolean): Pick<Released, 'comparison'> {
  if (tightening === undefined) return {}
  const { verdict, lead, horizonYears, groups } = tightening
  const names = ['against', 'group'] as const
  const counts = names.map((side) => ({
    name: groups[side],
    restorations: tightening.restorations[side],
    events: tightening.events[side],
  }))
  // Groups by a field of the records bear names out of the records, that of an operator, say.
  const named = groups.by === 'measured' || groups.by === 'chart'
  const open = named && told && cellsOf(howOften, counts).every(isLarge)
  const claims = verdict !== 'cannot-be-compared' && verdict !== 'cannot-be-known' && lead !== undefined
  return {
    comparison: {
      allowedFor: claims ? [...tightening.adjustedFor] : [],
      // A direction without its figures could not be judged by anybody.
      verdict: !open && (verdict === 'lower' || verdict === 'higher') ? 'open' : verdict,
      ...(open
        ? {
            groups: counts.map((one, index) => ({
              ...one,
              ...(claims ? { risk: rounded(lead[names[index]!]) } : {}),
            })),
          }
        : {}),
      ...(open && claims && horizonYears !== undefined
        ? { years: horizonYears, difference: rounded(lead.difference) }
        : {}),
      objections: objectionsOf(tightening).map(({ code, effect }) => ({
        code,
        effect: effect === 'contradicts' ? 'contradicts' : 'weakens',
      })),
    },
  }
}

interface Counts {
  readonly restorations: number
  readonly events: number
}

/** Every cell that the counts of two groups give away beside those of all: with and without the event, and the rest. */
function cellsOf(all: Counts, groups: readonly Counts[]): readonly number[] {
  const sum = (key: keyof Counts): number => groups.reduce((total, one) => total + one[key], 0)
  const rest = { restorations: all.restorations - sum('restorations'), events: all.events - sum('events') }
  // Where every restoration is in one of the groups there is no rest, and nobody in it.
  const told = rest.restorations === 0 && rest.events === 0 ? groups : [...groups, rest]
  return told.flatMap(({ restorations, events }) => [events, restorations - events])
}

/** A thousandth, as a percentage is printed: more digits would let counts be worked out. */
function rounded({ estimate, lower, upper }: ReleasedEstimate): ReleasedEstimate {
  const printed = (value: number): number => Math.round(value * 1000) / 1000
  return { estimate: printed(estimate), lower: printed(lower), upper: printed(upper) }
}
