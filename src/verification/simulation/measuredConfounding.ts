import type { Contrast } from '../../core/estimate.js'
import { isNumber } from '../../core/estimate.js'
import { randomStream } from '../../core/random.js'
import { compareCumulativeIncidence } from '../../statistics/curves/incidenceContrast.js'
import { compareRisksAt } from '../../statistics/curves/riskAtTimes.js'
import { normalQuantile } from '../../statistics/numeric/distributions.js'
import {
  doublyRobustComparison,
  doublyRobustEstimate,
  propensityScores,
  propensityWeights,
} from '../../statistics/weighting/index.js'
import {
  type ConfoundedSample,
  type ConfoundingScenario,
  confoundedSample,
  horizonYears,
  trueDifference,
} from './confoundedSample.js'
import { intervalPerformance, type SimulatedInterval } from './intervalPerformance.js'
import {
  intervalOf,
  percent,
  performanceCells,
  performanceHeads,
  performanceRule,
} from './simulatedShares.js'
import type { SimulationStudy, StudyRun } from './study.js'

const seed = 20260302
const truthSeed = 20260301
const truthDraws = 400_000
const plannedSamples = 500
const plannedBootstrapped = 150
const bootstrapSamples = 200

const scenarios: readonly ConfoundingScenario[] = [
  { name: 'both models right', bentHazard: 0, bentChoice: 0 },
  { name: 'outcome model wrong', bentHazard: 0.35, bentChoice: 0 },
  { name: 'score model wrong', bentHazard: 0, bentChoice: 0.4 },
]

const methods = ['crude', 'weighted', 'doubly robust, influence', 'doubly robust, bootstrap'] as const

/** How much is simulated. */
export interface ConfoundingPlan {
  readonly samples: number
  /** Samples, from the first, in which the bootstrap runs. */
  readonly bootstrapped: number
  readonly bootstrapSamples: number
  readonly truthDraws: number
}

/** Intervals in the order of the methods, and the share with the event by the horizon. */
interface Answers {
  readonly intervals: readonly (SimulatedInterval | undefined)[]
  readonly events: number
}

export const measuredConfoundingStudy: SimulationStudy = Object.freeze({
  name: 'measured-confounding',
  question:
    'Where the choice depends on what was measured, does adjustment find the risk difference, with intervals that hold it?',
  page: 'docs/verification/measured-confounding.md',
  run: ({ replicates = plannedSamples, onProgress }: StudyRun) => {
    const bootstrapped = Math.min(replicates, plannedBootstrapped)
    const plan = { samples: replicates, bootstrapped, bootstrapSamples, truthDraws }
    return runMeasuredConfounding(plan, (share) => onProgress('measured confounding', share))
  },
})

/** Runs the study at a chosen size; answers with its table. */
export async function runMeasuredConfounding(
  plan: ConfoundingPlan,
  onProgress: (share: number) => void = () => undefined,
): Promise<string> {
  const rows: string[] = []
  for (const [index, scenario] of scenarios.entries()) {
    const truth = trueDifference(scenario, plan.truthDraws, truthSeed)
    const answers: Answers[] = []
    for (let sample = 0; sample < plan.samples; sample++) {
      onProgress((index + sample / plan.samples) / scenarios.length)
      const drawn = confoundedSample(scenario, randomStream(seed, index * 100_000 + sample))
      const resamples = sample < plan.bootstrapped ? plan.bootstrapSamples : 0
      answers.push(await answersOf(drawn, resamples, sample))
    }
    rows.push(...scenarioRows(scenario, truth, answers))
  }
  return [
    `${plan.samples} samples a scenario (the bootstrap in ${plan.bootstrapped}), seed ${seed}; risk difference by ${horizonYears} years; ± Monte Carlo standard error. Above, below: intervals wholly above or below the truth.`,
    '',
    `| scenario | with event % | method ${performanceHeads}`,
    `|---|---:|---${performanceRule}`,
    ...rows,
  ].join('\n')
}

function scenarioRows(
  scenario: ConfoundingScenario,
  truth: number,
  answers: readonly Answers[],
): readonly string[] {
  const events = answers.reduce((sum, one) => sum + one.events, 0) / answers.length
  return methods.map((method, m) => {
    const answered = answers.flatMap(({ intervals }) => intervals[m] ?? [])
    const cells = performanceCells(intervalPerformance(truth, answered), 4)
    return `| ${scenario.name} | ${percent(events)} | ${method} ${cells}`
  })
}

async function answersOf(sample: ConfoundedSample, resamples: number, number: number): Promise<Answers> {
  const { time, event, treated, patient, binary, numeric } = sample
  const columns = { time, event, treated, covariates: { binary, numeric } }
  const crude = compareRisksAt(time, event, treated, [horizonYears], { cluster: patient, against: '0' })
  const robust = doublyRobustEstimate(columns, horizonYears, { cluster: patient })
  const bootstrap =
    resamples > 0
      ? await doublyRobustComparison(columns, horizonYears, {
          cluster: patient,
          resampling: { replicates: resamples, seed: number, threads: 0 },
        })
      : undefined
  const early = event.reduce((sum, one, row) => sum + (one === 1 && time[row]! <= horizonYears ? 1 : 0), 0)
  return {
    intervals: [
      simulated(crude.differences[0]!.at[0]!),
      simulated(weightedDifference(sample)),
      byInfluence(robust),
      bootstrap === undefined ? undefined : simulated(bootstrap.difference),
    ],
    events: early / time.length,
  }
}

/** Difference of the cumulative incidences under stabilised weights of the average effect. */
function weightedDifference({ time, event, treated, patient, binary, numeric }: ConfoundedSample): Contrast {
  const { scores } = propensityScores(treated, { binary, numeric })
  const { weights } = propensityWeights(treated, scores, { stabilised: true })
  const options = { weights, cluster: patient, variance: 'robust', against: '0' } as const
  return compareCumulativeIncidence(time, event, treated, [horizonYears], options)[0]!.differences[0]!
}

function byInfluence({
  difference,
  influenceStandardError,
}: ReturnType<typeof doublyRobustEstimate>): SimulatedInterval | undefined {
  if (!isNumber(difference) || !isNumber(influenceStandardError)) return undefined
  const reach = normalQuantile(0.975) * influenceStandardError
  return intervalOf(difference, influenceStandardError, difference - reach, difference + reach)
}

function simulated({ estimate, standardError, interval }: Contrast): SimulatedInterval | undefined {
  return intervalOf(estimate, standardError?.value, interval.lower, interval.upper)
}
