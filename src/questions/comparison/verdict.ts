import type { ImmortalTimeTest } from '../../statistics/rates/immortalTime.js'
import { type Challenge, sideOf } from './challenges.js'
import type { Ranged } from './estimate.js'
import { type ExposureAccount, leastDocumented } from './groups.js'
import type { Overlap } from './overlap.js'

/** What may be claimed. */
export type Verdict = 'lower' | 'higher' | 'open' | 'cannot-be-compared' | 'cannot-be-known'

/** Why the verdict is what it is. */
export type VerdictReason =
  | 'few-at-risk'
  | 'few-events'
  | 'risk-withheld'
  | 'immortal-time'
  | 'overlap'
  | 'not-documented'
  | 'contradicted'
  | 'ends-disagree'
  | 'interval-holds-zero'
  | 'interval-excludes-zero'

/** Fewest events of both groups by the horizon from which anything may be said. */
export const leastEvents = 10

/** Share of the eligible left out above which no risk is given. */
const mostLeftOut = 0.2

/** What the verdict hangs on. */
export interface VerdictGrounds {
  /** Share of the eligible of which nothing is known. */
  readonly leftOutShare: number
  /** Events of both groups by the horizon. */
  readonly events: number
  readonly immortalTime: Pick<ImmortalTimeTest, 'fires'> | undefined
  readonly exposure: Pick<ExposureAccount, 'laterDated' | 'documentedShare'> | undefined
  readonly overlap: Pick<Overlap, 'enough'>
  readonly difference: Ranged
  readonly ends: { readonly found: Ranged; readonly afterLastLook: Ranged }
  readonly challenges: readonly Pick<Challenge, 'code' | 'effect'>[]
}

/** What may be claimed, by rules that were fixed before any result. */
export function verdictOf(grounds: VerdictGrounds): {
  readonly verdict: Verdict
  readonly reason: VerdictReason
} {
  const { leftOutShare, events, immortalTime, exposure, overlap, difference, ends, challenges } = grounds
  if (leftOutShare > mostLeftOut) return { verdict: 'cannot-be-known', reason: 'risk-withheld' }
  if (events < leastEvents) return { verdict: 'cannot-be-known', reason: 'few-events' }
  if (immortalTime?.fires === true || (exposure !== undefined && exposure.laterDated > 0)) {
    return { verdict: 'cannot-be-compared', reason: 'immortal-time' }
  }
  if (!overlap.enough) return { verdict: 'cannot-be-compared', reason: 'overlap' }
  const side = sideOf(difference)
  if (side === 0) return { verdict: 'open', reason: 'interval-holds-zero' }
  const moved = challenges.some(
    ({ code, effect }) => code === 'undocumented-as-single' && effect === 'weakens',
  )
  if (moved || (exposure !== undefined && exposure.documentedShare < leastDocumented)) {
    return { verdict: 'open', reason: 'not-documented' }
  }
  if (challenges.some(({ effect }) => effect === 'contradicts')) {
    return { verdict: 'open', reason: 'contradicted' }
  }
  if (sideOf(ends.found) !== side || sideOf(ends.afterLastLook) !== side) {
    return { verdict: 'open', reason: 'ends-disagree' }
  }
  return { verdict: side < 0 ? 'lower' : 'higher', reason: 'interval-excludes-zero' }
}

/** One over the size of a difference that excludes zero, with the interval turned round. */
export function numberNeededOf({ estimate, lower, upper }: Ranged): Ranged {
  const [near, far] = [lower, upper].map(Math.abs).sort((one, two) => one - two)
  return { estimate: 1 / Math.abs(estimate), lower: 1 / far!, upper: 1 / near! }
}
