import { NumericalError } from '../../core/errors.js'
import { type Interval, notEstimable, notReached, type Quantity } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { normalQuantile } from '../numeric/distributions.js'
import { wilsonLimits } from '../proportions/proportionLimits.js'

/** One group with units whose outcome is not known. */
export interface GroupWithLost {
  readonly events: number
  /** Units with a known outcome. */
  readonly observed: number
  /** Units without one. */
  readonly lost: number
}

/** Options of the scenarios. */
export interface LostOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Design effect by which the sample sizes of intervals are divided; default 1. */
  readonly designEffect?: number
}

/** A risk difference under one assumption about the lost. */
export interface LostScenario {
  /** What is assumed of the lost of each group. */
  readonly name:
    | 'complete-cases'
    | 'best-case'
    | 'worst-case'
    | 'none-had-the-event'
    | 'all-had-the-event'
    | 'as-observed'
  readonly eventsOfLost: number
  readonly eventsOfLostAgainst: number
  readonly risk: number
  readonly riskAgainst: number
  readonly difference: number
  readonly interval: Interval
}

/** What the lost could have hidden. */
export interface LostScenarios {
  readonly scenarios: readonly LostScenario[]
  /** Lowest and highest difference that any outcome of the lost could give. */
  readonly bounds: Interval
  readonly level: number
  readonly method: MethodName
  readonly reference: string
}

/** One point of the frontier at which the answer changes. */
export interface TippingPoint {
  /** Events assumed among the lost of the comparison group. */
  readonly eventsOfLostAgainst: number
  /**
   * Events among the lost of the group of interest at which the conclusion no longer stands: the fewest where it was a
   * lower risk, the most where it was a higher one.
   */
  readonly eventsOfLost: Quantity
}

/** Where a conclusion tips. */
export interface TippingPoints {
  /** What complete cases say of the difference. */
  readonly conclusion: 'lower' | 'higher' | 'undecided'
  /** Frontier in rising order of events among the lost of the comparison group. */
  readonly frontier: readonly TippingPoint[]
  /**
   * Risk in the lost of the group of interest over its observed risk at which the conclusion tips, the lost of the
   * comparison group having their group's observed risk; not reached where no such ratio tips it.
   */
  readonly tippingRatio: Quantity
  readonly level: number
  readonly method: MethodName
  readonly reference: string
}

const reference = 'lost-to-follow-up'

/**
 * Risk difference under extreme and plain assumptions about units lost to follow-up: best and worst case for the
 * group of interest, no events and nothing but events among the lost, and the observed risk in the lost.
 *
 * @param group group of interest
 * @param against comparison group
 * @param options level 0.95; designEffect 1
 * @throws NumericalError `counts-not-usable`, `level-out-of-range`, `design-effect-below-one`
 * @see Hollis and Campbell (1999); Newcombe (1998) for the interval
 * @example lostScenarios({ events: 5, observed: 90, lost: 10 }, { events: 9, observed: 95, lost: 5 }).bounds.upper // => 0.06
 */
export const lostScenarios = checked(
  'lostScenarios',
  (group: GroupWithLost, against: GroupWithLost, options: LostOptions = {}): LostScenarios => {
    const settings = settledOf(group, against, options)
    const scenario = (name: LostScenario['name'], own: number, other: number): LostScenario =>
      scenarioOf(name, group, against, own, other, settings)
    const complete = completeCases(group, against, settings)
    const best = scenario('best-case', 0, against.lost)
    const worst = scenario('worst-case', group.lost, 0)
    return Object.freeze({
      scenarios: Object.freeze([
        complete,
        best,
        worst,
        scenario('none-had-the-event', 0, 0),
        scenario('all-had-the-event', group.lost, against.lost),
        scenario(
          'as-observed',
          (group.lost * group.events) / group.observed,
          (against.lost * against.events) / against.observed,
        ),
      ]),
      bounds: Object.freeze({ lower: best.difference, upper: worst.difference }),
      level: settings.level,
      method: methodOf('scenarios-for-the-lost', 'newcombe-interval'),
      reference,
    })
  },
)

/**
 * Where the conclusion of complete cases tips: for events among the lost of the comparison group from none to all, how
 * many among the lost of the group of interest would bring no difference into the interval.
 *
 * A conclusion is a side on which the whole interval of the difference lies. Where complete cases decide nothing, the
 * frontier is empty.
 *
 * @param group group of interest
 * @param against comparison group
 * @param options level 0.95; designEffect 1; points of the frontier at most 51
 * @throws NumericalError `counts-not-usable`, `level-out-of-range`, `design-effect-below-one`
 * @see Yan, Lee and Li (2009)
 * @example tippingPoints({ events: 5, observed: 100, lost: 50 }, { events: 20, observed: 100, lost: 0 }).frontier[0].eventsOfLost // => 12
 */
export const tippingPoints = checked(
  'tippingPoints',
  (
    group: GroupWithLost,
    against: GroupWithLost,
    options: LostOptions & { readonly points?: number } = {},
  ): TippingPoints => {
    const { points = 51 } = options
    const settings = settledOf(group, against, options)
    const conclusion = conclusionOf(completeCases(group, against, settings).interval)
    const stands = (own: number, other: number): boolean => {
      const { interval } = scenarioOf('as-observed', group, against, own, other, settings)
      return conclusionOf(interval) === conclusion
    }
    const others = spaced(against.lost, points)
    const frontier =
      conclusion === 'undecided'
        ? []
        : others.map((other) => tippingAt(other, group.lost, conclusion, stands))
    return Object.freeze({
      conclusion,
      frontier: Object.freeze(frontier),
      tippingRatio: tippingRatio(group, against, conclusion, stands),
      level: settings.level,
      method: methodOf('tipping-point-for-the-lost', 'newcombe-interval'),
      reference,
    })
  },
)

interface Settings {
  readonly level: number
  readonly z: number
  readonly designEffect: number
}

function completeCases(group: GroupWithLost, against: GroupWithLost, settings: Settings): LostScenario {
  const without = (one: GroupWithLost): GroupWithLost => ({ ...one, lost: 0 })
  return scenarioOf('complete-cases', without(group), without(against), 0, 0, settings)
}

function scenarioOf(
  name: LostScenario['name'],
  group: GroupWithLost,
  against: GroupWithLost,
  own: number,
  other: number,
  { z, designEffect }: Settings,
): LostScenario {
  const n1 = group.observed + group.lost
  const n0 = against.observed + against.lost
  const risk = (group.events + own) / n1
  const riskAgainst = (against.events + other) / n0
  const difference = risk - riskAgainst
  const [lower1, upper1] = wilsonLimits(risk, n1 / designEffect, z)
  const [lower0, upper0] = wilsonLimits(riskAgainst, n0 / designEffect, z)
  return Object.freeze({
    name,
    eventsOfLost: own,
    eventsOfLostAgainst: other,
    risk,
    riskAgainst,
    difference,
    interval: Object.freeze({
      lower: difference - Math.hypot(risk - lower1, upper0 - riskAgainst),
      upper: difference + Math.hypot(upper1 - risk, riskAgainst - lower0),
    }),
  })
}

function conclusionOf({ lower, upper }: Interval): 'lower' | 'higher' | 'undecided' {
  if ((upper as number) < 0) return 'lower'
  return (lower as number) > 0 ? 'higher' : 'undecided'
}

/**
 * A lower risk is undone by events among the own lost, counted from none up; a higher one by their absence, counted
 * from all down. Both are monotone, so halving finds the first count that tips.
 */
function tippingAt(
  other: number,
  lost: number,
  conclusion: 'lower' | 'higher',
  stands: (own: number, other: number) => boolean,
): TippingPoint {
  const ownAt = (step: number): number => (conclusion === 'lower' ? step : lost - step)
  const answer = (eventsOfLost: Quantity): TippingPoint =>
    Object.freeze({ eventsOfLostAgainst: other, eventsOfLost })
  if (!stands(ownAt(0), other)) return answer(ownAt(0))
  if (stands(ownAt(lost), other)) return answer(notReached(ownAt(lost)))
  let good = 0
  let tipped = lost
  while (tipped - good > 1) {
    const middle = Math.floor((good + tipped) / 2)
    if (stands(ownAt(middle), other)) good = middle
    else tipped = middle
  }
  return answer(ownAt(tipped))
}

function tippingRatio(
  group: GroupWithLost,
  against: GroupWithLost,
  conclusion: 'lower' | 'higher' | 'undecided',
  stands: (own: number, other: number) => boolean,
): Quantity {
  const risk = group.events / group.observed
  const other = (against.lost * against.events) / against.observed
  if (conclusion === 'undecided') return notEstimable('nothing-to-tip')
  if (group.lost === 0) return notEstimable('nobody-lost')
  if (risk === 0) return notEstimable('no-event-of-interest')
  const eventsAt = (ratio: number): number => Math.min(group.lost, ratio * risk * group.lost)
  let good = 1
  let tipped = conclusion === 'lower' ? 1 / risk : 0
  if (!stands(eventsAt(good), other)) return 1
  if (stands(eventsAt(tipped), other)) return notReached(tipped)
  for (let step = 0; step < 60; step++) {
    const middle = (good + tipped) / 2
    if (stands(eventsAt(middle), other)) good = middle
    else tipped = middle
  }
  return tipped
}

function spaced(most: number, points: number): readonly number[] {
  const steps = Math.min(most, Math.max(1, points - 1))
  if (steps === 0) return [0]
  return Array.from({ length: steps + 1 }, (_, i) => Math.round((i * most) / steps))
}

function settledOf(group: GroupWithLost, against: GroupWithLost, options: LostOptions): Settings {
  const { level = 0.95, designEffect = 1 } = options
  requireLevel(level)
  for (const { events, observed, lost } of [group, against]) {
    const whole = [events, observed, lost].every((count) => Number.isInteger(count) && count >= 0)
    if (whole && observed > 0 && events <= observed) continue
    throw new NumericalError({
      code: 'counts-not-usable',
      problem: `a group has ${events} events among ${observed} observed and ${lost} lost.`,
      expected: 'whole counts, at least one unit observed, and no more events than those.',
      mend: 'check the counts.',
    })
  }
  if (!(Number.isFinite(designEffect) && designEffect >= 1)) {
    throw new NumericalError({
      code: 'design-effect-below-one',
      problem: `the design effect is ${designEffect}.`,
      expected: 'a number from 1.',
      mend: 'leave it out for independent units.',
    })
  }
  return { level, z: normalQuantile((1 + level) / 2), designEffect }
}
