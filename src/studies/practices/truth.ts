import { randomStream } from '../../core/random.js'
import { competingHazard, risksByHorizon } from './hazards.js'
import { drawCrowns } from './population.js'
import type { ByArm, PracticeTraits } from './scenario.js'

/** Horizons at which the truth is known, in years. */
export const horizonsYears = [0.5, 1, 2, 3, 5] as const

/** Risks by horizon, in the order of `horizonsYears`, as shares. */
export type Risks = readonly number[]

/** What a perfect audit would find. */
export interface Truth {
  /** All crowns, each the way it was tightened on the delivery day. */
  readonly overall: Risks
  /** Crowns weighted by e(1 - e), e the true propensity; absent where nobody might have had either. */
  readonly overlap?: ByArm<Risks>
  /** Mean of 4 e(1 - e): 1 where every choice was a coin's toss. */
  readonly overlapShare: number
}

/**
 * The truth of a practice: covariates by simulation, everything else by integration. Each crown's risk either way is
 * integrated over frailty and time; the mean over crowns is weighted by the true propensity.
 *
 * @param crowns crowns drawn; with 60,000 the Monte Carlo error of a risk is below 0.0003
 */
export function computeTruth(traits: PracticeTraits, crowns = 60_000, seed = 1): Truth {
  const overall = new WeightedRisks()
  const arms = { single: new WeightedRisks(), repeated: new WeightedRisks() }
  let overlapSum = 0
  for (const crown of drawCrowns({ ...traits, restorations: crowns }, randomStream(seed, 99))) {
    const competing = competingHazard(traits, crown.patient.ageYears)
    const e = crown.propensity
    const single = risksByHorizon(traits, crown.hazardRatio, competing, horizonsYears)
    const repeated =
      traits.treatmentHazardRatio === 1
        ? single
        : risksByHorizon(traits, crown.hazardRatio * traits.treatmentHazardRatio, competing, horizonsYears)
    overall.add(single, 1 - e)
    overall.add(repeated, e)
    arms.single.add(single, e * (1 - e))
    arms.repeated.add(repeated, e * (1 - e))
    overlapSum += 4 * e * (1 - e)
  }
  const overlapShare = overlapSum / crowns
  if (overlapShare < 1e-6) return { overall: overall.means(), overlapShare }
  return {
    overall: overall.means(),
    overlap: { single: arms.single.means(), repeated: arms.repeated.means() },
    overlapShare,
  }
}

class WeightedRisks {
  private readonly sums = horizonsYears.map(() => 0)
  private weight = 0

  add(risks: Risks, weight: number): void {
    this.weight += weight
    for (let index = 0; index < risks.length; index++) this.sums[index]! += weight * risks[index]!
  }

  means(): Risks {
    return this.sums.map((sum) => sum / this.weight)
  }
}

/** A risk at one of the known horizons; undefined at any other. */
export function riskAt(risks: Risks, years: number): number | undefined {
  const index = horizonsYears.findIndex((horizon) => Math.abs(horizon - years) < 1e-9)
  return index < 0 ? undefined : risks[index]
}

/** True difference of the risks, repeated less single, in the overlap population; undefined where there is none. */
export function trueDifference(truth: Truth, years: number): number | undefined {
  if (truth.overlap === undefined) return undefined
  const single = riskAt(truth.overlap.single, years)
  const repeated = riskAt(truth.overlap.repeated, years)
  return single === undefined || repeated === undefined ? undefined : repeated - single
}
