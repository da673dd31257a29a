import { NumericalError } from '../../core/errors.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireNonNegative, requireSameLength } from '../numeric/columns.js'
import { requireWithin } from './rareEvents.js'
import { requireAnyStudy } from './weightedFit.js'

/** Scale on which proportions are pooled. */
export type ProportionScale = 'logit' | 'double-arcsine' | 'arcsine' | 'untransformed'

/** Scale on which rates are pooled. */
export type RateScale = 'log' | 'square-root' | 'double-square-root'

/** Effects with their sampling variances, one per study. */
export interface StudyEffects {
  readonly effects: readonly number[]
  readonly variances: readonly number[]
}

/**
 * Proportions on the scale on which they are pooled, with their sampling variances. Logit and untransformed: 0.5 is
 * added to events and non-events of those studies only that have none or nothing but events. Double arcsine: half
 * the sum of Freeman and Tukey (1950).
 *
 * @param events units with the event, one entry per study
 * @param totals units, above 0
 * @param scale default 'logit'
 * @throws NumericalError `no-studies`, `unequal-length`, `negative`, `events-above-total`, `empty-study`
 * @example proportionEffects([5], [10], 'arcsine').effects[0] // => 0.785
 */
export const proportionEffects = checked(
  'proportionEffects',
  (events: NumberColumn, totals: NumberColumn, scale: ProportionScale = 'logit'): StudyEffects => {
    requireProportions(events, totals)
    return mapped(events, totals, (x, n) => {
      if (scale === 'arcsine') return [Math.asin(Math.sqrt(x / n)), 1 / (4 * n)]
      if (scale === 'double-arcsine') return [doubleArcsine(x / n, n), 1 / (4 * n + 2)]
      const bare = x === 0 || x === n
      const count = bare ? x + 0.5 : x
      const total = bare ? n + 1 : n
      if (scale === 'logit') return [Math.log(count / (total - count)), 1 / count + 1 / (total - count)]
      return [count / total, (count * (total - count)) / total ** 3]
    })
  },
)

/**
 * Rates on the scale on which they are pooled, with their sampling variances. Log: 0.5 is added to the events of
 * those studies only that have none.
 *
 * @param events events, one entry per study
 * @param time time at risk, above 0
 * @param scale default 'log'
 * @throws NumericalError `no-studies`, `unequal-length`, `negative`, `empty-study`
 * @example rateEffects([4], [100], 'square-root').effects[0] // => 0.2
 */
export const rateEffects = checked(
  'rateEffects',
  (events: NumberColumn, time: NumberColumn, scale: RateScale = 'log'): StudyEffects => {
    requireRates(events, time)
    return mapped(events, time, (x, t) => {
      if (scale === 'square-root') return [Math.sqrt(x / t), 1 / (4 * t)]
      if (scale === 'double-square-root') {
        return [(Math.sqrt(x / t) + Math.sqrt((x + 1) / t)) / 2, 1 / (4 * t)]
      }
      const count = x === 0 ? 0.5 : x
      return [Math.log(count / t), 1 / count]
    })
  },
)

/** Freeman and Tukey's double arcsine of a share of n. */
export function doubleArcsine(share: number, n: number): number {
  const x = share * n
  return (Math.asin(Math.sqrt(x / (n + 1))) + Math.asin(Math.sqrt((x + 1) / (n + 1)))) / 2
}

/**
 * Share behind a double arcsine (Miller 1978), given the size at which it is read; values outside what that size can
 * give become 0 or 1.
 */
export function fromDoubleArcsine(value: number, n: number): number {
  if (value >= doubleArcsine(1, n)) return 1
  if (value <= doubleArcsine(0, n)) return 0
  const sine = Math.sin(2 * value)
  const inner = 1 - (sine + (sine - 1 / sine) / n) ** 2
  return 0.5 * (1 - Math.sign(Math.cos(2 * value)) * Math.sqrt(Math.max(0, inner)))
}

/** Rate behind a double square root, given the time at which it is read. */
export function fromDoubleSquareRoot(value: number, time: number): number {
  const least = Math.sqrt(1 / time) / 2
  if (value <= least) return 0
  // With s = √r and √(r + 1/t) = 2v − s, squaring gives s = v − 1 / (4 t v).
  return (value - 1 / (4 * time * value)) ** 2
}

/** Refuses counts that are no proportions. */
export function requireProportions(events: NumberColumn, totals: NumberColumn): void {
  requireAnyStudy(requireSameLength({ events, totals }))
  requireNonNegative('events', events)
  requirePositive('totals', totals)
  requireWithin('events', events, totals)
}

/** Refuses counts and times that are no rates. */
export function requireRates(events: NumberColumn, time: NumberColumn): void {
  requireAnyStudy(requireSameLength({ events, time }))
  requireNonNegative('events', events)
  requirePositive('time', time)
}

function requirePositive(name: string, column: NumberColumn): void {
  requireNonNegative(name, column)
  for (let i = 0; i < column.length; i++) {
    if (column[i] === 0) {
      throw new NumericalError({
        code: 'empty-study',
        problem: `column ${name} is 0, first in study ${i + 1} of ${column.length}.`,
        expected: 'something at risk in every study.',
        mend: 'leave out studies with nothing at risk.',
      })
    }
  }
}

function mapped(
  events: NumberColumn,
  sizes: NumberColumn,
  effectOf: (x: number, size: number) => readonly [number, number],
): StudyEffects {
  const pairs = Array.from({ length: events.length }, (_, i) => effectOf(events[i]!, sizes[i]!))
  return Object.freeze({
    effects: Object.freeze(pairs.map(([effect]) => effect)),
    variances: Object.freeze(pairs.map(([, variance]) => variance)),
  })
}
