import { type Contrast, type Estimate, isNumber } from '../../core/estimate.js'
import { randomStream } from '../../core/random.js'
import { rateStrata } from '../../pooling/combine.js'
import type { PooledModel } from '../../pooling/pooledModel.js'
import { ownOf } from '../../pooling/pooledRows.js'
import {
  type PooledSynthesis,
  pooledSynthesis,
  type SynthesisSite,
  synthesisOf,
} from '../../pooling/pooledSynthesis.js'
import { exampleProtocol, readProtocol } from '../../pooling/protocol.js'
import { answeringSite, throughRounds } from '../../pooling/rounds.js'
import type { SiteRows } from '../../pooling/siteRows.js'
import { type MadeSummary, makeSiteSummary } from '../../pooling/siteSummary.js'
import { pooledRateRatio } from '../../statistics/mantelHaenszel.js'
import { normalUpperQuantile } from '../../statistics/numeric/distributions.js'
import { intervalPerformance, type SimulatedInterval } from './intervalPerformance.js'
import { drawnLogRatio, type GroupScenario, simulatedClinic } from './simulatedGroup.js'
import {
  intervalOf,
  percent,
  performanceCells,
  performanceHeads,
  performanceRule,
  simulatedMean,
} from './simulatedShares.js'
import type { SimulationStudy, StudyRun } from './study.js'

const seed = 20260402
const plannedSamples = 250

const scenarios: readonly GroupScenario[] = [0, 0.05, 0.2].map((tauSquared) => ({
  clinics: 40,
  meanLogRatio: Math.log(0.7),
  tauSquared,
}))

/** What one group gave. */
interface Sample {
  readonly intervals: Readonly<Record<string, SimulatedInterval | undefined>>
  /** Whether the prediction interval holds the log rate ratio of a new clinic. */
  readonly predicted: boolean | undefined
  readonly refused: number
  readonly withoutEstimate: number
  readonly intervalsPerClinic: number
}

const agreed = readProtocol(JSON.stringify({ ...exampleProtocol, strata: null, balance: [] }))

export const studyGroupStudy: SimulationStudy = Object.freeze({
  name: 'study-group',
  question:
    'Do pooled intervals of 40 clinics that share counts hold the truth, and prediction intervals a new clinic?',
  page: 'docs/verification/study-group.md',
  run: async ({ replicates = plannedSamples, onProgress }: StudyRun) => {
    const rows: string[] = []
    const others: string[] = []
    for (const [index, scenario] of scenarios.entries()) {
      const samples: Sample[] = []
      for (let sample = 0; sample < replicates; sample++) {
        onProgress('pooling groups', (index + sample / replicates) / scenarios.length)
        samples.push(await sampleOf(scenario, index * 100_000 + sample))
      }
      rows.push(...intervalRows(scenario, samples))
      others.push(otherRow(scenario, samples))
    }
    return [
      `${replicates} groups a scenario, seed ${seed}; ± Monte Carlo standard error. Log ratios; truth is the mean of the clinics. Above, below: intervals wholly above or below the truth.`,
      '',
      `| τ² | interval ${performanceHeads}`,
      `|---:|---${performanceRule}`,
      ...rows,
      '',
      '| τ² | prediction interval holds a new clinic % | clinics refused | clinics without an estimate of their own | intervals of a clinic |',
      '|---:|---:|---:|---:|---:|',
      ...others,
    ].join('\n')
  },
})

async function sampleOf(scenario: GroupScenario, streamNumber: number): Promise<Sample> {
  const stream = randomStream(seed, streamNumber)
  const sites: { rows: SiteRows; made: MadeSummary }[] = []
  const all: SynthesisSite[] = []
  for (let c = 0; c < scenario.clinics; c++) {
    const rows = simulatedClinic(`clinic ${c}`, drawnLogRatio(scenario, stream), agreed.protocol, stream)
    const made = await makeSiteSummary(rows, agreed, {
      date: '2026-01-31',
      toolkit: 'study',
      salt: 'study',
    }).catch(() => undefined)
    all.push(ownOf(rows, agreed.protocol))
    if (made !== undefined) sites.push({ rows, made })
  }
  const summaries = sites.map(({ made }) => made.summary)
  const answering = sites.map(({ rows, made }) => answeringSite(rows, agreed, made))
  const synthesis = pooledSynthesis(summaries, agreed)
  const rateRatio = pooledRateRatio(rateStrata(summaries, agreed.protocol), { level: agreed.protocol.level })
  const fresh = drawnLogRatio(scenario, stream)
  return {
    intervals: {
      ...intervalsOf(synthesis, rateRatio, throughRounds(answering, agreed).model),
      'random effects, rows of all clinics': onLogScale(synthesisOf(all, agreed.protocol)?.analysis.random),
    },
    predicted: holds(synthesis, fresh),
    refused: scenario.clinics - sites.length,
    withoutEstimate: synthesis?.without.length ?? sites.length,
    intervalsPerClinic: simulatedMean(
      summaries.map(({ blocks }) => blocks.reduce((sum, one) => sum + one.intervalEndsDays.length, 0)),
    ).mean,
  }
}

function intervalsOf(
  synthesis: PooledSynthesis | undefined,
  rateRatio: Contrast,
  model: PooledModel,
): Sample['intervals'] {
  return {
    'random effects': onLogScale(synthesis?.analysis.random),
    'common effect': onLogScale(synthesis?.analysis.common),
    'Mantel–Haenszel rate ratio': ofRatio(rateRatio),
    'Cox by rounds, patient-robust': model.state === 'settled' ? ofRatio(model.hazardRatios[0]!) : undefined,
  }
}

function onLogScale(one: Estimate | undefined): SimulatedInterval | undefined {
  return one && intervalOf(one.estimate, one.standardError?.value, one.interval.lower, one.interval.upper)
}

function ofRatio({ estimate, interval, standardError }: Contrast): SimulatedInterval | undefined {
  const { lower, upper } = interval
  if (!isNumber(estimate) || !isNumber(lower) || !isNumber(upper)) return undefined
  // Half the width of a 95% interval, where the answer names no standard error.
  const error = standardError?.value ?? Math.log(upper / lower) / (2 * normalUpperQuantile(0.025))
  return intervalOf(Math.log(estimate), error, Math.log(lower), Math.log(upper))
}

function holds(synthesis: PooledSynthesis | undefined, fresh: number): boolean | undefined {
  const limits = synthesis?.analysis.predictionInterval
  if (limits === undefined || !isNumber(limits.lower) || !isNumber(limits.upper)) return undefined
  return limits.lower <= fresh && fresh <= limits.upper
}

function intervalRows(scenario: GroupScenario, samples: readonly Sample[]): readonly string[] {
  return Object.keys(samples[0]!.intervals).map((name) => {
    const found = intervalPerformance(
      scenario.meanLogRatio,
      samples.flatMap(({ intervals }) => intervals[name] ?? []),
    )
    return `| ${scenario.tauSquared} | ${name} ${performanceCells(found, 3)}`
  })
}

function otherRow({ tauSquared }: GroupScenario, samples: readonly Sample[]): string {
  const known = samples.flatMap(({ predicted }) => predicted ?? [])
  const share = known.filter(Boolean).length / Math.max(1, known.length)
  const mean = (read: (sample: Sample) => number): string => simulatedMean(samples.map(read)).mean.toFixed(1)
  return `| ${tauSquared} | ${percent(share)} ± ${percent(Math.sqrt((share * (1 - share)) / Math.max(1, known.length)))} | ${mean(({ refused }) => refused)} | ${mean(({ withoutEstimate }) => withoutEstimate)} | ${mean(({ intervalsPerClinic }) => intervalsPerClinic)} |`
}
