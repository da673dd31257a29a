import type { HermiteRule } from '../numeric/gaussHermite.js'
import type { RowTerms } from './family.js'
import { addOuterProduct, mirrorUpper } from './standardise.js'
import { predictorAt, type WorkingProblem } from './workingProblem.js'

/** Posterior of the standard normal effect of one cluster. */
export interface ClusterPosterior {
  readonly mode: number
  /** From the curvature at the mode. */
  readonly modeError: number
  readonly mean: number
  readonly deviation: number
}

/** Marginal log-likelihood with its derivatives in the coefficients and, last, the spread between clusters. */
export interface MarginalPoint {
  readonly value: number
  readonly gradient: Float64Array
  /** Minus the second derivative (Louis 1982), row-major. */
  readonly information: Float64Array
  readonly posteriors: readonly ClusterPosterior[]
}

/** Where the integrand of one cluster is evaluated, and the logarithms of what each place weighs. */
interface Nodes {
  readonly effects: Float64Array
  readonly logWeights: Float64Array
}

/**
 * Integrates the normal effect of every cluster out by Gauss–Hermite quadrature centred at the mode and scaled by the
 * curvature there (Liu and Pierce 1994; Pinheiro and Bates 1995), or, without a rule, by equally spaced points, whose
 * error falls exponentially for integrands of this kind (Trefethen and Weideman 2014, SIAM Review 56:385): a cluster
 * without events has a skewed one where clusters differ much, which few Gauss–Hermite points miss.
 *
 * @param coefficients standardised coefficients and, last, the standard deviation between clusters
 */
export function marginalPoint(
  problem: WorkingProblem,
  groups: readonly Int32Array[],
  rule: HermiteRule | undefined,
  coefficients: Float64Array,
): MarginalPoint {
  const { width } = problem.design
  const size = width + 1
  const gradient = new Float64Array(size)
  const information = new Float64Array(size * size)
  let value = 0
  let lost = 0
  const posteriors = groups.map((rows) => {
    const cluster = clusterIntegral(problem, rows, rule, coefficients, gradient, information)
    const next = value + cluster.value
    lost +=
      Math.abs(value) >= Math.abs(cluster.value) ? value - next + cluster.value : cluster.value - next + value
    value = next
    return cluster.posterior
  })
  return { value: value + lost, gradient, information: mirrorUpper(information, size), posteriors }
}

/** Log integral of one cluster; adds its score and information. */
function clusterIntegral(
  problem: WorkingProblem,
  rows: Int32Array,
  rule: HermiteRule | undefined,
  coefficients: Float64Array,
  gradient: Float64Array,
  information: Float64Array,
): { readonly value: number; readonly posterior: ClusterPosterior } {
  const spread = coefficients[coefficients.length - 1]!
  const fixed = Float64Array.from(rows, (row) => predictorAt(problem, coefficients, row))
  const { mode, curvature } = modeOf(problem, rows, fixed, spread)
  const joint = (effect: number): number => jointLog(problem, rows, fixed, spread, effect)
  const { effects, logWeights } =
    rule === undefined
      ? spacedNodes(joint, mode, spacing(spread, curvature))
      : hermiteNodes(rule, mode, Math.sqrt(2 / curvature))
  const logs = effects.map((effect, q) => joint(effect) + logWeights[q]!)
  const top = logs.reduce((most, one) => Math.max(most, one), Number.NEGATIVE_INFINITY)
  const shares = logs.map((one) => Math.exp(one - top))
  const total = shares.reduce((sum, one) => sum + one, 0)
  for (let q = 0; q < shares.length; q++) shares[q]! /= total
  addDerivatives(problem, rows, fixed, spread, effects, shares, gradient, information)
  const mean = shares.reduce((sum, share, q) => sum + share * effects[q]!, 0)
  const variance = shares.reduce((sum, share, q) => sum + share * (effects[q]! - mean) ** 2, 0)
  return {
    value: top + Math.log(total) - 0.5 * Math.log(2 * Math.PI),
    posterior: { mode, modeError: 1 / Math.sqrt(curvature), mean, deviation: Math.sqrt(variance) },
  }
}

function hermiteNodes(rule: HermiteRule, mode: number, scale: number): Nodes {
  return {
    effects: rule.nodes.map((node) => mode + scale * node),
    logWeights: rule.nodes.map((node, q) => rule.logWeights[q]! + node ** 2 + Math.log(scale)),
  }
}

/**
 * Step at which equally spaced points are right to about 1e-15: against a normal curve of this curvature, whose
 * transform falls by exp(−2π²s²/h²), and against what a term exp(spread × effect) does within its strip of width
 * π / (2 spread).
 */
function spacing(spread: number, curvature: number): number {
  return Math.min(0.7 / Math.sqrt(curvature), 0.27 / Math.abs(spread))
}

/** Points to both sides of the mode until the integrand, which falls for good, is 1e-16 of what it is there. */
function spacedNodes(joint: (effect: number) => number, mode: number, step: number): Nodes {
  const floor = joint(mode) - 37
  const reach = (towards: number): number => {
    let count = 0
    while (joint(mode + towards * (count + 1) * step) > floor) count++
    return count
  }
  const [below, above] = [reach(-1), reach(1)]
  const effects = Float64Array.from({ length: below + above + 1 }, (_, q) => mode + (q - below) * step)
  return { effects, logWeights: new Float64Array(effects.length).fill(Math.log(step)) }
}

/** Log-likelihood of a cluster at an effect, with the exponent of its standard normal density. */
function jointLog(
  problem: WorkingProblem,
  rows: Int32Array,
  fixed: Float64Array,
  spread: number,
  effect: number,
): number {
  const terms: RowTerms = { mean: 0, weight: 0, score: 0, logLikelihood: 0 }
  let sum = -0.5 * effect * effect
  for (let i = 0; i < rows.length; i++) {
    if (problem.weights[rows[i]!] === 0) continue
    problem.family.evaluate(problem.response[rows[i]!]!, fixed[i]! + spread * effect, terms)
    sum += terms.logLikelihood
  }
  return sum
}

/** Mode of the effect by Newton steps with halving; the exponent is strictly concave. */
function modeOf(
  problem: WorkingProblem,
  rows: Int32Array,
  fixed: Float64Array,
  spread: number,
): { readonly mode: number; readonly curvature: number } {
  const terms: RowTerms = { mean: 0, weight: 0, score: 0, logLikelihood: 0 }
  let mode = 0
  let curvature = 1
  let value = jointLog(problem, rows, fixed, spread, mode)
  for (let iteration = 0; iteration < 100; iteration++) {
    let slope = -mode
    curvature = 1
    for (let i = 0; i < rows.length; i++) {
      if (problem.weights[rows[i]!] === 0) continue
      problem.family.evaluate(problem.response[rows[i]!]!, fixed[i]! + spread * mode, terms)
      slope += spread * terms.score
      curvature += spread * spread * terms.weight
    }
    let step = slope / curvature
    if (Math.abs(step) < 1e-10) break
    let next = jointLog(problem, rows, fixed, spread, mode + step)
    while (!(next >= value - 1e-12 * (Math.abs(value) + 1)) && Math.abs(step) > 1e-12) {
      step /= 2
      next = jointLog(problem, rows, fixed, spread, mode + step)
    }
    mode += step
    value = next
  }
  return { mode, curvature }
}

/** Posterior mean of the score, and of the information less the posterior variance of the score. */
function addDerivatives(
  problem: WorkingProblem,
  rows: Int32Array,
  fixed: Float64Array,
  spread: number,
  effects: Float64Array,
  shares: Float64Array,
  gradient: Float64Array,
  information: Float64Array,
): void {
  const { width, values } = problem.design
  const size = width + 1
  const terms: RowTerms = { mean: 0, weight: 0, score: 0, logLikelihood: 0 }
  const scores = new Float64Array(effects.length * size)
  const extended = new Float64Array(size)
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!
    if (problem.weights[row] === 0) continue
    const start = row * width
    let weightSum = 0
    let weightedEffect = 0
    let weightedSquare = 0
    for (let q = 0; q < effects.length; q++) {
      problem.family.evaluate(problem.response[row]!, fixed[i]! + spread * effects[q]!, terms)
      for (let j = 0; j < width; j++) scores[q * size + j]! += terms.score * values[start + j]!
      scores[q * size + width]! += terms.score * effects[q]!
      const share = shares[q]! * terms.weight
      weightSum += share
      weightedEffect += share * effects[q]!
      weightedSquare += share * effects[q]! ** 2
    }
    for (let a = 0; a < width; a++) {
      const scaled = values[start + a]!
      for (let b = a; b < width; b++) {
        information[a * size + b]! += weightSum * scaled * values[start + b]!
      }
      information[a * size + width]! += weightedEffect * scaled
    }
    information[size * size - 1]! += weightedSquare
  }
  for (let q = 0; q < effects.length; q++) {
    for (let j = 0; j < size; j++) extended[j]! += shares[q]! * scores[q * size + j]!
    addOuterProduct(information, scores, q * size, size, -shares[q]!)
  }
  addOuterProduct(information, extended, 0, size, 1)
  for (let j = 0; j < size; j++) gradient[j]! += extended[j]!
}
