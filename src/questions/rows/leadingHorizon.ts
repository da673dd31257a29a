import { isNumber, type Quantity } from '../../core/estimate.js'

/** One horizon as far as it matters for which leads. */
export interface HorizonState {
  readonly years: number
  readonly estimate: Quantity
  /** Whether few are at risk then. */
  readonly thin: boolean
}

/**
 * Position of the horizon that leads: 3 years where it can be estimated with enough at risk, else the longest such
 * horizon, else the longest that can be estimated at all, else the last.
 */
export function leadingHorizon(horizons: readonly HorizonState[]): number {
  const estimable = horizons
    .map((horizon, index) => ({ ...horizon, index }))
    .filter(({ estimate }) => isNumber(estimate))
  const firm = estimable.filter(({ thin }) => !thin)
  const wished = firm.find(({ years }) => years === 3) ?? firm.at(-1) ?? estimable.at(-1)
  return wished?.index ?? Math.max(0, horizons.length - 1)
}
