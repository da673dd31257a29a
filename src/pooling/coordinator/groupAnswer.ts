import { type Estimate, isNumber } from '../../core/estimate.js'
import type { GroupFigures } from './figures.js'
import type { EndpointResult, PooledResult } from './groupResult.js'

/** An estimate with its interval, where all three are numbers. */
interface Limits {
  readonly estimate: number
  readonly lower: number
  readonly upper: number
}

/**
 * The answer of a study group for machines, in the shape of the answer of one practice as far as sums allow: shares
 * between 0 and 1, times in years, codes instead of words; what cannot be said is absent.
 */
export function groupAnswer(result: PooledResult): object {
  const one = result.endpoints[0]!
  const { measuredShare, objections, ...verdict } = one.verdict
  const { group, against } = result.protocol.groups
  return {
    schema: 'holdfast-answer-1',
    endpoint: one.endpoint,
    practices: result.sites.length,
    ...('withheld' in one.all ? {} : { restorations: { analysed: one.all.restorations } }),
    howOften: howOften(one),
    comparison: {
      ...verdict,
      group,
      against,
      ...counts(one),
      ...(measuredShare === undefined ? {} : { exposure: { measuredShare } }),
      ...hazard(one),
      objections,
    },
  }
}

function hazard({ comparison }: EndpointResult): object {
  const ratio = limitsOf(comparison.hazardRatio)
  return ratio === undefined ? {} : { hazardRatio: ratio }
}

function howOften({ all }: EndpointResult): object {
  if ('withheld' in all) return { verdict: 'withheld' }
  const risk = [...all.risks]
    .filter(({ years, atRisk, estimate }) => years <= 3 && atRisk >= 10 && isNumber(estimate))
    .sort((left, right) => right.years - left.years)[0]
  const limits = risk === undefined ? undefined : limitsOf(risk)
  const rate = limitsOf(all.rate)
  return {
    verdict: all.events === 0 ? 'none-seen' : 'estimate',
    ...(risk === undefined || limits === undefined
      ? { reason: 'few-at-risk' }
      : { years: risk.years, risk: limits }),
    ...(rate === undefined ? {} : { ratePer100Years: rate }),
    events: all.events,
    restorationYears: all.restorationYears,
  }
}

function counts({ groups }: EndpointResult): object {
  const [against, group] = groups
  if ('withheld' in against || 'withheld' in group) return {}
  const pair = (read: (figures: GroupFigures) => number): object => ({
    group: read(group),
    against: read(against),
  })
  return { restorations: pair((one) => one.restorations), events: pair((one) => one.events) }
}

function limitsOf({ estimate, interval }: Pick<Estimate, 'estimate' | 'interval'>): Limits | undefined {
  const { lower, upper } = interval
  return isNumber(estimate) && isNumber(lower) && isNumber(upper) ? { estimate, lower, upper } : undefined
}
