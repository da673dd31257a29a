import { type Contrast, isNumber } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { normalUpperQuantile } from '../../statistics/numeric/distributions.js'
import type { EndpointResult } from './groupResult.js'

/** Fewest open practices of which a funnel is drawn. */
const fewestForFunnel = 10

/** Open practices by their certainty, with the limits within which they lie if all have the common ratio. */
export interface SiteFunnel {
  readonly common: Contrast
  readonly sites: readonly { readonly name: string; readonly ratio: number; readonly standardError: number }[]
  readonly limits: readonly { readonly error: number; readonly lower: number; readonly upper: number }[]
}

/** The funnel of the practices that let their figures be shown; undefined below ten of them. */
export function siteFunnel({ open, comparison }: EndpointResult): SiteFunnel | undefined {
  const { hazardRatio: common } = comparison
  const sites = open.sites.flatMap(({ name, hazardRatio, standardError }) =>
    isNumber(hazardRatio) && standardError !== undefined ? [{ name, ratio: hazardRatio, standardError }] : [],
  )
  if (sites.length < fewestForFunnel || !isNumber(common.estimate)) return undefined
  const deepest = Math.max(...sites.map(({ standardError }) => standardError))
  const critical = normalUpperQuantile((1 - common.level) / 2)
  const log = Math.log(common.estimate)
  const limits = Array.from({ length: 51 }, (_one, i) => {
    const error = (i / 50) * 1.2 * deepest
    return { error, lower: Math.exp(log - critical * error), upper: Math.exp(log + critical * error) }
  })
  return deepFreeze({ common, sites, limits })
}
