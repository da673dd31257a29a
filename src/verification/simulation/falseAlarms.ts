import { type RandomStream, randomStream } from '../../core/random.js'
import {
  casesBetweenChart,
  daysBetweenChart,
  ewmaChart,
  funnelPlot,
  limitForRunLength,
  riskAdjustedChart,
} from '../../statistics/monitoring/index.js'
import { binomialQuantile } from '../../statistics/numeric/distributions.js'
import { type SimulatedMean, simulatedMean } from './simulatedShares.js'
import type { SimulationStudy, StudyRun } from './study.js'

const seed = 20260321
const plannedSamples = 2000
/** A chart of many cases each: fewer samples do. */
const plannedCumulativeCharts = 60
const wantedRunLength = 500
const newCases = 50_000
const followed = 200
const risk = 0.02
const unitRisk = 0.05

/** One line of the table: shares in per cent, or cases for each signal. */
interface Line {
  readonly chart: string
  readonly measure: string
  readonly design: string
  readonly found: SimulatedMean
  readonly digits: number
}

export const falseAlarmsStudy: SimulationStudy = Object.freeze({
  name: 'false-alarms',
  question:
    'Where nothing changes and all units are alike, do charts and funnels signal as often as designed?',
  page: 'docs/verification/false-alarms.md',
  run: ({ replicates, onProgress }: StudyRun) => {
    const samples = replicates ?? plannedSamples
    const charts = Math.min(Math.max(3, Math.ceil(samples / 30)), plannedCumulativeCharts)
    const lines = [
      ...cumulativeLines(charts, (share) => onProgress('cumulative charts', share)),
      ...movingAverageLines(samples),
      ...betweenEventsLines(samples),
      ...funnelLines(samples),
    ]
    onProgress('false alarms', 1)
    return Promise.resolve(
      [
        `${samples} samples (${charts} of the cumulative chart), seed ${seed}; ± Monte Carlo standard error.`,
        '',
        '| chart | measure | design | found |',
        '|---|---|---:|---:|',
        ...lines.map(
          ({ chart, measure, design, found, digits }) =>
            `| ${chart} | ${measure} | ${design} | ${found.mean.toFixed(digits)} ± ${found.error.toFixed(digits)} |`,
        ),
      ].join('\n'),
    )
  },
})

function cumulativeLines(samples: number, onProgress: (share: number) => void): readonly Line[] {
  const found = Array.from({ length: samples }, (_, sample) => {
    onProgress(sample / samples)
    const stream = randomStream(seed, sample)
    const past = Float64Array.from({ length: 300 }, () =>
      Math.min(0.5, 0.05 * Math.exp(0.6 * stream.normal())),
    )
    const { limit } = limitForRunLength(past, wantedRunLength, { seed: sample })
    const risks = Float64Array.from({ length: newCases }, () => past[stream.index(past.length)]!)
    const events = risks.map((one) => (stream.uniform() < one ? 1 : 0))
    const { signals } = riskAdjustedChart(events, risks, limit, { restart: true })
    return newCases / Math.max(1, signals.length)
  })
  const chart = 'cumulative, limit by simulation'
  return [
    {
      chart,
      measure: 'cases for each signal',
      design: String(wantedRunLength),
      found: simulatedMean(found),
      digits: 0,
    },
  ]
}

function movingAverageLines(samples: number): readonly Line[] {
  return ([undefined, 20, 100] as const).map((baseline, index) => {
    const shares = Array.from({ length: samples }, (_, sample) => {
      const stream = randomStream(seed, 100_000 * (index + 1) + sample)
      const first = baseline ?? 0
      const readings = Float64Array.from({ length: first + followed }, () => stream.normal())
      const options = baseline === undefined ? { centre: 0, standardDeviation: 1 } : { baseline }
      return shareOf(ewmaChart(readings, options).signals.filter((at) => at > first).length, followed)
    })
    const chart = `moving average, ${baseline === undefined ? 'centre and spread known' : `${baseline} baseline readings`}`
    return percentLine(chart, 'readings outside', '0.27%', shares)
  })
}

function betweenEventsLines(samples: number): readonly Line[] {
  return [25, 200].flatMap((baseline, index) => {
    const after = (positions: readonly number[]): number =>
      shareOf(positions.filter((at) => at > baseline).length, followed)
    const drawn = Array.from({ length: samples }, (_, sample) => {
      const stream = randomStream(seed, 100_000 * (index + 4) + sample)
      const length = baseline + followed
      const gaps = Float64Array.from({ length }, () => Math.floor(stream.exponential() / -Math.log1p(-risk)))
      const days = Float64Array.from({ length }, () => stream.exponential() * 30)
      return { cases: casesBetweenChart(gaps, { baseline }), days: daysBetweenChart(days, { baseline }) }
    })
    const cases = `cases between events, ${baseline} baseline gaps`
    const days = `days between events, ${baseline} baseline gaps`
    const line = (chart: string, measure: string, design: string, read: (one: (typeof drawn)[0]) => number) =>
      percentLine(chart, measure, design, drawn.map(read))
    return [
      line(cases, 'gaps above 3 standard deviations', 'none', (one) => after(one.cases.above)),
      line(cases, 'gaps above the upper probability limit', '0.135%', (one) =>
        after(one.cases.aboveProbabilityLimit),
      ),
      line(cases, 'gaps below the lower probability limit', '0.135%', (one) =>
        after(one.cases.belowProbabilityLimit),
      ),
      line(days, 'gaps above the limit', '0.135%', (one) => after(one.days.above)),
      line(days, 'gaps below the limit', '0.135%', (one) => after(one.days.below)),
    ]
  })
}

function funnelLines(samples: number): readonly Line[] {
  const layouts = [
    { units: 20, smallest: 100, largest: 1000 },
    { units: 20, smallest: 10, largest: 60 },
    { units: 8, smallest: 10, largest: 60 },
  ]
  return layouts.flatMap((layout, index) => {
    const drawn = Array.from({ length: samples }, (_, sample) =>
      outsideFunnel(layout, randomStream(seed, 100_000 * (index + 6) + sample)),
    )
    const chart = `funnel, ${layout.units} units of ${layout.smallest} to ${layout.largest} cases`
    return [
      percentLine(
        chart,
        'units outside the inner limits',
        '5%',
        drawn.map(({ inner }) => inner),
      ),
      percentLine(
        chart,
        'units outside the outer limits',
        '0.2%',
        drawn.map(({ outer }) => outer),
      ),
    ]
  })
}

/** Shares of units outside the inner limits (the outer ones included) and the outer ones. */
function outsideFunnel(
  { units, smallest, largest }: { units: number; smallest: number; largest: number },
  stream: RandomStream,
): { inner: number; outer: number } {
  const sizes = Array.from({ length: units }, () =>
    Math.round(smallest * (largest / smallest) ** stream.uniform()),
  )
  const events = sizes.map((size) => binomialQuantile(stream.uniform(), size, unitRisk))
  // Without any event in any unit there is no target and so no funnel: nobody is outside it.
  if (events.every((count) => count === 0)) return { inner: 0, outer: 0 }
  const positions = funnelPlot(events, sizes).units.map(({ position }) => position)
  return {
    inner: shareOf(positions.filter((one) => one !== 'within').length, units),
    outer: shareOf(positions.filter((one) => one.endsWith('outer')).length, units),
  }
}

function percentLine(chart: string, measure: string, design: string, shares: readonly number[]): Line {
  const found = simulatedMean(shares.map((share) => 100 * share))
  return { chart, measure: `${measure}, %`, design: design.replace('%', ''), found, digits: 3 }
}

function shareOf(part: number, whole: number): number {
  return part / whole
}
