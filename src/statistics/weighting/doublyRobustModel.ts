import type { Codes } from '../kernel/codes.js'
import type { Covariates } from '../regression/design.js'
import { binomialFamily } from '../regression/family.js'
import { prepareModel } from '../regression/generalisedLinear.js'
import { fitReweighted, type WorkingFit } from '../regression/reweighting.js'
import type { WorkingProblem } from '../regression/workingProblem.js'
import { type CensoringTimes, uncensoredProbability } from './censoringTimes.js'
import type { TargetPopulation } from './propensityWeights.js'

/** How the outcome is modelled: in each group on its own, or in both with one coefficient for the treatment. */
export type OutcomeModel = 'per-group' | 'common'

/** Columns and settings from which the estimate is computed, for the sample and for every bootstrap sample. */
export interface DoublyRobustProblem {
  readonly treated: Float64Array
  /** 1 where the event of interest came up to the horizon. */
  readonly outcome: Float64Array
  readonly times: CensoringTimes
  readonly covariates: Covariates
  readonly clusters: Codes
  readonly target: TargetPopulation
  readonly outcomeModel: OutcomeModel
  readonly trimScores: readonly [number, number]
  /** Relative hazards of censoring for each row, by sample; undefined for the product limit. */
  readonly censoring: ((clusterCounts: Float64Array) => Float64Array | undefined) | undefined
}

/** Risks of both groups in the target population. */
export interface RobustRisks {
  readonly treated: number
  readonly untreated: number
  /** Influence of each row on the difference, for a standard error with the models taken as known. */
  readonly influence: Float64Array
  readonly scores: Float64Array
}

/** A score nearer to 0 or 1 than this leaves its weight without a bound. */
const leastScore = 1e-8

/**
 * Prepares the estimate for any counts of clusters. Returns undefined for a sample in which it cannot be had: one group
 * empty, or scores of 0 or 1 where the target does not bear them.
 */
export function robustRisksOf(
  problem: DoublyRobustProblem,
): (clusterCounts: Float64Array) => RobustRisks | undefined {
  const { treated, outcome, covariates, outcomeModel } = problem
  const propensity = prepareModel(treated, covariates, binomialFamily, {}).problem
  // Every sample starts from the fit of all rows, so that no answer depends on the order of the samples.
  const whole = fitReweighted(propensity)
  const start = whole.converged && whole.recessions.length === 0 ? whole.coefficients : undefined
  // Covariates that decide the group leave the treatment no coefficient of its own either.
  if (predicted(propensity, whole).every((score) => score < leastScore || score > 1 - leastScore)) {
    return () => undefined
  }
  const withTreatment = { ...covariates, [unusedName(covariates)]: treated }
  const outcomes =
    outcomeModel === 'common'
      ? prepareModel(outcome, withTreatment, binomialFamily, {}).problem
      : { ...propensity, response: outcome }
  return (clusterCounts) => {
    const counts = Float64Array.from(problem.clusters.codes, (cluster) => clusterCounts[cluster]!)
    if (!bothGroups(treated, counts)) return undefined
    const fit = fitReweighted({ ...propensity, weights: counts }, start)
    if (!fit.converged) return undefined
    const scores = predicted(propensity, fit)
    const uncensored = uncensoredProbability(
      problem.times,
      treated,
      2,
      counts,
      problem.censoring?.(clusterCounts),
    )
    const known = Float64Array.from(counts, (count, row) =>
      problem.times.known[row] === 1 && count > 0 ? 1 / uncensored[row]! : 0,
    )
    const means = outcomeMeans(problem, outcomes, counts, known)
    return combined(problem, counts, known, scores, means)
  }
}

/** Predicted risk of each row in each group, untreated first. */
function outcomeMeans(
  problem: DoublyRobustProblem,
  outcomes: WorkingProblem,
  counts: Float64Array,
  known: Float64Array,
): readonly [Float64Array, Float64Array] {
  const { treated, outcomeModel } = problem
  const weightsOf = (group: number | undefined): Float64Array =>
    counts.map((count, row) => (group === undefined || treated[row] === group ? count * known[row]! : 0))
  if (outcomeModel === 'common') {
    const fit = fitReweighted({ ...outcomes, weights: weightsOf(undefined) })
    return [predicted(outcomes, fit, treated, 0), predicted(outcomes, fit, treated, 1)]
  }
  const [untreatedFit, treatedFit] = [0, 1].map((group) =>
    fitReweighted({ ...outcomes, weights: weightsOf(group) }),
  ) as [WorkingFit, WorkingFit]
  return [predicted(outcomes, untreatedFit), predicted(outcomes, treatedFit)]
}

/**
 * Fitted mean of every row, those of weight 0 too; along a direction of recession it is 0 or 1. With `treated`, the
 * last column is set to a group first.
 */
function predicted(
  problem: WorkingProblem,
  fit: WorkingFit,
  treated?: Float64Array,
  group = 0,
): Float64Array {
  const { width, rows, values, map } = problem.design
  const last = width - 1
  const means = new Float64Array(rows)
  const along = (coefficients: Float64Array, row: number): number => {
    let sum = 0
    for (let j = 0; j < width; j++) sum += values[row * width + j]! * coefficients[j]!
    // The treatment column is centred and scaled like any other; its change is scaled too.
    return treated === undefined
      ? sum
      : sum + coefficients[last]! * (group - treated[row]!) * map[last * width + last]!
  }
  for (let row = 0; row < rows; row++) {
    const carried = fit.recessions
      .map(({ direction }) => along(direction, row))
      .find((by) => Math.abs(by) > 1e-6)
    if (carried === undefined) means[row] = 1 / (1 + Math.exp(-along(fit.coefficients, row)))
    else means[row] = carried > 0 ? 1 : 0
  }
  return means
}

function combined(
  problem: DoublyRobustProblem,
  counts: Float64Array,
  known: Float64Array,
  scores: Float64Array,
  means: readonly [Float64Array, Float64Array],
): RobustRisks | undefined {
  const { treated, outcome, target, trimScores } = problem
  const n = counts.length
  const tilt = new Float64Array(n)
  for (let row = 0; row < n; row++) {
    const score = scores[row]!
    if (score < trimScores[0] || score > trimScores[1] || counts[row] === 0) continue
    if (target !== 'overlap' && (score < leastScore || score > 1 - leastScore)) return undefined
    tilt[row] = tiltOf(target, score)
  }
  const arms = [0, 1].map((group) => {
    const weights = tilt.map((one, row) => {
      const own = group === 1 ? scores[row]! : 1 - scores[row]!
      return treated[row] === group && own > 0 ? (one / own) * known[row]! : 0
    })
    return armRisk(counts, tilt, weights, outcome, means[group]!)
  })
  const [untreatedArm, treatedArm] = arms
  if (untreatedArm === undefined || treatedArm === undefined) return undefined
  return {
    treated: treatedArm.risk,
    untreated: untreatedArm.risk,
    influence: treatedArm.influence.map((one, row) => one - untreatedArm.influence[row]!),
    scores,
  }
}

/** Mean predicted risk in the target population plus the weighted mean of what the prediction missed. */
function armRisk(
  counts: Float64Array,
  tilt: Float64Array,
  weights: Float64Array,
  outcome: Float64Array,
  mean: Float64Array,
): { risk: number; influence: Float64Array } | undefined {
  let tiltSum = 0
  let predictedSum = 0
  let weightSum = 0
  let missedSum = 0
  let total = 0
  for (let row = 0; row < counts.length; row++) {
    const count = counts[row]!
    total += count
    tiltSum += count * tilt[row]!
    predictedSum += count * tilt[row]! * mean[row]!
    weightSum += count * weights[row]!
    missedSum += count * weights[row]! * (outcome[row]! - mean[row]!)
  }
  if (!(tiltSum > 0) || !(weightSum > 0)) return undefined
  const average = predictedSum / tiltSum
  const missed = missedSum / weightSum
  const influence = counts.map((_, row) => {
    const fromPrediction = (tilt[row]! * (mean[row]! - average)) / (tiltSum / total)
    const fromMissed = (weights[row]! * (outcome[row]! - mean[row]! - missed)) / (weightSum / total)
    return (fromPrediction + fromMissed) / total
  })
  return { risk: average + missed, influence }
}

function tiltOf(target: TargetPopulation, score: number): number {
  switch (target) {
    case 'average':
      return 1
    case 'treated':
      return score
    case 'untreated':
      return 1 - score
    case 'overlap':
      return score * (1 - score)
  }
}

function bothGroups(treated: Float64Array, counts: Float64Array): boolean {
  let ones = 0
  let zeros = 0
  for (let row = 0; row < counts.length; row++) {
    if (treated[row] === 1) ones += counts[row]!
    else zeros += counts[row]!
  }
  return ones > 0 && zeros > 0
}

function unusedName(covariates: Covariates): string {
  let name = 'treated'
  while (name in covariates) name += '*'
  return name
}
