import {
  frailtyVariance,
  type PracticeScenario,
  removalPerYear,
  type SimulatedSite,
  siteHazard,
  weibullShape,
} from './simulatedPractice.js'

const usual: PracticeScenario = {
  name: 'no effect',
  patients: 300,
  hazardRatio: 1,
  cumulativeHazardAt3Years: 0.1,
  perDeliveryYear: 1,
  repeatShareOf: () => 0.45,
  recallDays: { single: 365, repeated: 365 },
  symptomatic: 0.7,
  tightenedAtRecall: 0,
}

/** Scenarios of the study, as docs/verification/fair-comparison.md states them. */
export const fairScenarios: readonly PracticeScenario[] = Object.freeze([
  usual,
  { ...usual, name: 'half the hazard', hazardRatio: 0.5 },
  {
    ...usual,
    name: 'confounded by period',
    perDeliveryYear: 0.75,
    cumulativeHazardAt3Years: 0.2,
    repeatShareOf: (year) => 0.15 + 0.13 * year,
  },
  {
    ...usual,
    name: 'separated by period',
    perDeliveryYear: 0.8,
    cumulativeHazardAt3Years: 0.2,
    repeatShareOf: (year) => (year < 3 ? 0.01 : 0.99),
    rightKind: 'not-comparable',
  },
  { ...usual, name: 'immortal time', tightenedAtRecall: 0.9 },
  {
    ...usual,
    name: 'informative visits',
    recallDays: { single: 730, repeated: 180 },
    symptomatic: 0.4,
  },
  {
    ...usual,
    name: 'few events',
    cumulativeHazardAt3Years: 0.011,
  },
  {
    ...usual,
    name: 'sparse: 3 events',
    cumulativeHazardAt3Years: 0.006,
    exactEvents: 3,
    rightKind: 'cannot-be-known',
  },
])

const regions: readonly (readonly [SimulatedSite['region'], number])[] = [
  ['anterior', 0.25],
  ['premolar', 0.3],
  ['molar', 0.45],
]

/** Steps of the integration over time. */
const steps = 600

/**
 * The estimand: risk of loosening (whether found or not) by a horizon, removal competing, had everybody been tightened
 * again, minus had everybody been tightened once; averaged over sites, bruxism, years of delivery and frailty.
 */
export function trueRiskDifference(scenario: PracticeScenario, horizonYears: number): number {
  let difference = 0
  for (const [region, ofRegion] of regions) {
    for (const [bruxism, ofBruxism] of [
      ['none', 0.75],
      ['definite', 0.25],
    ] as const) {
      for (let year = 0; year < 6; year++) {
        const hazard = siteHazard({ region, bruxism, year }, scenario)
        const share = (ofRegion * ofBruxism) / 6
        difference +=
          share *
          (risk(scenario, hazard * scenario.hazardRatio, horizonYears) - risk(scenario, hazard, horizonYears))
      }
    }
  }
  return difference
}

/** ∫ e^(−ct) dF(t) with F marginal over the gamma frailty, by the midpoints of F's own steps. */
function risk(scenario: PracticeScenario, hazard: number, horizonYears: number): number {
  const cumulative = (years: number): number =>
    hazard * scenario.cumulativeHazardAt3Years * (years / 3) ** weibullShape
  const free = (years: number): number => (1 + frailtyVariance * cumulative(years)) ** (-1 / frailtyVariance)
  let sum = 0
  for (let step = 0; step < steps; step++) {
    const from = (horizonYears * step) / steps
    const to = (horizonYears * (step + 1)) / steps
    sum += (free(from) - free(to)) * Math.exp((-removalPerYear * (from + to)) / 2)
  }
  return sum
}
