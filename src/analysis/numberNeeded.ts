import { type Contrast, isNumber, type Quantity } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'

/** How many restorations would have to be treated one way for one more, or one fewer, with the endpoint. */
export interface NumberNeeded {
  /** `benefit`: fewer events in the group; `harm`: more; `none`: the risks came out equal, the number is infinite. */
  readonly direction: 'benefit' | 'harm' | 'none'
  /** 1 over the size of the difference. */
  readonly number: Quantity
  /**
   * What the interval allows: numbers of one direction from the smaller to the larger (unbounded where the interval
   * ends at no difference), or, where it holds no difference, down to a smallest number to benefit on one side and to
   * harm on the other, through infinity.
   */
  readonly range:
    | {
        readonly kind: 'one-way'
        readonly direction: 'benefit' | 'harm'
        readonly from: number
        readonly to: Quantity
      }
    | { readonly kind: 'through-infinity'; readonly leastToBenefit: Quantity; readonly leastToHarm: Quantity }
    | { readonly kind: 'none'; readonly reason: string }
}

/**
 * The number needed to treat with its interval shown as benefit to harm through infinity (Altman 1998, British Medical
 * Journal 317:1309).
 *
 * @param difference risk in the group minus risk in the comparator
 * @returns undefined where there is no difference to turn round
 */
export function numberNeeded(difference: Contrast): NumberNeeded | undefined {
  const { estimate, interval } = difference
  if (!isNumber(estimate)) return undefined
  return deepFreeze({
    direction: estimate < 0 ? 'benefit' : estimate > 0 ? 'harm' : 'none',
    number: inverse(estimate),
    range: rangeOf(interval.lower, interval.upper),
  })
}

function rangeOf(lower: Quantity, upper: Quantity): NumberNeeded['range'] {
  if (!isNumber(lower) || !isNumber(upper)) {
    return { kind: 'none', reason: 'the difference has no interval' }
  }
  if (upper <= 0 && lower < 0) {
    return { kind: 'one-way', direction: 'benefit', from: 1 / -lower, to: inverse(upper) }
  }
  if (lower >= 0 && upper > 0)
    return { kind: 'one-way', direction: 'harm', from: 1 / upper, to: inverse(lower) }
  return { kind: 'through-infinity', leastToBenefit: inverse(lower), leastToHarm: inverse(upper) }
}

function inverse(difference: number): Quantity {
  return difference === 0 ? { state: 'unbounded', direction: 'above' } : 1 / Math.abs(difference)
}
