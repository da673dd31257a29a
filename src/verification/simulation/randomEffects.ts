import { type Interval, isNumber } from '../../core/estimate.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import {
  metaAnalysis,
  metaAnalysisOfRates,
  rateEffects,
  type SingleArmMetaAnalysis,
} from '../../statistics/meta/index.js'
import { poissonQuantile } from '../../statistics/numeric/distributions.js'
import { intervalPerformance, type SimulatedInterval } from './intervalPerformance.js'
import {
  intervalOf,
  percent,
  performanceCells,
  performanceHeads,
  performanceRule,
} from './simulatedShares.js'
import type { SimulationStudy, StudyRun } from './study.js'

const seed = 20260331
const plannedSamples = 2000
/** Samples in which counts are pooled by the random intercept, which takes far longer. */
const samplesOfCounts = 1000

/** One scenario; docs/verification/random-effects.md states them all. */
interface Scenario {
  readonly effects: 'log rate ratios' | 'log rates'
  readonly clinics: number
  readonly tauSquared: number
}

const scenarios: readonly Scenario[] = (['log rate ratios', 'log rates'] as const).flatMap((effects) =>
  [5, 20].flatMap((clinics) => [0, 0.05, 0.3].map((tauSquared) => ({ effects, clinics, tauSquared }))),
)

const means = { 'log rate ratios': -0.3, 'log rates': Math.log(0.02) } as const

/** What one method gives in one sample. */
interface Answer {
  readonly mean: SimulatedInterval | undefined
  /** Whether the prediction interval holds the effect of a new clinic; undefined where there is none. */
  readonly predicted: boolean | undefined
}

/** Answers by method, in the order of the table. */
type Sample = Readonly<Record<string, Answer>>

export const randomEffectsStudy: SimulationStudy = Object.freeze({
  name: 'random-effects',
  question: 'Do the default intervals hold the mean of few or many clinics, and the effect of a new one?',
  page: 'docs/verification/random-effects.md',
  run: ({ replicates = plannedSamples, onProgress }: StudyRun) => {
    const rows = scenarios.flatMap((scenario, index) => {
      onProgress('pooling clinics', index / scenarios.length)
      const samples = Array.from({ length: replicates }, (_, sample) =>
        sampleOf(scenario, randomStream(seed, index * 100_000 + sample), sample < samplesOfCounts),
      )
      return scenarioRows(scenario, samples)
    })
    const head = '| effects | clinics | τ² | interval '
    return Promise.resolve(
      [
        `${replicates} samples a scenario, seed ${seed}; ± Monte Carlo standard error. Above, below: intervals wholly above or below the truth. New clinic: prediction intervals that hold the effect of a new clinic.`,
        '',
        `${head}${performanceHeads} new clinic % |`,
        `|---|---:|---:|---${performanceRule}---:|`,
        ...rows,
      ].join('\n'),
    )
  },
})

function sampleOf(scenario: Scenario, stream: RandomStream, withCounts: boolean): Sample {
  const truth = means[scenario.effects]
  const drawn = (): number => truth + Math.sqrt(scenario.tauSquared) * stream.normal()
  if (scenario.effects === 'log rate ratios') {
    const { effects, variances } = drawnRatios(scenario.clinics, drawn, stream)
    return pooled(effects, variances, drawn())
  }
  const { events, years } = drawnRates(scenario.clinics, drawn, stream)
  const { effects, variances } = rateEffects(events, years)
  const fresh = drawn()
  const byVariance = pooled(effects, variances, fresh)
  if (!withCounts) return byVariance
  const counts = metaAnalysisOfRates(events, years)
  const normal = metaAnalysisOfRates(events, years, { interval: 'normal' })
  return {
    'counts, default': answer(onScaleOf(counts), logLimits(counts.predictionInterval), fresh),
    'counts, normal': answer(onScaleOf(normal), undefined, fresh),
    ...byVariance,
  }
}

function drawnRatios(clinics: number, drawn: () => number, stream: RandomStream) {
  const variances = Array.from({ length: clinics }, () => 0.05 * 12 ** stream.uniform())
  const effects = variances.map((variance) => drawn() + Math.sqrt(variance) * stream.normal())
  return { effects, variances }
}

function drawnRates(clinics: number, drawn: () => number, stream: RandomStream) {
  const years = Array.from({ length: clinics }, () => 100 * 8 ** stream.uniform())
  const events = years.map((time) => poissonQuantile(stream.uniform(), time * Math.exp(drawn())))
  return { events, years }
}

/** The default and the normal interval of effects with their variances. */
function pooled(effects: readonly number[], variances: readonly number[], fresh: number): Sample {
  const byDefault = metaAnalysis(effects, variances)
  const normal = metaAnalysis(effects, variances, { interval: 'normal' })
  const interval = ({ random }: typeof normal): SimulatedInterval | undefined =>
    intervalOf(random.estimate, random.standardError?.value, random.interval.lower, random.interval.upper)
  return {
    default: answer(interval(byDefault), byDefault.predictionInterval, fresh),
    normal: answer(interval(normal), undefined, fresh),
  }
}

function answer(mean: SimulatedInterval | undefined, limits: Interval | undefined, fresh: number): Answer {
  if (limits === undefined || !isNumber(limits.lower) || !isNumber(limits.upper)) {
    return { mean, predicted: undefined }
  }
  return { mean, predicted: limits.lower <= fresh && fresh <= limits.upper }
}

function logLimits({ lower, upper }: Interval): Interval {
  return {
    lower: isNumber(lower) ? Math.log(lower) : lower,
    upper: isNumber(upper) ? Math.log(upper) : upper,
  }
}

/** Interval of a rate on the log scale. */
function onScaleOf({
  onScale,
  pooled: { estimate, interval },
}: SingleArmMetaAnalysis): SimulatedInterval | undefined {
  const { lower, upper } = logLimits(interval)
  return intervalOf(
    isNumber(estimate) ? Math.log(estimate) : estimate,
    onScale?.standardError?.value,
    lower,
    upper,
  )
}

function scenarioRows(scenario: Scenario, samples: readonly Sample[]): readonly string[] {
  const truth = means[scenario.effects]
  return Object.keys(samples[0]!).map((name) => {
    const answers = samples.flatMap((one) => one[name] ?? [])
    const found = intervalPerformance(
      truth,
      answers.flatMap(({ mean }) => mean ?? []),
    )
    const start = `| ${scenario.effects} | ${scenario.clinics} | ${scenario.tauSquared} | ${name}`
    return `${start} ${performanceCells(found, 3)} ${newClinicCell(answers)} |`
  })
}

function newClinicCell(answers: readonly Answer[]): string {
  const known = answers.flatMap(({ predicted }) => predicted ?? [])
  if (known.length === 0) return '–'
  const share = known.filter(Boolean).length / known.length
  return `${percent(share)} ± ${percent(Math.sqrt((share * (1 - share)) / known.length))}`
}
