import { isNumber, type Quantity } from '../../core/estimate.js'
import { unitsForDifference } from '../../statistics/planning/precisionOfDifference.js'
import type { Protocol } from '../protocol/protocol.js'
import { horizonDay } from '../protocol/protocol.js'
import type { BetweenPractices, Comparison } from './comparison.js'
import type { GroupFigures, WithheldGroup } from './figures.js'

/** What may be claimed. */
export type VerdictName = 'lower' | 'higher' | 'open' | 'cannot-be-compared' | 'cannot-be-known'

/** Something that bears on the claim, fixed beforehand. */
export interface GroupObjection {
  readonly code:
    | 'practices-differ'
    | 'few-practices'
    | 'from-charts'
    | 'hazard-and-rate'
    | 'found'
    | 'after-last-look'
  readonly effect: 'agrees' | 'weakens' | 'contradicts' | 'context'
  readonly estimate?: number
  readonly lower?: number
  readonly upper?: number
}

/** The verdict with its reason. */
export interface GroupVerdict {
  readonly verdict: VerdictName
  readonly reason?: 'few-events' | 'few-at-risk' | 'withheld' | 'no-ratio' | 'interval' | 'objection'
  /** Horizon of the risks, in years: the longest at which ten restorations of each group are at risk. */
  readonly years?: number
  readonly risks?: {
    readonly group: { readonly estimate: number; readonly lower: number; readonly upper: number }
    readonly against: { readonly estimate: number; readonly lower: number; readonly upper: number }
  }
  /** Difference that the hazard ratio means for a comparator of the risk that was seen. */
  readonly difference?: { readonly estimate: number; readonly lower: number; readonly upper: number }
  readonly measuredShare?: number
  /** Where the verdict is open by its interval, or too few events were seen. */
  readonly needed?: GroupNeed
  readonly objections: readonly GroupObjection[]
}

/** Restorations until the difference of the risks is as narrow as the smallest that matters. */
export interface GroupNeed {
  /** Years after which the risks are set against each other. */
  readonly years: number
  /** Half the width that the interval of the difference should have. */
  readonly halfWidth: number
  /** Restorations of both groups now. */
  readonly now: number
  readonly scenarios: readonly {
    /** Risk that was taken: the group's own, or one assumed where too few events were seen. */
    readonly risk: number
    readonly own: boolean
    readonly restorations: number
  }[]
}

/** Fewest events of which a comparison may speak, and fewest at risk in each group. */
const fewestEvents = 10
const fewestAtRisk = 10

/** Risks that are tried where too few events were seen to know the group's own. */
const assumedRisks = [0.03, 0.05, 0.1] as const

/** Likeness within patients that is assumed where there are too few events to see it; common practice, no source. */
const assumedLikeness = 0.1

/** Least share of the group whose exposure was measured for a direction to be claimed. */
const leastMeasured = 0.9

interface VerdictParts {
  readonly protocol: Protocol
  readonly figures: readonly [GroupFigures | WithheldGroup, GroupFigures | WithheldGroup]
  readonly comparison: Comparison
  readonly between: BetweenPractices
  /** Share of both groups that was measured, and of the group asked about that was taken from charts. */
  readonly measuredShare: Quantity
  readonly charted: number
  readonly sites: number
}

/** What may be claimed from the sums, by the rules of one practice as far as sums allow. */
export function verdictOf(parts: VerdictParts): GroupVerdict {
  const [against, group] = parts.figures
  if ('withheld' in against || 'withheld' in group)
    return { verdict: 'cannot-be-known', reason: 'withheld', objections: [] }
  const years = longestHorizon(against, group)
  const { measuredShare } = parts
  const common = {
    ...(isNumber(measuredShare) ? { measuredShare } : {}),
    ...risksAt(against, group, parts.comparison, years),
  }
  if (against.events + group.events < fewestEvents) {
    const needed = neededAssumed(against, group, parts.protocol)
    return { verdict: 'cannot-be-known', reason: 'few-events', ...common, needed, objections: [] }
  }
  if (years === undefined || fewestAfterHalfYear(against, group) < fewestAtRisk)
    return { verdict: 'cannot-be-known', reason: 'few-at-risk', ...common, objections: [] }
  const { estimate, interval } = parts.comparison.hazardRatio
  if (!isNumber(estimate))
    return { verdict: 'cannot-be-compared', reason: 'no-ratio', ...common, objections: [] }
  const objections = objectionsOf(parts, estimate)
  const direction = sideOf(interval.lower, interval.upper)
  if (direction === undefined) {
    const needed = neededAsSeen(against, group, parts.protocol, common)
    return { verdict: 'open', reason: 'interval', ...common, ...needed, objections }
  }
  const stopped = objections.some(({ effect }) => effect === 'contradicts')
  return stopped
    ? { verdict: 'open', reason: 'objection', ...common, objections }
    : { verdict: direction, ...common, objections }
}

/** An interval narrows with the root of the restorations: from the width that was seen to the one asked for. */
function neededAsSeen(
  against: GroupFigures,
  group: GroupFigures,
  { smallestDifference: halfWidth }: Protocol,
  { years, risks, difference }: Pick<GroupVerdict, 'years' | 'risks' | 'difference'>,
): Pick<GroupVerdict, 'needed'> {
  if (years === undefined || risks === undefined || difference === undefined) return {}
  const now = against.restorations + group.restorations
  const seen = (difference.upper - difference.lower) / 2
  // Open, and narrow enough already: more restorations are not what is missing.
  if (seen <= halfWidth) return {}
  const restorations = Math.ceil(now * (seen / halfWidth) ** 2)
  const risk = (risks.group.estimate + risks.against.estimate) / 2
  return { needed: { years, halfWidth, now, scenarios: [{ risk, own: true, restorations }] } }
}

function neededAssumed(
  against: GroupFigures,
  group: GroupFigures,
  { smallestDifference: halfWidth, horizonsYears, level }: Protocol,
): GroupNeed {
  const now = against.restorations + group.restorations
  const inflation = 1 + (now / Math.max(1, against.patients + group.patients) - 1) * assumedLikeness
  const shareOfGroup = group.restorations / now
  const upToThree = horizonsYears.filter((years) => years <= 3)
  return {
    years: upToThree.length > 0 ? Math.max(...upToThree) : Math.min(...horizonsYears),
    halfWidth,
    now,
    scenarios: assumedRisks.map((risk) => ({
      risk,
      own: false,
      restorations: unitsForDifference({ risk, shareOfGroup, halfWidth, inflation, level }).units,
    })),
  }
}

/** Side of 1 on which an interval of a ratio lies. */
function sideOf(lower: Quantity, upper: Quantity): 'lower' | 'higher' | undefined {
  if (isNumber(upper) && upper < 1) return 'lower'
  if (isNumber(lower) && lower > 1) return 'higher'
  return undefined
}

function objectionsOf(parts: VerdictParts, ratio: number): readonly GroupObjection[] {
  const { between, sites, comparison } = parts
  const direction = sideOf(comparison.hazardRatio.interval.lower, comparison.hazardRatio.interval.upper)
  const found: GroupObjection[] = []
  if (between.state === 'estimated') {
    const { lower, upper } = between.interval
    const same = direction !== undefined && sideOf(lower, upper) === direction
    const limits = isNumber(lower) && isNumber(upper) ? { lower, upper } : {}
    found.push({
      code: 'practices-differ',
      effect: direction === undefined ? 'context' : same ? 'agrees' : 'contradicts',
      estimate: ratio,
      ...limits,
    })
  } else found.push({ code: 'few-practices', effect: sites < 6 ? 'weakens' : 'context' })
  for (const [code, end] of [
    ['found', comparison.ends.found],
    ['after-last-look', comparison.ends.afterLastLook],
  ] as const) {
    const { lower, upper } = end.interval
    if (!isNumber(end.estimate) || !isNumber(lower) || !isNumber(upper)) continue
    const same = direction !== undefined && sideOf(lower, upper) === direction
    const effect = direction === undefined ? 'context' : same ? 'agrees' : 'contradicts'
    found.push({ code, effect, estimate: end.estimate, lower, upper })
  }
  const { charted } = parts
  if (charted > 1 - leastMeasured)
    found.push({ code: 'from-charts', effect: 'contradicts', estimate: charted })
  const { estimate } = comparison.rateRatio
  if (isNumber(estimate))
    found.push({
      code: 'hazard-and-rate',
      effect: Math.sign(Math.log(estimate)) === Math.sign(Math.log(ratio)) ? 'agrees' : 'weakens',
      estimate,
    })
  return found
}

function longestHorizon(against: GroupFigures, group: GroupFigures): number | undefined {
  const enough = ({ risks }: GroupFigures, years: number): boolean =>
    risks.some((one) => one.years === years && one.atRisk >= fewestAtRisk && isNumber(one.estimate))
  const wanted = group.risks.map(({ years }) => years).filter((years) => years <= 3)
  return [...wanted]
    .sort((left, right) => right - left)
    .find((years) => enough(against, years) && enough(group, years))
}

function fewestAfterHalfYear(against: GroupFigures, group: GroupFigures): number {
  const half = horizonDay(0.5)
  const at = ({ curve }: GroupFigures): number => curve.find(({ day }) => day >= half)?.atRisk ?? 0
  return Math.min(at(against), at(group))
}

function risksAt(
  against: GroupFigures,
  group: GroupFigures,
  { hazardRatio }: Comparison,
  years: number | undefined,
): Pick<GroupVerdict, 'years' | 'risks' | 'difference'> {
  if (years === undefined) return {}
  const at = ({ risks }: GroupFigures) => {
    const found = risks.find((one) => one.years === years)
    if (found === undefined || !isNumber(found.estimate)) return undefined
    const { lower, upper } = found.interval
    return isNumber(lower) && isNumber(upper) ? { estimate: found.estimate, lower, upper } : undefined
  }
  const [own, other] = [at(group), at(against)]
  if (own === undefined || other === undefined) return { years }
  const { estimate, interval } = hazardRatio
  const { lower, upper } = interval
  const by = (ratio: number): number => 1 - other.estimate - (1 - other.estimate) ** ratio
  const difference =
    isNumber(estimate) && isNumber(lower) && isNumber(upper)
      ? { estimate: by(estimate), lower: by(lower), upper: by(upper) }
      : undefined
  return { years, risks: { group: own, against: other }, ...(difference === undefined ? {} : { difference }) }
}
