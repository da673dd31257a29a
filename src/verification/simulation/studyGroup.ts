import { daysPerYear } from '../../core/calendar.js'
import { isNumber } from '../../core/estimate.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import { pooledResult } from '../../pooling/coordinator/groupResult.js'
import { added } from '../../pooling/coordinator/poolRows.js'
import { fromWholeNumbers, layoutOf, wholeNumbers } from '../../pooling/protocol/layout.js'
import { exampleProtocol, type Protocol, readProtocol } from '../../pooling/protocol/protocol.js'
import { numbersOfParts } from '../../pooling/site/numbers.js'
import type { SiteRows } from '../../pooling/site/siteRows.js'
import { partsOfRows } from '../../pooling/site/siteSums.js'
import { normalUpperQuantile, normalUpperTail } from '../../statistics/numeric/distributions.js'
import { intervalPerformance, type SimulatedInterval } from './intervalPerformance.js'
import {
  intervalOf,
  performanceCells,
  performanceHeads,
  performanceRule,
  simulatedMean,
} from './simulatedShares.js'
import type { SimulationStudy, StudyRun } from './study.js'

/** What is true of a simulated study group; docs/verification/study-group.md states the scenarios. */
export interface GroupScenario {
  readonly clinics: number
  /** Mean of the clinics' log rate ratios, and their variance. */
  readonly meanLogRatio: number
  readonly tauSquared: number
  /** Fewest and most patients of a clinic, even on the log scale; default 60 and 400. */
  readonly patients?: readonly [number, number]
}

/** Correlation of the times of one patient's restorations on the normal scale. */
const correlation = 0.5
const competingPerYear = 0.01
const longestYears = 7

/** Log rate ratio of one clinic like those of the scenario. */
function drawnLogRatio({ meanLogRatio, tauSquared }: GroupScenario, stream: RandomStream): number {
  return meanLogRatio + Math.sqrt(tauSquared) * stream.normal()
}

/**
 * Rows of one clinic: times are exponential with the clinic's rate, times its rate ratio for the group, and those of one
 * patient go together by a normal copula, so that the rate ratio over all patients is exactly that of the clinic.
 */
export function simulatedClinic(
  clinic: string,
  logRatio: number,
  protocol: Protocol,
  stream: RandomStream,
  [fewest, most]: readonly [number, number] = [60, 400],
): SiteRows {
  const rate = 0.04 * Math.exp(0.3 * stream.normal())
  const patients = Math.round(fewest * (most / fewest) ** stream.uniform())
  const groupShare = 0.25 + 0.5 * stream.uniform()
  const last = protocol.gridDays[protocol.gridDays.length - 1]!
  const rows: { time: number; status: number; group: number; patient: number }[] = []
  for (let patient = 0; patient < patients; patient++) {
    const shared = stream.normal()
    const usual = stream.uniform() < groupShare ? 1 : 0
    const followed = daysPerYear * (0.5 + (longestYears - 0.5) * stream.uniform())
    const restorations = [1, 1, 1, 1, 1, 1, 2, 2, 3, 4][stream.index(10)]!
    for (let k = 0; k < restorations; k++) {
      const group = stream.uniform() < 0.8 ? usual : 1 - usual
      const normal = Math.sqrt(correlation) * shared + Math.sqrt(1 - correlation) * stream.normal()
      const hazard = rate * Math.exp(group * logRatio)
      const event = (-Math.log(normalUpperTail(normal)) / hazard) * daysPerYear
      const competing = (stream.exponential() / competingPerYear) * daysPerYear
      const end = Math.min(followed, last)
      const time = Math.min(event, competing, end)
      const status = time === end ? 0 : time === event ? 1 : 2
      rows.push({ time: Math.ceil(time), status, group, patient })
    }
  }
  const timeDays = Float64Array.from(rows, ({ time }) => time)
  return {
    clinics: [clinic],
    n: rows.length,
    clinic: new Int32Array(rows.length),
    timeDays,
    foundDays: timeDays,
    clearDays: timeDays,
    entryDays: new Float64Array(rows.length).fill(-1),
    status: Uint8Array.from(rows, ({ status }) => status),
    group: Uint8Array.from(rows, ({ group }) => group),
    patient: Int32Array.from(rows, ({ patient }) => patient),
    measured: new Uint8Array(rows.length).fill(1),
    covariates: [],
  }
}

const seed = 20261129
const plannedSamples = 400

const scenarios: readonly GroupScenario[] = [5, 12, 40].flatMap((clinics) =>
  [0, 0.2, 0.5].map((tau) => ({
    clinics,
    meanLogRatio: Math.log(0.7),
    tauSquared: tau * tau,
    patients: [20, 300] as const,
  })),
)

/** What one group gave. */
interface Sample {
  readonly pooled: SimulatedInterval | undefined
  readonly between: SimulatedInterval | undefined
  readonly tau: number | undefined
  readonly verdict: string
}

const agreed = readProtocol(JSON.stringify(exampleProtocol))
const layout = layoutOf(agreed.protocol)

export const studyGroupStudy: SimulationStudy = Object.freeze({
  name: 'study-group',
  question: 'Do the intervals of groups of 5, 12 and 40 practices that share masked sums hold the truth?',
  page: 'docs/verification/study-group.md',
  run: ({ replicates = plannedSamples, onProgress }: StudyRun) => {
    const rows = scenarios.flatMap((scenario, index) => {
      const samples: Sample[] = []
      for (let sample = 0; sample < replicates; sample++) {
        onProgress('pooling groups', (index + sample / replicates) / scenarios.length)
        samples.push(sampleOf(scenario, index * 100_000 + sample))
      }
      return rowsOf(scenario, samples)
    })
    return Promise.resolve(
      [
        `${replicates} groups a scenario, seed ${seed}; ± Monte Carlo standard error. Log hazard ratios; truth is the mean of the practices. Above, below: intervals wholly above or below the truth. The last two columns: mean of the estimated τ, and share of groups with a verdict in one direction.`,
        '',
        `| practices | τ | interval ${performanceHeads.trimEnd()} mean τ | direction % |`,
        `|---:|---:|---${performanceRule.trimEnd()}---:|---:|`,
        ...rows,
      ].join('\n'),
    )
  },
})

function sampleOf(scenario: GroupScenario, streamNumber: number): Sample {
  const stream = randomStream(seed, streamNumber)
  const { protocol } = agreed
  const endpoint = protocol.endpoints[0]!
  const sums = added(
    Array.from({ length: scenario.clinics }, (_one, c) => {
      const logRatio = drawnLogRatio(scenario, stream)
      const rows = simulatedClinic(`clinic ${c}`, logRatio, protocol, stream, scenario.patients)
      const own = numbersOfParts({ [endpoint]: partsOfRows(rows, protocol) }, protocol).sums
      return fromWholeNumbers(wholeNumbers(own, layout), layout)
    }),
  )
  const result = pooledResult(sums, agreed, {
    route: 'sums',
    sites: Array.from({ length: scenario.clinics }, (_one, c) => ({ name: `clinic ${c}`, open: false })),
    generated: true,
  })
  const { comparison, between, verdict } = result.endpoints[0]!
  const { estimate, interval, standardError } = comparison.hazardRatio
  const log = isNumber(estimate) ? Math.log(estimate) : undefined
  return {
    pooled: onLogScale(log, standardError?.value, interval),
    between:
      between.state === 'estimated' ? onLogScale(log, between.standardError, between.interval) : undefined,
    tau: between.state === 'estimated' ? between.tau : undefined,
    verdict: verdict.verdict,
  }
}

function onLogScale(
  log: number | undefined,
  error: number | undefined,
  { lower, upper }: { readonly lower: unknown; readonly upper: unknown },
): SimulatedInterval | undefined {
  if (log === undefined || typeof lower !== 'number' || typeof upper !== 'number') return undefined
  const width = Math.log(upper / lower) / (2 * normalUpperQuantile(0.025))
  return intervalOf(log, error ?? width, Math.log(lower), Math.log(upper))
}

function rowsOf(scenario: GroupScenario, samples: readonly Sample[]): readonly string[] {
  const taus = samples.flatMap(({ tau }) => tau ?? [])
  const directions = samples.filter(({ verdict }) => verdict === 'lower' || verdict === 'higher').length
  const row = (
    name: string,
    read: (sample: Sample) => SimulatedInterval | undefined,
    last: string,
  ): readonly string[] => {
    const found = samples.flatMap((sample) => read(sample) ?? [])
    if (found.length === 0) return []
    const cells = performanceCells(intervalPerformance(scenario.meanLogRatio, found), 3)
    return [`| ${scenario.clinics} | ${Math.sqrt(scenario.tauSquared)} | ${name} ${cells.trimEnd()} ${last}`]
  }
  const tau = taus.length === 0 ? '–' : simulatedMean(taus).mean.toFixed(2)
  const direction = ((100 * directions) / samples.length).toFixed(1)
  return [
    ...row('pooled, robust by patient', ({ pooled }) => pooled, `– | ${direction} |`),
    ...row('allowing for practices that differ', ({ between }) => between, `${tau} | ${direction} |`),
  ]
}
