import type { ReasonParameters } from '../../core/codes.js'
import type { CodeParameters, ReasonCode } from '../../core/estimate.js'
import { checked } from '../kernel/checked.js'
import type { NumberColumn } from '../numeric/columns.js'
import type { Covariates } from '../regression/design.js'
import { balanceThreshold, type CovariateBalance, covariateBalance } from './balance.js'
import { type Positivity, positivityOf } from './positivity.js'
import { type PropensityScoreOptions, type PropensityScores, propensityScores } from './propensityScores.js'
import {
  extremeWeight,
  type PropensityWeightOptions,
  type PropensityWeights,
  propensityWeights,
  type TargetPopulation,
} from './propensityWeights.js'

/** Weights for one population with the balance that they reach. */
export interface WeightedBalance {
  readonly weights: PropensityWeights
  readonly balance: CovariateBalance
}

/** Options of propensity weighting. */
export interface PropensityWeightingOptions
  extends PropensityScoreOptions,
    Omit<PropensityWeightOptions, 'target' | 'stabilised'> {}

/** Propensity weighting for the populations that a report shows. */
export interface PropensityWeighting {
  readonly scores: PropensityScores
  readonly positivity: Positivity
  /** Stabilised weights of the average effect; absent where scores of 0 or 1 leave them without a bound. */
  readonly average?: WeightedBalance
  /** Weights of the effect in the treated; absent as above. */
  readonly treated?: WeightedBalance
  readonly overlap: WeightedBalance
  /** The population whose effect leads, and the code of the reason why with what its words need. */
  readonly leading: 'average' | 'overlap'
  readonly reason: string
  readonly parameters: CodeParameters
}

/**
 * Scores, weights and balance for the average effect, the effect in the treated and the overlap effect. The average
 * effect leads only where no stabilised weight exceeds 10 and every standardised difference after weighting is below
 * 0.1; else the overlap effect does, the effect in those who might have had either.
 *
 * @param treated 1 in the group of interest, 0 in the other
 * @param covariates what came before the choice, complete
 * @param options those of propensityScores, and trimScores and truncateAt
 * @throws NumericalError as propensityScores and propensityWeights
 * @example propensityWeighting([0, 1, 1, 0], { late: [0, 0, 1, 1] }).leading // => "average"
 */
export const propensityWeighting = checked(
  'propensityWeighting',
  (
    treated: NumberColumn,
    covariates: Covariates,
    options: PropensityWeightingOptions = {},
  ): PropensityWeighting => {
    const { trimScores, truncateAt, ...scoring } = options
    const scores = propensityScores(treated, covariates, scoring)
    const cut = {
      ...(trimScores === undefined ? {} : { trimScores }),
      ...(truncateAt === undefined ? {} : { truncateAt }),
    }
    const weighted = (target: TargetPopulation): WeightedBalance => {
      const weights = propensityWeights(treated, scores.scores, { ...cut, target, stabilised: true })
      const balance = covariateBalance(treated, covariates, weights.weights)
      return Object.freeze({ weights, balance })
    }
    const average = whereBounded(treated, scores.scores, trimScores, () => weighted('average'))
    const treatedOnly = whereBounded(treated, scores.scores, trimScores, () => weighted('treated'))
    return Object.freeze({
      scores,
      positivity: positivityOf(treated, scores.scores),
      ...(average === undefined ? {} : { average }),
      ...(treatedOnly === undefined ? {} : { treated: treatedOnly }),
      overlap: weighted('overlap'),
      ...leadingOf(average),
    })
  },
)

/** Leaves weights of the average effect and of the treated out where a score of 0 or 1 gives them no bound. */
function whereBounded(
  treated: ArrayLike<number>,
  scores: readonly number[],
  trimScores: readonly [number, number] | undefined,
  make: () => WeightedBalance,
): WeightedBalance | undefined {
  const [lowest, highest] = trimScores ?? [0, 1]
  const bounded = scores.every((score, row) => {
    const own = treated[row] === 1 ? score : 1 - score
    return score < lowest || score > highest || (own > 1e-8 && 1 - own > 1e-8)
  })
  return bounded ? make() : undefined
}

function leadingOf(
  average: WeightedBalance | undefined,
): Pick<PropensityWeighting, 'leading' | 'reason' | 'parameters'> {
  const because = <Code extends ReasonCode>(
    leading: 'average' | 'overlap',
    reason: Code,
    parameters: ReasonParameters[Code],
  ) => ({ leading, reason, parameters })
  if (average === undefined) return because('overlap', 'weighting-impossible', {})
  const { weights, balance } = average
  const largest = Math.max(weights.treated.largest, weights.untreated.largest)
  if (largest > extremeWeight) return because('overlap', 'weights-extreme', { most: extremeWeight })
  const { unbalanced } = balance
  return unbalanced.length > 0
    ? because('overlap', 'weights-unbalanced', { names: unbalanced, apart: balanceThreshold })
    : because('average', 'weights-even', { most: extremeWeight, apart: balanceThreshold })
}
