import type { Cohort } from '../cohort/cohort.js'
import { type Contrast, type Interval, isNumber } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { type Compared, countEvents } from './compared.js'
import { type NumberNeeded, numberNeeded } from './numberNeeded.js'
import type { AnalysisPlan } from './planFile.js'
import { inDirectionOfEvents, type Reading, readingOf, smallestInDirection } from './reading.js'
import { type RestorationsNeeded, restorationsNeeded } from './restorationsNeeded.js'
import type { ComparisonVariant } from './variant.js'
import { eventsPerCoefficient } from './variants/hazard.js'
import type { WhoWasCompared } from './whoWasCompared.js'

/** Why a variant leads; the report words each. */
export type LeadReason =
  | 'too-few-events'
  | 'too-little-overlap'
  | 'nothing-to-adjust-for'
  | 'planned'
  | 'few-events-for-a-model-of-the-outcome'
  | 'late-entry'
  | 'hazards-not-proportional'
  | 'better-adjusted-not-estimable'
  | 'loosening-found-at-visits'
  | 'visit-schedules-differ'

/** What stands first in the report on the comparison. */
export interface Lead {
  /**
   * `estimate`: one variant leads. `range`: the day on which loosening was found makes so much of a difference that a
   * range leads, from what the variant says to what it says with loosening placed between looks. `not-comparable`: the
   * protocols overlap too little for a fair comparison; the crude variant stands, and claims nothing. `cannot-be-known`:
   * too few events for any statement.
   */
  readonly kind: 'estimate' | 'range' | 'not-comparable' | 'cannot-be-known'
  /** Key of the variant. */
  readonly variant: string
  readonly scale: ComparisonVariant['scale']
  readonly population: ComparisonVariant['population']
  readonly horizonYears?: number
  /** The variant's estimate; for a range, with the interval that holds both. */
  readonly contrast: Contrast
  /** The two ends of a range. */
  readonly range?: { readonly from: number; readonly to: number }
  readonly reasons: readonly LeadReason[]
  /** What may be said of it. */
  readonly reading: Reading
  /** Smallest difference that matters, as planned. */
  readonly smallestDifference: number
  /** Only for a difference of risks that leads. */
  readonly numberNeeded?: NumberNeeded
  /** What it would take, where too little is known. */
  readonly needed?: RestorationsNeeded
}

/** Fewest events of both groups together from which anything may be said. */
export const leastEvents = 5

/** Most restorations observed from some time after delivery on with which the doubly robust difference may lead. */
const mostLateEntry = 0.1

/** Fewest events in each group for a doubly robust difference to lead. */
const enoughInGroup = 5

/** What the choice of the leading variant rests on. */
export interface LeadInput {
  readonly cohort: Cohort
  readonly compared: Compared
  readonly plan: AnalysisPlan
  readonly who: WhoWasCompared
  readonly variants: readonly ComparisonVariant[]
  /** Population of the weights by the rule of weights; undefined where the choice could not be modelled. */
  readonly population: 'average' | 'overlap' | undefined
  readonly coefficientsOfChoice: number
  readonly lateEntryShare: number
  readonly hazardsProportional: boolean
  /** Change of a difference of risks when loosening is placed between looks; undefined where it cannot be had. */
  readonly shiftBetweenLooks: number | undefined
  readonly schedulesDiffer: boolean
}

/** Chooses what leads, by rules that were fixed before any result. */
export function leadOf(input: LeadInput): Lead {
  const { cohort, compared, plan, who, variants } = input
  const crude = variants.find(({ key }) => key === crudeKey[plan.primary.contrast])!
  if (countEvents(compared) < leastEvents) {
    const needed = restorationsNeeded(cohort, compared, plan)
    return shaped('cannot-be-known', crude, ['too-few-events'], plan, needed)
  }
  if (who.overlapShare < who.leastOverlap) {
    return shaped('not-comparable', crude, ['too-little-overlap'], plan)
  }
  const { variant, reasons } = chosen(input, crude)
  return withVisits(shaped('estimate', variant, reasons, plan), input)
}

const crudeKey = {
  'risk-difference': 'risk-difference-crude',
  'hazard-ratio': 'hazard-ratio-crude',
  'restricted-mean-difference': 'restricted-mean-crude',
} as const

function chosen(
  input: LeadInput,
  crude: ComparisonVariant,
): { readonly variant: ComparisonVariant; readonly reasons: readonly LeadReason[] } {
  const { plan, variants, population } = input
  if (population === undefined && plan.primary.contrast !== 'hazard-ratio') {
    return { variant: crude, reasons: ['nothing-to-adjust-for'] }
  }
  const { keys, reasons } = wished(input)
  const usable = keys
    .map((key) => variants.find((one) => one.key === key))
    .filter((one) => one !== undefined && isUsable(one))
  const [first] = usable
  if (first === undefined) return { variant: crude, reasons: [...reasons, 'better-adjusted-not-estimable'] }
  return first.key === keys[0]
    ? { variant: first, reasons }
    : { variant: first, reasons: [...reasons, 'better-adjusted-not-estimable'] }
}

/** Keys of the variants that may lead, best first. */
function wished(input: LeadInput): {
  readonly keys: readonly string[]
  readonly reasons: readonly LeadReason[]
} {
  const { plan, population = 'overlap' } = input
  if (plan.primary.contrast === 'restricted-mean-difference') {
    return { keys: [`restricted-mean-weighted-${population}`], reasons: ['planned'] }
  }
  const weighted = `risk-difference-weighted-${population}`
  if (plan.primary.contrast === 'hazard-ratio') {
    return input.hazardsProportional
      ? { keys: ['hazard-ratio-adjusted', 'hazard-ratio-penalised'], reasons: ['planned'] }
      : {
          keys: [`restricted-mean-weighted-${population}`, 'hazard-ratio-adjusted'],
          reasons: ['hazards-not-proportional'],
        }
  }
  const why: LeadReason[] = []
  if (!outcomeModelBears(input)) why.push('few-events-for-a-model-of-the-outcome')
  if (input.lateEntryShare > mostLateEntry) why.push('late-entry')
  const robust = `risk-difference-doubly-robust-${population}`
  return why.length === 0
    ? { keys: [robust, weighted], reasons: ['planned'] }
    : { keys: [weighted], reasons: why }
}

/** Whether there are events enough, in all and in each group, for a model of the outcome. */
function outcomeModelBears({ who, coefficientsOfChoice }: LeadInput): boolean {
  const { group, against } = who.events
  return (
    Math.min(group, against) >= enoughInGroup &&
    group + against >= eventsPerCoefficient * (coefficientsOfChoice + 1)
  )
}

function isUsable({ contrast }: ComparisonVariant): boolean {
  return isNumber(contrast.estimate) && isNumber(contrast.interval.lower) && isNumber(contrast.interval.upper)
}

/**
 * A difference of risks takes the day on which loosening was found for the day on which it came. Where the schedules of
 * visits differ between the groups, or placing loosening between looks moves the difference by more than half the
 * width of its interval, the range of both leads.
 */
function withVisits(lead: Lead, { schedulesDiffer, shiftBetweenLooks }: LeadInput): Lead {
  const { estimate, interval } = lead.contrast
  if (lead.scale !== 'risk-difference' || shiftBetweenLooks === undefined || !isNumber(estimate)) return lead
  if (!isNumber(interval.lower) || !isNumber(interval.upper)) return lead
  const farther = Math.abs(shiftBetweenLooks) > (interval.upper - interval.lower) / 2
  if (!schedulesDiffer && !farther) return lead
  const [least, most] = [Math.min(0, shiftBetweenLooks), Math.max(0, shiftBetweenLooks)]
  const wide: Interval = { lower: interval.lower + least, upper: interval.upper + most }
  const { standardError: _ofOneEnd, ...contrast } = lead.contrast
  const reading = readingOf(wide, lead.smallestDifference)
  return deepFreeze({
    ...lead,
    kind: 'range',
    contrast: { ...contrast, interval: wide },
    range: { from: estimate + least, to: estimate + most },
    reasons: [
      ...lead.reasons,
      ...(schedulesDiffer ? (['visit-schedules-differ'] as const) : []),
      ...(farther ? (['loosening-found-at-visits'] as const) : []),
    ],
    reading,
  })
}

function shaped(
  kind: Lead['kind'],
  variant: ComparisonVariant,
  reasons: readonly LeadReason[],
  plan: AnalysisPlan,
  needed?: RestorationsNeeded,
): Lead {
  const { key, scale, population, contrast, horizonYears } = variant
  const claims = kind === 'estimate'
  const turned = scale === 'risk-difference' && claims ? numberNeeded(contrast) : undefined
  return deepFreeze({
    kind,
    variant: key,
    scale,
    population,
    ...(horizonYears === undefined ? {} : { horizonYears }),
    contrast,
    reasons,
    reading: claims
      ? readingOf(
          inDirectionOfEvents(contrast.interval, scale),
          onScaleOf(plan, scale) ? smallestInDirection(plan.smallestDifference, scale) : undefined,
        )
      : 'none',
    smallestDifference: plan.smallestDifference,
    ...(turned === undefined ? {} : { numberNeeded: turned }),
    ...(needed === undefined ? {} : { needed }),
  })
}

/** Whether a scale is the one on which the plan names its smallest difference. */
function onScaleOf(plan: AnalysisPlan, scale: ComparisonVariant['scale']): boolean {
  const { contrast } = plan.primary
  return scale === contrast || (contrast === 'restricted-mean-difference' && scale === 'time-lost-difference')
}
