import { type RandomStream, randomStream } from '../../core/random.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import { imputeChained } from '../../statistics/imputation/chainedEquations.js'
import { poolEstimates } from '../../statistics/imputation/rubinsRules.js'
import { intervalPerformance, type SimulatedInterval } from './intervalPerformance.js'
import {
  intervalOf,
  percent,
  performanceCells,
  performanceHeads,
  performanceRule,
} from './simulatedShares.js'
import type { SimulationStudy, StudyRun } from './study.js'

const seed = 20260311
const plannedSamples = 300
const rowsOfSample = 400
const imputations = 10
const truth = -0.5

/** How much less often a value is missing, on the logit scale, where the event was observed. */
const scenarios = [
  { name: 'covariates', fewerWithEvent: 0 },
  { name: 'covariates and event', fewerWithEvent: 1.2 },
] as const

const methods = ['without holes', 'complete cases', 'imputed'] as const

interface Columns {
  readonly time: readonly number[]
  readonly event: readonly number[]
  readonly group: readonly number[]
  /** Binary and numeric covariate; NaN where missing. */
  readonly binary: readonly number[]
  readonly numeric: readonly number[]
}

interface Drawn {
  readonly whole: Columns
  readonly holed: Columns
}

/** Intervals in the order of the methods, and the share of rows with a hole. */
interface Sample {
  readonly intervals: readonly (SimulatedInterval | undefined)[]
  readonly holes: number
}

export const missingCovariatesStudy: SimulationStudy = Object.freeze({
  name: 'imputation',
  question:
    'Does the adjusted hazard ratio pooled over imputed tables hold the truth, and do complete cases?',
  page: 'docs/verification/imputation.md',
  run: ({ replicates = plannedSamples, onProgress }: StudyRun) => {
    const rows = scenarios.flatMap(({ name, fewerWithEvent }, index) => {
      const samples = Array.from({ length: replicates }, (_, sample) => {
        onProgress('missing covariates', (index + sample / replicates) / scenarios.length)
        const stream = randomStream(seed, index * 100_000 + sample)
        return sampleOf(drawnColumns(fewerWithEvent, stream), sample)
      })
      const holes = samples.reduce((sum, one) => sum + one.holes, 0) / replicates
      return methods.map((method, m) => {
        const answered = samples.flatMap(({ intervals }) => intervals[m] ?? [])
        const cells = performanceCells(intervalPerformance(truth, answered), 3)
        return `| ${name} | ${percent(holes)} | ${method} ${cells}`
      })
    })
    return Promise.resolve(
      [
        `${replicates} samples a scenario, seed ${seed}, ${rowsOfSample} rows, ${imputations} tables; log hazard ratio; ± Monte Carlo standard error. Above, below: intervals wholly above or below the truth.`,
        '',
        `| holes depend on | rows with a hole % | method ${performanceHeads}`,
        `|---|---:|---${performanceRule}`,
        ...rows,
      ].join('\n'),
    )
  },
})

function drawnColumns(fewerWithEvent: number, stream: RandomStream): Drawn {
  const rows = Array.from({ length: rowsOfSample }, () => {
    const group = stream.uniform() < 0.5 ? 1 : 0
    const binary = stream.uniform() < chance(-0.3 + 0.6 * group) ? 1 : 0
    const numeric = 0.4 * group + 0.5 * binary + stream.normal()
    const hazard = 0.05 * Math.exp(truth * group + 0.6 * binary + 0.5 * numeric)
    const end = 2 + 6 * stream.uniform()
    const time = stream.exponential() / hazard
    const event = time <= end ? 1 : 0
    const holeInBinary = stream.uniform() < 0.5
    const seen = holeInBinary ? numeric : binary
    const hole = stream.uniform() < chance(-0.6 + 0.8 * group + 0.6 * seen - fewerWithEvent * event)
    return {
      time: Math.min(time, end),
      event,
      group,
      binary,
      numeric,
      binarySeen: hole && holeInBinary ? Number.NaN : binary,
      numericSeen: hole && !holeInBinary ? Number.NaN : numeric,
    }
  })
  const shared = {
    time: rows.map((row) => row.time),
    event: rows.map((row) => row.event),
    group: rows.map((row) => row.group),
  }
  return {
    whole: { ...shared, binary: rows.map((row) => row.binary), numeric: rows.map((row) => row.numeric) },
    holed: {
      ...shared,
      binary: rows.map((row) => row.binarySeen),
      numeric: rows.map((row) => row.numericSeen),
    },
  }
}

function sampleOf({ whole, holed }: Drawn, imputationSeed: number): Sample {
  const complete = completeRows(holed)
  const pooled = pooledOver(holed, imputationSeed)
  return {
    intervals: [fitted(whole), fitted(complete), pooled],
    holes: 1 - complete.time.length / whole.time.length,
  }
}

/** Ratio of the group, the first covariate of the model. */
function groupRatio({ time, event, group, binary, numeric }: Columns) {
  return coxRegression({ time, event }, { group, binary, numeric }).hazardRatios[0]!
}

function fitted(columns: Columns): SimulatedInterval | undefined {
  const { logHazardRatio, standardError, interval } = groupRatio(columns)
  const { lower, upper } = interval
  if (typeof lower !== 'number' || typeof upper !== 'number') return undefined
  return intervalOf(logHazardRatio, standardError?.value, Math.log(lower), Math.log(upper))
}

function completeRows(columns: Columns): Columns {
  const kept = (column: readonly number[]): number[] =>
    column.filter((_, row) => !Number.isNaN(columns.binary[row]! + columns.numeric[row]!))
  return {
    time: kept(columns.time),
    event: kept(columns.event),
    group: kept(columns.group),
    binary: kept(columns.binary),
    numeric: kept(columns.numeric),
  }
}

function pooledOver(columns: Columns, imputationSeed: number): SimulatedInterval | undefined {
  const { time, event, group } = columns
  const { tables } = imputeChained(
    {
      group: { kind: 'binary', values: group },
      binary: { kind: 'binary', values: columns.binary },
      numeric: { kind: 'numeric', values: columns.numeric },
    },
    { seed: imputationSeed, imputations, outcome: { timeDays: time, eventObserved: event } },
  )
  const ratios = tables.map((table) =>
    groupRatio({
      time,
      event,
      group,
      binary: table.binary as readonly number[],
      numeric: table.numeric as readonly number[],
    }),
  )
  const errors = ratios.flatMap((ratio) => ratio.standardError?.value ?? [])
  if (errors.length < ratios.length) return undefined
  const { estimate, standardError, interval } = poolEstimates(
    ratios.map((ratio) => ratio.logHazardRatio),
    errors,
  )
  return intervalOf(estimate, standardError, interval.lower, interval.upper)
}

function chance(logit: number): number {
  return 1 / (1 + Math.exp(-logit))
}
