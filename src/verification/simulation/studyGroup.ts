import { isNumber } from '../../core/estimate.js'
import { randomStream } from '../../core/random.js'
import { pooledResult } from '../../pooling/coordinator/groupResult.js'
import { added } from '../../pooling/coordinator/poolRows.js'
import { fromWholeNumbers, layoutOf, wholeNumbers } from '../../pooling/protocol/layout.js'
import { exampleProtocol, readProtocol } from '../../pooling/protocol/protocol.js'
import { numbersOfParts } from '../../pooling/site/numbers.js'
import { partsOfRows } from '../../pooling/site/siteSums.js'
import { normalUpperQuantile } from '../../statistics/numeric/distributions.js'
import { intervalPerformance, type SimulatedInterval } from './intervalPerformance.js'
import { drawnLogRatio, type GroupScenario, simulatedClinic } from './simulatedGroup.js'
import {
  intervalOf,
  performanceCells,
  performanceHeads,
  performanceRule,
  simulatedMean,
} from './simulatedShares.js'
import type { SimulationStudy, StudyRun } from './study.js'

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
