import type { PracticeScenario } from './simulatedPractice.js'

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
