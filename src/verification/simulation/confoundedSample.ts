import { type RandomStream, randomStream } from '../../core/random.js'

/** A scenario of measured confounding: how far the square of the numeric covariate bends either truth. */
export interface ConfoundingScenario {
  readonly name: string
  /** Coefficient of x² − 1 in the log hazard, which the analysis does not know. */
  readonly bentHazard: number
  /** Coefficient of x² − 1 in the logit of the treatment, which the analysis does not know. */
  readonly bentChoice: number
}

/** One simulated practice, one entry per restoration. */
export interface ConfoundedSample {
  readonly time: Float64Array
  /** 0 censored, 1 the event, 2 the competing one. */
  readonly event: Uint8Array
  readonly treated: Uint8Array
  readonly patient: Int32Array
  readonly binary: Uint8Array
  readonly numeric: Float64Array
}

const patients = 350
const competingHazard = 0.015
const treatmentRatio = 0.6
/** Variance of the gamma frailty of a patient. */
const frailtyVariance = 1

/** Years at which the risk is read. */
export const horizonYears = 3

/** Draws the restorations of one practice. */
export function confoundedSample(scenario: ConfoundingScenario, stream: RandomStream): ConfoundedSample {
  const rows: {
    time: number
    event: number
    treated: number
    patient: number
    binary: number
    numeric: number
  }[] = []
  for (let patient = 0; patient < patients; patient++) {
    const frailty = stream.gamma(1 / frailtyVariance) * frailtyVariance
    const end = 2 + 6 * stream.uniform()
    const numeric = stream.normal()
    for (let count = restorationsOf(stream.uniform()); count > 0; count--) {
      const binary = drawnBinary(stream)
      const treated = stream.uniform() < chanceOfTreatment(scenario, binary, numeric) ? 1 : 0
      const hazard = frailty * hazardOf(scenario, binary, numeric, treated)
      const own = stream.exponential() / hazard
      const competing = stream.exponential() / competingHazard
      const time = Math.min(own, competing, end)
      const event = time === own ? 1 : time === competing ? 2 : 0
      rows.push({ time, event, treated, patient, binary, numeric })
    }
  }
  return {
    time: Float64Array.from(rows, (row) => row.time),
    event: Uint8Array.from(rows, (row) => row.event),
    treated: Uint8Array.from(rows, (row) => row.treated),
    patient: Int32Array.from(rows, (row) => row.patient),
    binary: Uint8Array.from(rows, (row) => row.binary),
    numeric: Float64Array.from(rows, (row) => row.numeric),
  }
}

/**
 * Average over drawn covariates of the risk of every one of them if treated less that if not: both potential outcomes,
 * their chance over frailty and competing event by Simpson's rule, so that only the covariates are left to chance.
 */
export function trueDifference(scenario: ConfoundingScenario, draws: number, seed: number): number {
  const stream = randomStream(seed)
  let sum = 0
  for (let draw = 0; draw < draws; draw++) {
    const numeric = stream.normal()
    const binary = drawnBinary(stream)
    const risk = (treated: number): number => cumulativeRisk(hazardOf(scenario, binary, numeric, treated))
    sum += risk(1) - risk(0)
  }
  return sum / draws
}

/** Risk by the horizon: the marginal density of the event under a gamma frailty, while nothing competing has come. */
function cumulativeRisk(hazard: number): number {
  const steps = 20
  let sum = 0
  for (let i = 0; i <= steps; i++) {
    const weight = i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2
    const time = (i * horizonYears) / steps
    const density = hazard * (1 + frailtyVariance * hazard * time) ** (-1 / frailtyVariance - 1)
    sum += weight * density * Math.exp(-competingHazard * time)
  }
  return (sum * horizonYears) / (3 * steps)
}

function hazardOf(
  { bentHazard }: ConfoundingScenario,
  binary: number,
  numeric: number,
  treated: number,
): number {
  const logRatio = 0.6 * binary + 0.5 * numeric + bentHazard * (numeric ** 2 - 1)
  return 0.036 * Math.exp(logRatio) * (treated === 1 ? treatmentRatio : 1)
}

function chanceOfTreatment({ bentChoice }: ConfoundingScenario, binary: number, numeric: number): number {
  const logit = -0.25 + 0.7 * binary + 0.6 * numeric + bentChoice * (numeric ** 2 - 1)
  return 1 / (1 + Math.exp(-logit))
}

function drawnBinary(stream: RandomStream): 0 | 1 {
  return stream.uniform() < 0.4 ? 1 : 0
}

function restorationsOf(u: number): number {
  if (u < 0.5) return 1
  return u < 0.8 ? 2 : 3
}
