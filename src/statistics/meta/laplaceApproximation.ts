import {
  climb,
  type Objective,
  type RandomInterceptFit,
  type StudyLikelihood,
  secondDerivatives,
} from './randomIntercept.js'

/** Where penalised reweighted least squares stopped. */
interface Stopped {
  readonly predictors: Float64Array
  readonly intercept: number
  readonly value: number
  readonly rounds: number
}

/**
 * Fits a random intercept by Laplace's approximation as software that searches the studies' modes by penalised
 * reweighted least squares does it (Bates and DebRoy 2004): the search stops once the penalised deviance changes by
 * less than a share, and the determinant comes from the weights before the last step. With a coarse share the answer
 * is that of the early stop, not of Laplace's formula; it exists to be set beside such software.
 *
 * @param tolerance relative change of the penalised deviance at which the search stops
 */
export function fitLaplaceStoppedAt(
  studies: readonly StudyLikelihood[],
  tolerance: number,
): RandomInterceptFit {
  const near = Float64Array.from(studies, (study) => study.near)
  const first = (sigma: number): Stopped => reweighted(studies, sigma, undefined, near, tolerance)
  const joint = climb((_, sigma) => first(sigma).value, [0, 0.7])
  const from = first(joint.sigma)
  let rounds = reweighted(studies, joint.sigma, from.intercept, from.predictors, tolerance).rounds
  let peak = joint
  let objective: Objective = (_, sigma) => first(sigma).value
  // The number of rounds jumps from point to point; the maximum is sought with the number that it itself needs.
  for (let attempt = 0; attempt < 4; attempt++) {
    const fixed = rounds
    objective = (beta, sigma) => reweighted(studies, sigma, beta, from.predictors, tolerance, fixed).value
    peak = climb(objective, [from.intercept, joint.sigma])
    rounds = reweighted(studies, peak.sigma, peak.beta, from.predictors, tolerance).rounds
    if (rounds === fixed) break
  }
  const { bb, bs, ss } = secondDerivatives(objective, peak)
  const variance = Math.abs(peak.sigma) < 1e-4 ? -1 / bb : -ss / (bb * ss - bs * bs)
  return {
    intercept: peak.beta,
    standardError: Math.sqrt(variance),
    tauSquared: peak.sigma ** 2,
    iterations: peak.iterations,
    converged: peak.converged && variance > 0,
  }
}

/** Rounds of penalised reweighted least squares, with the intercept given or, where undefined, estimated too. */
function reweighted(
  studies: readonly StudyLikelihood[],
  sigma: number,
  given: number | undefined,
  from: Float64Array,
  tolerance: number,
  fixedRounds?: number,
): Stopped {
  const predictors = Float64Array.from(from)
  let before = Number.POSITIVE_INFINITY
  for (let rounds = 1; ; rounds++) {
    const weights = studies.map((study, i) => -study.curvature(predictors[i]!))
    const working = studies.map((study, i) => predictors[i]! + study.slope(predictors[i]!) / weights[i]!)
    const shrunk = weights.map((w) => w / (sigma * sigma * w + 1))
    const intercept = given ?? weightedMean(working, shrunk)
    let penalty = 0
    let value = 0
    let deviance = 0
    studies.forEach((study, i) => {
      const u = sigma * shrunk[i]! * (working[i]! - intercept)
      predictors[i] = intercept + sigma * u
      penalty += u * u
      value += study.value(predictors[i]!) - 0.5 * Math.log(sigma * sigma * weights[i]! + 1)
      deviance += 2 * (study.saturated - study.value(predictors[i]!))
    })
    const now = deviance + penalty
    const done = fixedRounds === undefined ? Math.abs(before - now) < tolerance * now : rounds >= fixedRounds
    if (done || rounds > 200) return { predictors, intercept, value: value - 0.5 * penalty, rounds }
    before = now
  }
}

function weightedMean(values: readonly number[], weights: readonly number[]): number {
  let top = 0
  let bottom = 0
  values.forEach((value, i) => {
    top += weights[i]! * value
    bottom += weights[i]!
  })
  return top / bottom
}
