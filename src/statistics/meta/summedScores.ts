import { UsageError } from '../../core/errors.js'
import { deepFreeze } from '../../core/plain.js'
import { studentTQuantile } from '../numeric/distributions.js'

/** Sums over groups of what each adds to an estimating equation of one parameter, at its solution. */
export interface SummedScores {
  /** The solution. */
  readonly estimate: number
  readonly groups: number
  /** Sum of the informations of the groups. */
  readonly information: number
  /** Sums of squared scores, and of squared informations, of the groups. */
  readonly squaredScores: number
  readonly squaredInformations: number
}

/** An interval that allows for groups that differ. */
export interface BetweenGroups {
  readonly standardError: number
  readonly interval: { readonly lower: number; readonly upper: number }
  /** Degrees of freedom of the t distribution: groups as they weigh, less one. */
  readonly degreesOfFreedom: number
  /** Variance of the groups' own parameters by the method of moments. */
  readonly tauSquared: number
}

/**
 * Interval of one parameter that is robust to differences between groups, and the variance between them, from sums over
 * the groups alone.
 *
 * The sandwich ΣU²/(ΣI)² falls short where few groups carry the information, since every group pulls the solution
 * towards itself: with shares h = I/ΣI its expectation is (1 − Σh²)/ΣI, by which it is divided (Bell and McCaffrey
 * 2002, for one parameter); t has 1/Σh² − 1 degrees of freedom, the groups as they weigh (Kish 1965) less one. The
 * variance between groups is τ² = Σ(U² − I(1 − h))/ΣI², at least 0.
 *
 * @param sums sums over the groups at the solution; a group without information adds nothing
 * @param options level (0.95)
 * @throws UsageError `too-few-groups` below 3 groups, or where one carries nearly all of the information
 */
export function betweenGroups(sums: SummedScores, options: { readonly level?: number } = {}): BetweenGroups {
  const { level = 0.95 } = options
  const { estimate, groups, information, squaredScores, squaredInformations } = sums
  const concentration = squaredInformations / (information * information)
  if (groups < 3 || !(concentration < 0.9)) throw tooFewGroups()
  const degreesOfFreedom = Math.max(1, 1 / concentration - 1)
  const standardError = Math.sqrt(squaredScores / (1 - concentration)) / information
  const half = studentTQuantile((1 + level) / 2, degreesOfFreedom) * standardError
  const excess = squaredScores - information * (1 - concentration)
  return deepFreeze({
    standardError,
    interval: { lower: estimate - half, upper: estimate + half },
    degreesOfFreedom,
    tauSquared: Math.max(0, excess / squaredInformations),
  })
}

function tooFewGroups(): UsageError {
  return new UsageError({
    code: 'too-few-groups',
    problem: 'fewer than three groups, or one of them, carry the information.',
    expected: 'three groups or more, of which none holds nearly all.',
    mend: 'leave the differences between groups out, and say so.',
  })
}
