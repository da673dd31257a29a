import { NumericalError } from '../../core/errors.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireFinite } from '../numeric/columns.js'
import {
  binomialCdf,
  binomialLogPmf,
  binomialQuantile,
  normalQuantile,
  poissonCdf,
  poissonLogPmf,
  poissonQuantile,
} from '../numeric/distributions.js'

/** What is counted: events among cases, or events against an expected number. */
export type FunnelFamily = 'binomial' | 'poisson'

/** Options of funnel limits. */
export interface FunnelLimitOptions {
  /** Default 'binomial'; 'poisson' takes expected events as sizes and 1 as the target ratio. */
  readonly family?: FunnelFamily
  /** Lower-tail probabilities of the limits; default about 2 and 3 standard deviations: 0.001, 0.025, 0.975, 0.999. */
  readonly tails?: readonly number[]
}

/** Limits of a funnel at one size, one per tail. */
export interface FunnelLimits {
  readonly size: number
  readonly target: number
  readonly tails: readonly number[]
  /** Exact limits, interpolated between counts; those below 0 are beyond any count and are drawn at 0. */
  readonly exact: readonly number[]
  /** Normal approximation. */
  readonly normal: readonly number[]
}

const defaultTails: readonly number[] = Object.freeze([0.001, 0.025, 0.975, 0.999])

/**
 * Control limits of a funnel plot at given sizes, exact and interpolated between counts (Spiegelhalter 2005, appendix
 * A.1.1), with the normal approximation beside them.
 *
 * @param sizes cases (binomial: whole numbers, at least 1) or expected events (Poisson: above 0)
 * @param target proportion in (0, 1) for binomial, ratio of observed to expected for Poisson, above 0
 * @param options.family default 'binomial'; tails default [0.001, 0.025, 0.975, 0.999]
 * @returns one entry per size, in the order given
 * @throws NumericalError `not-finite`, `size-not-usable`, `target-out-of-range`, `share-out-of-range`
 * @example funnelLimits([100], 0.05)[0].exact[2] // => 0.0919
 */
export const funnelLimits = checked(
  'funnelLimits',
  (sizes: NumberColumn, target: number, options: FunnelLimitOptions = {}): readonly FunnelLimits[] => {
    const { family = 'binomial', tails = defaultTails } = options
    requireFinite('sizes', sizes)
    requireTarget(target, family)
    requireTails(tails)
    return Object.freeze(
      Array.from({ length: sizes.length }, (_, i) => {
        const size = sizes[i]!
        requireSize(size, family, i)
        const spread = targetSpread(size, target, family)
        return Object.freeze({
          size,
          target,
          tails: Object.freeze([...tails]),
          exact: Object.freeze(tails.map((tail) => interpolated(size, target, tail, family))),
          normal: Object.freeze(tails.map((tail) => target + normalQuantile(tail) * spread)),
        })
      }),
    )
  },
)

/** Standard deviation of a unit's proportion, or ratio, at the target. */
export function targetSpread(size: number, target: number, family: FunnelFamily): number {
  return Math.sqrt((family === 'binomial' ? target * (1 - target) : target) / size)
}

/** The count at the tail, less the share of its own probability by which it overshoots, as a proportion or ratio. */
function interpolated(size: number, target: number, tail: number, family: FunnelFamily): number {
  const mean = size * target
  const count = family === 'binomial' ? binomialQuantile(tail, size, target) : poissonQuantile(tail, mean)
  const reached = family === 'binomial' ? binomialCdf(count, size, target) : poissonCdf(count, mean)
  const own = Math.exp(
    family === 'binomial' ? binomialLogPmf(count, size, target) : poissonLogPmf(count, mean),
  )
  return (count - (reached - tail) / own) / size
}

function requireTarget(target: number, family: FunnelFamily): void {
  if (target > 0 && (family === 'poisson' ? Number.isFinite(target) : target < 1)) return
  throw new NumericalError({
    code: 'target-out-of-range',
    problem: `the target is ${target}.`,
    expected: family === 'binomial' ? 'a proportion between 0 and 1.' : 'a ratio above 0.',
    mend: 'use the proportion over all units, or an agreed standard.',
  })
}

function requireTails(tails: readonly number[]): void {
  for (const tail of tails) {
    if (tail > 0 && tail < 1) continue
    throw new NumericalError({
      code: 'share-out-of-range',
      problem: `a tail is ${tail}.`,
      expected: 'lower-tail probabilities between 0 and 1.',
      mend: 'write the upper 2.5% limit as 0.975.',
    })
  }
}

function requireSize(size: number, family: FunnelFamily, position: number): void {
  if (size > 0 && (family === 'poisson' || Number.isInteger(size))) return
  throw new NumericalError({
    code: 'size-not-usable',
    problem: `size ${position + 1} is ${size}.`,
    expected: family === 'binomial' ? 'a whole number of cases, at least 1.' : 'expected events above 0.',
    mend: 'leave out units without cases.',
  })
}
