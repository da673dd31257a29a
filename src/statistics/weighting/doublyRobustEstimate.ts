import { notEstimable, type Quantity, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { expandCovariates } from '../regression/design.js'
import {
  type DoublyRobustProblem,
  type OutcomeModel,
  type RobustRisks,
  robustRisksOf,
} from './doublyRobustModel.js'
import { type DoublyRobustColumns, type DoublyRobustOptions, problemOf } from './doublyRobustProblem.js'
import type { TargetPopulation } from './propensityWeights.js'

/** A doubly robust comparison without resampling. */
export interface DoublyRobustEstimate {
  readonly riskTreated: Quantity
  readonly riskUntreated: Quantity
  readonly difference: Quantity
  readonly ratio: Quantity
  /** Standard error of the difference from its influence function, summed over clusters; the models taken as known. */
  readonly influenceStandardError: Quantity
  readonly horizon: number
  readonly target: TargetPopulation
  readonly outcomeModel: OutcomeModel
  readonly n: number
  /** Events of interest up to the horizon. */
  readonly events: number
  readonly clusters: number
  /** Rows whose status at the horizon is known. */
  readonly known: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Risks by a horizon in two groups, and their difference and ratio, by augmented inverse probability weighting (Robins,
 * Rotnitzky and Zhao 1994; for other populations than the whole Mao, Li and Greene 2019): right if either the scores or
 * the model of the outcome is. Censoring is made up for by weights; a competing event counts as no event from its time
 * on, so that the risks are cumulative incidences.
 *
 * @param columns time, event, treated and covariates
 * @param horizon time above 0 to which both groups are followed
 * @param options target 'average'; cluster none; outcomeModel by the number of events; censoringCovariates none;
 *   trimScores [0, 1]; level 0.95 (of no use here)
 * @throws NumericalError `one-group`, `unequal-length`, `not-finite`, `negative`, `not-zero-one`,
 *   `horizon-beyond-follow-up`, and those of the regressions, naming the covariate
 * @example doublyRobustEstimate({ time: [1, 2, 2, 2], event: [1, 0, 1, 0], treated: [1, 1, 0, 0], covariates: {} }, 2).difference // => 0
 */
export const doublyRobustEstimate = checked(
  'doublyRobustEstimate',
  (
    columns: DoublyRobustColumns,
    horizon: number,
    options: DoublyRobustOptions = {},
  ): DoublyRobustEstimate => {
    return estimateOf(problemOf(columns, horizon, options), horizon)
  },
)

/** The estimate of a problem that was set up before. */
export function estimateOf(problem: DoublyRobustProblem, horizon: number): DoublyRobustEstimate {
  const { clusters, times, outcome, target, outcomeModel } = problem
  const risks = robustRisksOf(problem)(new Float64Array(clusters.count).fill(1))
  const events = outcome.reduce((sum, one) => sum + one, 0)
  const shape = {
    horizon,
    target,
    outcomeModel,
    n: outcome.length,
    events,
    clusters: clusters.count,
    known: times.known.reduce((sum, one) => sum + one, 0),
    method: methodOf(
      'augmented-inverse-probability-weighting',
      `${target}-effect`,
      `${outcomeModel}-outcome-model`,
    ),
    reference: 'doubly-robust',
  }
  if (risks === undefined) {
    const reason = 'scores-separate-groups'
    const none = notEstimable(reason)
    return deepFreeze({
      ...shape,
      riskTreated: none,
      riskUntreated: none,
      difference: none,
      ratio: none,
      influenceStandardError: none,
      warnings: [warning(reason)],
    })
  }
  const { treated, untreated } = risks
  return deepFreeze({
    ...shape,
    riskTreated: treated,
    riskUntreated: untreated,
    difference: treated - untreated,
    ratio: untreated > 0 && treated > 0 ? treated / untreated : notEstimable('group-without-risk'),
    influenceStandardError: influenceError(risks, problem),
    warnings: warningsOf(problem, risks, events),
  })
}

function influenceError(risks: RobustRisks, { clusters }: DoublyRobustProblem): Quantity {
  if (clusters.count < 2) return notEstimable('one-cluster')
  const sums = new Float64Array(clusters.count)
  risks.influence.forEach((one, row) => {
    sums[clusters.codes[row]!]! += one
  })
  return Math.sqrt(sums.reduce((sum, one) => sum + one * one, 0))
}

function warningsOf(problem: DoublyRobustProblem, risks: RobustRisks, events: number): readonly Warning[] {
  const warnings: Warning[] = []
  const columns = expandCovariates(problem.covariates, problem.treated.length).names.length
  if (events < 5 * (columns + 1)) {
    warnings.push(warning('few-events-for-outcome-model', { events, columns }))
  }
  const extreme = risks.scores.filter((score) => score < 0.05 || score > 0.95).length
  if (extreme > 0 && problem.target !== 'overlap') {
    warnings.push(warning('scores-near-bounds-lean', { rows: extreme }))
  }
  if (Math.min(risks.treated, risks.untreated) < 0 || Math.max(risks.treated, risks.untreated) > 1) {
    warnings.push(warning('risk-outside-range'))
  }
  return warnings
}
