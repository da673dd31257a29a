import { NumericalError } from '../../core/errors.js'
import type { Warning } from '../../core/estimate.js'
import type { MethodName } from '../../core/method.js'
import { normalUpperQuantile } from '../numeric/distributions.js'

/** What every comparison is planned with. */
export interface ComparisonOptions {
  /** Two-sided type-I error; default 0.05. */
  readonly alpha?: number
  /** Probability of finding the effect if it is there; default 0.8. */
  readonly power?: number
}

/** Fields that every planned size carries. */
export interface Planned {
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  /** Key of the page in docs/methods. */
  readonly reference: string
}

/** Sum of the normal quantiles of error and power, by which every formula of this kind scales. */
export function quantileSum(options: ComparisonOptions): { zAlpha: number; zPower: number; sum: number } {
  const { alpha = 0.05, power = 0.8 } = options
  requireShare('alpha', alpha)
  requireShare('power', power)
  const zAlpha = normalUpperQuantile(alpha / 2)
  const zPower = normalUpperQuantile(1 - power)
  if (!(zAlpha + zPower > 0)) {
    throw new NumericalError({
      code: 'power-below-error',
      problem: `a power of ${power} is no more than chance gives at alpha ${alpha}.`,
      expected: 'a power above half of alpha, such as 0.8.',
      mend: 'ask for more power.',
    })
  }
  return { zAlpha, zPower, sum: zAlpha + zPower }
}

/** Refuses a number outside (0, 1). */
export function requireShare(name: string, value: number): void {
  if (value > 0 && value < 1) return
  throw new NumericalError({
    code: 'share-out-of-range',
    problem: `${name} is ${value}.`,
    expected: 'a share between 0 and 1, both excluded.',
    mend: `write 5% as 0.05, and check ${name}.`,
  })
}

/** Refuses a number that is not finite and above a bound (0 by default). */
export function requireAbove(name: string, value: number, bound = 0): void {
  if (Number.isFinite(value) && value > bound) return
  throw new NumericalError({
    code: 'not-above',
    problem: `${name} is ${value}.`,
    expected: `a finite number above ${bound}.`,
    mend: `check ${name}.`,
  })
}

/** Refuses two planned values that do not differ. */
export function requireDifference(what: string, first: number, second: number): void {
  if (first !== second) return
  throw new NumericalError({
    code: 'no-difference',
    problem: `both ${what} are ${first}: there is no effect to plan for.`,
    expected: 'the smallest difference that would matter.',
    mend: 'give two values that differ.',
  })
}

/** Whole number at or above a size, where a size that is whole but for rounding counts as whole. */
export function roundedUp(size: number): number {
  return Math.ceil(size * (1 - 1e-12))
}
