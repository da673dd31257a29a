import type { Interval, Quantity } from '../../core/estimate.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import { kaplanMeier } from '../../statistics/curves/survival.js'
import { survivalAt } from '../../statistics/curves/survivalAt.js'
import { survivalsAt } from '../../statistics/curves/survivalsAt.js'
import { logRank } from '../../statistics/groupTests/comparison.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import { robustScoreTest } from '../../statistics/hazardModels/coxTests.js'
import { clusteredProportion } from '../../statistics/proportions/clusteredProportion.js'
import { proportion } from '../../statistics/proportions/proportions.js'
import { clusteredRate } from '../../statistics/rates/clusteredRate.js'
import { rate } from '../../statistics/rates/rates.js'
import type { SimulationStudy, StudyRun } from './study.js'

/** One scenario of the study; docs/verification/clustered-intervals.md states them all. */
interface Scenario {
  readonly patients: number
  /** Hazard per year at frailty 1. */
  readonly hazard: number
  /** Variance of the frailty. */
  readonly variance: number
  readonly groupsOf: 'patients' | 'restorations'
}

const scenarios: readonly Scenario[] = [20, 60, 250].flatMap((patients) =>
  [0.01, 0.05].flatMap((hazard) =>
    [1, 4].flatMap((variance) => {
      const scenario = { patients, hazard, variance, groupsOf: 'patients' as const }
      return hazard === 0.05 && variance === 4
        ? [scenario, { ...scenario, groupsOf: 'restorations' as const }]
        : [scenario]
    }),
  ),
)

const seed = 20260201
const plannedSamples = 2000
const censoring = { from: 2, to: 8 }
const yearsRead = [1, 5] as const

/** What is followed: coverage of intervals, and size of tests. */
const measures = [
  'proportion',
  'rate',
  'curve at 1 year',
  'curve at 5 years',
  'hazard ratio',
  'two-curve test',
] as const

/** How one method did in one sample: covered (or kept the null), missed (or rejected it), or gave no answer. */
type Verdict = 'well' | 'missed' | 'none'

interface Sample {
  readonly time: Float64Array
  readonly event: Uint8Array
  readonly group: Uint8Array
  readonly patient: Int32Array
}

export const clusteredIntervalsStudy: SimulationStudy = Object.freeze({
  name: 'clustered-intervals',
  question:
    'Do intervals cover and tests keep their size when several restorations of one patient share a frailty?',
  page: 'docs/verification/clustered-intervals.md',
  run: ({ replicates = plannedSamples, onProgress }: StudyRun) => {
    const rows = scenarios.map((scenario, index) => {
      const verdicts = Array.from({ length: replicates }, (_one, sample) => {
        if (sample % 200 === 0)
          onProgress('clustered intervals', (index + sample / replicates) / scenarios.length)
        return verdictsOf(drawnSample(scenario, randomStream(seed, index * 100_000 + sample)), scenario)
      })
      return { scenario, verdicts }
    })
    return Promise.resolve(table(rows, replicates))
  },
})

function drawnSample(scenario: Scenario, stream: RandomStream): Sample {
  const rows: { time: number; event: number; group: number; patient: number }[] = []
  for (let patient = 0; patient < scenario.patients; patient++) {
    const frailty = stream.gamma(1 / scenario.variance) * scenario.variance
    const end = censoring.from + (censoring.to - censoring.from) * stream.uniform()
    const own = stream.uniform() < 0.5 ? 1 : 0
    for (let count = restorationsOf(stream.uniform()); count > 0; count--) {
      const time = stream.exponential() / (scenario.hazard * frailty)
      const group = scenario.groupsOf === 'patients' ? own : stream.uniform() < 0.5 ? 1 : 0
      rows.push({ time: Math.min(time, end), event: time <= end ? 1 : 0, group, patient })
    }
  }
  return {
    time: Float64Array.from(rows, (row) => row.time),
    event: Uint8Array.from(rows, (row) => row.event),
    group: Uint8Array.from(rows, (row) => row.group),
    patient: Int32Array.from(rows, (row) => row.patient),
  }
}

function restorationsOf(u: number): number {
  if (u < 0.58) return 1
  if (u < 0.84) return 2
  return u < 0.93 ? 3 : 4
}

/** Truths, marginal over the frailty. */
function truthsOf({ hazard, variance }: Scenario): {
  share: number
  rate: number
  survival: (years: number) => number
} {
  const survival = (years: number): number => (1 + variance * hazard * years) ** (-1 / variance)
  const area = (years: number): number =>
    variance === 1
      ? Math.log1p(hazard * years) / hazard
      : ((1 + variance * hazard * years) ** (1 - 1 / variance) - 1) / (hazard * (variance - 1))
  const share = meanOverCensoring((end) => 1 - survival(end))
  return { share, rate: share / meanOverCensoring(area), survival }
}

/** Mean over the uniform censoring time, by Simpson's rule. */
function meanOverCensoring(f: (end: number) => number): number {
  const steps = 200
  const width = (censoring.to - censoring.from) / steps
  let sum = 0
  for (let i = 0; i <= steps; i++) {
    const weight = i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2
    sum += weight * f(censoring.from + i * width)
  }
  return sum / (3 * steps)
}

/** Verdicts on the default and the naive method, for each measure. */
function verdictsOf(sample: Sample, scenario: Scenario): readonly (readonly [Verdict, Verdict])[] {
  const { time, event, group, patient } = sample
  const truth = truthsOf(scenario)
  const events = event.reduce((sum, one) => sum + one, 0)
  const years = time.reduce((sum, one) => sum + one, 0)
  const curve = survivalsAt(time, event, yearsRead, { cluster: patient })
  const naiveCurve = survivalAt(kaplanMeier(time, event), yearsRead)
  return [
    [
      covered(clusteredProportion(event, patient).interval, truth.share),
      covered(proportion(events, event.length).interval, truth.share),
    ],
    [
      covered(clusteredRate(event, time, patient).interval, truth.rate),
      covered(rate(events, years).interval, truth.rate),
    ],
    ...yearsRead.map(
      (at, i) =>
        [
          covered(curve[i]!.interval, truth.survival(at)),
          covered(naiveCurve[i]!.interval, truth.survival(at)),
        ] as const,
    ),
    hazardRatioVerdicts(sample),
    testVerdicts({ time, event, group, patient }),
  ]
}

function hazardRatioVerdicts({ time, event, group, patient }: Sample): readonly [Verdict, Verdict] {
  if (new Set(group).size < 2) return ['none', 'none']
  const fitted = (clusters?: Int32Array): Verdict => {
    const options = clusters === undefined ? {} : { cluster: clusters }
    return covered(coxRegression({ time, event }, { group }, options).hazardRatios[0]!.interval, 1)
  }
  return [fitted(patient), fitted()]
}

function testVerdicts({ time, event, group, patient }: Sample): readonly [Verdict, Verdict] {
  if (new Set(group).size < 2) return ['none', 'none']
  return [
    kept(robustScoreTest({ time, event }, { group }, patient).pValue),
    kept(logRank(time, event, group).pValue),
  ]
}

function covered({ lower, upper }: Interval, truth: number): Verdict {
  const below =
    typeof lower === 'number' ? lower : lower.state === 'unbounded' ? Number.NEGATIVE_INFINITY : undefined
  const above =
    typeof upper === 'number' ? upper : upper.state === 'unbounded' ? Number.POSITIVE_INFINITY : undefined
  if (below === undefined || above === undefined) return 'none'
  return below <= truth && truth <= above ? 'well' : 'missed'
}

function kept(pValue: Quantity): Verdict {
  if (typeof pValue !== 'number') return 'none'
  return pValue < 0.05 ? 'missed' : 'well'
}

type Row = {
  readonly scenario: Scenario
  readonly verdicts: readonly (readonly (readonly [Verdict, Verdict])[])[]
}

function table(rows: readonly Row[], samples: number): string {
  const head = [
    '| patients | hazard a year | frailty variance | groups of | measure | default | no answer | naive | no answer |',
    '|---:|---:|---:|---|---|---:|---:|---:|---:|',
  ]
  const body = rows.flatMap(({ scenario, verdicts }) =>
    measures.map((measure, m) => {
      const test = measure === 'two-curve test'
      const cell = (which: 0 | 1): string =>
        shareCell(
          verdicts.map((one) => one[m]![which]),
          test,
        )
      const none = (which: 0 | 1): string =>
        percent(
          share(
            verdicts.map((one) => one[m]![which]),
            'none',
          ),
        )
      const { patients, hazard, variance, groupsOf } = scenario
      return `| ${patients} | ${hazard} | ${variance} | ${groupsOf} | ${measure} | ${cell(0)} | ${none(0)} | ${cell(1)} | ${none(1)} |`
    }),
  )
  return [
    `${samples} samples a scenario, seed ${seed}. Intervals: coverage in per cent; test: share of P < 0.05 in per cent; ± Monte Carlo standard error.`,
    '',
    ...head,
    ...body,
  ].join('\n')
}

/** Coverage of intervals or size of a test among the samples with an answer, with its Monte Carlo error. */
function shareCell(verdicts: readonly Verdict[], test: boolean): string {
  const answered = verdicts.filter((one) => one !== 'none')
  if (answered.length === 0) return '–'
  const part = share(answered, test ? 'missed' : 'well')
  return `${percent(part)} ± ${percent(Math.sqrt((part * (1 - part)) / answered.length))}`
}

function share(verdicts: readonly Verdict[], wanted: Verdict): number {
  return verdicts.filter((one) => one === wanted).length / verdicts.length
}

function percent(part: number): string {
  return (100 * part).toFixed(1)
}
