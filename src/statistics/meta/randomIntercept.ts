import { gaussHermite, type HermiteRule } from '../numeric/gaussHermite.js'

/** A study's log-likelihood in its own linear predictor η, up to a constant, with two derivatives. */
export interface StudyLikelihood {
  readonly value: (eta: number) => number
  readonly slope: (eta: number) => number
  readonly curvature: (eta: number) => number
  /** A predictor near the study's own, finite where it has no events. */
  readonly near: number
  /** Highest value that any predictor could give. */
  readonly saturated: number
}

/** Maximum-likelihood fit of η = β + σ z, z standard normal between studies. */
export interface RandomInterceptFit {
  readonly intercept: number
  readonly standardError: number
  readonly tauSquared: number
  readonly iterations: number
  readonly converged: boolean
}

/** Binomial study: x events in n. */
export function binomialStudy(x: number, n: number): StudyLikelihood {
  const share = (eta: number): number => 1 / (1 + Math.exp(-eta))
  return {
    value: (eta) => x * eta - n * (eta > 0 ? eta + Math.log1p(Math.exp(-eta)) : Math.log1p(Math.exp(eta))),
    slope: (eta) => x - n * share(eta),
    curvature: (eta) => -n * share(eta) * share(-eta),
    near: Math.log((x + 0.5) / (n - x + 0.5)),
    saturated: timesLog(x, x / n) + timesLog(n - x, 1 - x / n),
  }
}

/** Poisson study: x events in a time at risk. */
export function poissonStudy(x: number, time: number): StudyLikelihood {
  return {
    value: (eta) => x * eta - time * Math.exp(eta),
    slope: (eta) => x - time * Math.exp(eta),
    curvature: (eta) => -time * Math.exp(eta),
    near: Math.log((x + 0.1) / time),
    saturated: timesLog(x, x / time) - x,
  }
}

function timesLog(x: number, y: number): number {
  return x === 0 ? 0 : x * Math.log(y)
}

/**
 * Fits a random intercept by maximum likelihood, the integral over each study by adaptive Gauss–Hermite quadrature
 * (Liu and Pierce 1994); one point is Laplace's approximation.
 *
 * The likelihood is even in σ, so σ is searched without a bound and its sign dropped; σ = 0 is compared on its own.
 */
export function fitRandomIntercept(
  studies: readonly StudyLikelihood[],
  start: number,
  points: number,
): RandomInterceptFit {
  const rule = gaussHermite(points)
  const objective: Objective = (beta, sigma) =>
    studies.reduce((sum, study) => sum + logIntegral(study, beta, sigma, rule), 0)
  const starts = studies.length === 1 ? [] : [0.15, 0.6, 1.5]
  const none = climb((beta) => objective(beta, 0), [start, 0])
  let best = none
  for (const sigma of starts) {
    const found = climb(objective, [none.beta, sigma])
    if (found.value > best.value + 1e-9) best = found
  }
  const curvature = secondDerivatives(best === none ? (beta) => objective(beta, 0) : objective, best)
  const { bb, bs, ss } = curvature
  const variance = best === none ? -1 / bb : -ss / (bb * ss - bs * bs)
  return {
    intercept: best.beta,
    standardError: Math.sqrt(variance),
    tauSquared: best === none ? 0 : best.sigma ** 2,
    iterations: best.iterations,
    converged: best.converged && variance > 0,
  }
}

/** Log-likelihood of an intercept and a standard deviation. */
export type Objective = (beta: number, sigma: number) => number

/** Where a climb ended. */
export interface Peak {
  readonly beta: number
  readonly sigma: number
  readonly value: number
  readonly iterations: number
  readonly converged: boolean
}

/** Logarithm of the integral of exp(l(β + σz)) over a standard normal z, nodes centred and scaled at its mode. */
function logIntegral(study: StudyLikelihood, beta: number, sigma: number, rule: HermiteRule): number {
  if (sigma === 0) return study.value(beta)
  const exponent = (z: number): number => study.value(beta + sigma * z) - 0.5 * z * z
  const mode = modeOf(study, beta, sigma, exponent)
  const scale = 1 / Math.sqrt(1 - sigma * sigma * study.curvature(beta + sigma * mode))
  const top = exponent(mode)
  const { nodes, logWeights } = rule
  let sum = 0
  for (let j = 0; j < nodes.length; j++) {
    const t = nodes[j]!
    sum += Math.exp(logWeights[j]! + t * t + exponent(mode + Math.SQRT2 * scale * t) - top)
  }
  return top + Math.log((scale * sum) / Math.sqrt(Math.PI))
}

function modeOf(
  study: StudyLikelihood,
  beta: number,
  sigma: number,
  exponent: (z: number) => number,
): number {
  let z = 0
  let value = exponent(z)
  for (let iteration = 0; iteration < 100; iteration++) {
    const eta = beta + sigma * z
    const full = (sigma * study.slope(eta) - z) / (1 - sigma * sigma * study.curvature(eta))
    let step = full
    let next = exponent(z + step)
    while (!(next >= value - 1e-13 * Math.abs(value)) && Math.abs(step) > 1e-12) {
      step /= 2
      next = exponent(z + step)
    }
    z += step
    value = next
    if (Math.abs(full) < 1e-11 * (1 + Math.abs(z))) break
  }
  return z
}

/** Newton's method on numerical derivatives with step halving; a ridge makes up for curvature of the wrong sign. */
export function climb(objective: Objective, from: readonly [number, number]): Peak {
  let [beta, sigma] = from
  let value = objective(beta, sigma)
  let polished = 0
  for (let iteration = 1; iteration <= 100; iteration++) {
    const at = { beta, sigma }
    const { b, s } = firstDerivatives(objective, at)
    const [stepBeta, stepSigma] = ascent(b, s, secondDerivatives(objective, at))
    const gain = stepBeta * b + stepSigma * s
    // Gains below the rounding of the value are seen in the slope alone: the last steps are taken unchecked.
    if (gain >= 0 && gain < 1e-10) {
      polished++
      beta += stepBeta
      sigma += stepSigma
      if (polished === 3) {
        return { beta, sigma, value: objective(beta, sigma), iterations: iteration, converged: true }
      }
      continue
    }
    let share = Math.min(1, 2 / Math.hypot(stepBeta, stepSigma))
    let next = objective(beta + share * stepBeta, sigma + share * stepSigma)
    while (!(next > value) && share > 1e-8) {
      share /= 2
      next = objective(beta + share * stepBeta, sigma + share * stepSigma)
    }
    if (!(next > value)) return { beta, sigma, value, iterations: iteration, converged: false }
    beta += share * stepBeta
    sigma += share * stepSigma
    value = next
  }
  return { beta, sigma, value, iterations: 100, converged: false }
}

/** Second derivatives in intercept and standard deviation. */
export interface Curvature {
  readonly bb: number
  readonly bs: number
  readonly ss: number
}

function ascent(b: number, s: number, { bb, bs, ss }: Curvature): readonly [number, number] {
  // Larger eigenvalue of the second derivatives; it has to be negative for Newton's step to climb.
  const largest = (bb + ss) / 2 + Math.hypot((bb - ss) / 2, bs)
  const ridge = largest < -1e-8 ? 0 : largest + 0.1 * (Math.abs(bb) + Math.abs(ss)) + 1e-6
  const p = ridge - bb
  const q = ridge - ss
  if (ss === 0 && bs === 0 && s === 0) return [b / p, 0]
  const determinant = p * q - bs * bs
  return [(q * b + bs * s) / determinant, (bs * b + p * s) / determinant]
}

/** Steps that keep well inside the scale σ on which the likelihood bends when studies are large. */
function stepIn(sigma: number, most: number): number {
  return Math.min(most, Math.max(0.02 * Math.abs(sigma), most / 100))
}

function firstDerivatives(
  f: Objective,
  { beta, sigma }: { beta: number; sigma: number },
): { b: number; s: number } {
  const four = (g: (d: number) => number, h: number): number =>
    (8 * (g(h) - g(-h)) - (g(2 * h) - g(-2 * h))) / (12 * h)
  return { b: four((d) => f(beta + d, sigma), 1e-3), s: four((d) => f(beta, sigma + d), stepIn(sigma, 1e-3)) }
}

/** Second derivatives by central differences of the fourth order. */
export function secondDerivatives(f: Objective, { beta, sigma }: { beta: number; sigma: number }): Curvature {
  const hb = 1e-2
  const hs = stepIn(sigma, 1e-2)
  const middle = f(beta, sigma)
  const four = (g: (d: number) => number, h: number): number =>
    (16 * (g(h) + g(-h)) - (g(2 * h) + g(-2 * h)) - 30 * middle) / (12 * h * h)
  const cross = (b: number, s: number): number =>
    (f(beta + b, sigma + s) - f(beta + b, sigma - s) - f(beta - b, sigma + s) + f(beta - b, sigma - s)) /
    (4 * b * s)
  return {
    bb: four((d) => f(beta + d, sigma), hb),
    bs: (4 * cross(hb, hs) - cross(2 * hb, 2 * hs)) / 3,
    ss: four((d) => f(beta, sigma + d), hs),
  }
}
