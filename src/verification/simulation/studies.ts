import { defaultSettings } from '../../analysis/settings.js'
import { buildCohort, type Cohort } from '../../cohort/cohort.js'
import { recordsUntil } from '../../cohort/recordsUntil.js'
import { dayNumber, daysPerYear } from '../../core/calendar.js'
import { formatNumber } from '../../core/format.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import { type NeededResult, whatIsNeeded } from '../../questions/needed/answer.js'
import type { RecordSet } from '../../records/dataset.js'
import {
  casesBetweenChart,
  daysBetweenChart,
  ewmaChart,
  funnelPlot,
  limitForRunLength,
  riskAdjustedChart,
} from '../../statistics/monitoring.js'
import { binomialQuantile } from '../../statistics/numeric/distributions.js'
import { clusteredIntervalsStudy } from './clusteredIntervals.js'
import { demoCoverageStudy } from './demoCoverage.js'
import { looksStudy } from './looks.js'
import { measuredConfoundingStudy } from './measuredConfounding.js'
import { type MemoryRow, memoryRecords } from './memoryRecords.js'
import { missingCovariatesStudy } from './missingCovariates.js'
import { randomEffectsStudy } from './randomEffects.js'
import { type SimulatedMean, simulatedMean } from './simulatedShares.js'
import type { SimulationStudy, StudyRun } from './study.js'
import { studyGroupStudy } from './studyGroup.js'

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

/** A practice that goes on steadily, for studies of watching and planning (docs/verification). */
export interface SteadyPractice {
  readonly crownsPerYear: number
  readonly years: number
  /** Risk of loosening by 3 years of a patient of average frailty. */
  readonly risk: number
  /** Variance of the gamma frailty that the crowns of a patient share. */
  readonly frailtyVariance: number
  readonly lossPerYear: number
  readonly shareRepeated: number
  /** Share of scheduled checks that are kept, by years since the first delivery; default all. */
  readonly attendance?: (year: number) => number
  /** Years since the first delivery from which deliveries have twice the hazard; default never. */
  readonly doubledFrom?: number
}

const shape = 0.8
const patientsPerCrown = 1 / 1.5
const felt = 1 / 3

/** First day of delivery of every such practice. */
const firstDelivery = dayNumber(2000, 1, 3)!

/** Draws such a practice with everything that is ever recorded of it; what is known on a day gives `recordsUntil`. */
function steadyPractice(practice: SteadyPractice, random: RandomStream): RecordSet {
  const restorations: MemoryRow[] = []
  const tightenings: MemoryRow[] = []
  const visits: MemoryRow[] = []
  const { crownsPerYear, years, frailtyVariance } = practice
  const patients = Math.round(crownsPerYear * years * patientsPerCrown)
  for (let patient = 0; patient < patients; patient++) {
    const frailty = frailtyVariance > 0 ? random.gamma(1 / frailtyVariance) * frailtyVariance : 1
    const came = Math.floor(years * daysPerYear * random.uniform())
    const lost = (daysPerYear * random.exponential()) / practice.lossPerYear
    const operator = random.index(4)
    const u = random.uniform()
    const count = u < 0.6 ? 1 : u < 0.9 ? 2 : 3
    for (let k = 0; k < count; k++) {
      const id = `P${patient}R${k}`
      const repeated = random.uniform() < practice.shareRepeated
      restorations.push({
        restoration_id: id,
        patient_id: `P${patient}`,
        clinic_id: 'clinic',
        operator_id: `operator_${operator}`,
        delivery_date: firstDelivery + came,
        restoration_type: 'single_crown',
        connection: 'internal_hex',
        tightening_reason: 'operator_choice',
      })
      tightenings.push(tightening(id, 0))
      if (repeated) tightenings.push(tightening(id, 12))
      const scale =
        (-Math.log1p(-practice.risk) / 3 ** shape) *
        frailty *
        (came / daysPerYear >= (practice.doubledFrom ?? Number.POSITIVE_INFINITY) ? 2 : 1)
      const loose = daysPerYear * (random.exponential() / scale) ** (1 / shape)
      follow(practice, random, { id, came, loose, last: Math.min(lost, years * daysPerYear - came) }, visits)
    }
  }
  return memoryRecords({ restorations, tightenings, visits }, 'simulated: steady practice')
}

function tightening(id: string, minutes: number): MemoryRow {
  return {
    restoration_id: id,
    minutes_since_first: minutes,
    days_since_delivery: 0,
    context: 'delivery',
    action: minutes === 0 ? 'tighten' : 'tighten_again',
  }
}

function follow(
  { attendance = () => 1 }: SteadyPractice,
  random: RandomStream,
  crown: { readonly id: string; readonly came: number; readonly loose: number; readonly last: number },
  visits: MemoryRow[],
): void {
  const { id, came, loose, last } = crown
  const call =
    random.uniform() < felt ? Math.ceil(loose + 21 * random.exponential()) : Number.POSITIVE_INFINITY
  for (let recall = 1; ; recall++) {
    const check = Math.max(1, Math.round(recall * daysPerYear + 20 * random.normal()))
    const kept = random.uniform() < attendance((came + check) / daysPerYear)
    const day = Math.min(check, call)
    if (day > last) return
    if (day === check && call > check && !kept) continue
    visits.push({
      restoration_id: id,
      days_since_delivery: day,
      visit_type: day === check ? 'scheduled' : 'unscheduled',
      screw_checked: 'yes',
      finding: loose <= day ? 'screw_loosening' : 'none',
      restoration_status: 'in_place',
    })
    if (loose <= day) return
  }
}

interface Setting {
  readonly name: string
  readonly practice: SteadyPractice
  /** Years since the first delivery at which is planned. */
  readonly now: number
}

/** Years from the day of planning to the day on which the width is looked at. */
const ahead = 3

const usual: SteadyPractice = {
  crownsPerYear: 300,
  years: 12,
  risk: 0.1,
  frailtyVariance: 0.5,
  lossPerYear: 0.04,
  shareRepeated: 0.5,
}

/** The settings that docs/verification/planning-own-records.md states. */
export const planningSettings: readonly Setting[] = [
  { name: 'many events', practice: usual, now: 5 },
  { name: 'few events', practice: { ...usual, crownsPerYear: 100, risk: 0.06 }, now: 5 },
  { name: 'likeness', practice: { ...usual, crownsPerYear: 200, frailtyVariance: 2 }, now: 5 },
  { name: 'loss', practice: { ...usual, crownsPerYear: 200, lossPerYear: 0.15 }, now: 5 },
  { name: 'overlap 90:10', practice: { ...usual, shareRepeated: 0.9 }, now: 5 },
  { name: 'short follow-up', practice: usual, now: 2.5 },
]

/** Width reached over width foretold, for the risk and for the comparison. */
export interface WidthReached {
  readonly risk?: number
  readonly comparison?: number
}

/** Plans in a practice on one day, and looks three years later. */
export function widthReached({ practice, now }: Setting, seed: number, replicate: number): WidthReached {
  const records = steadyPractice(practice, randomStream(seed, replicate))
  const answerOn = (years: number): NeededResult =>
    whatIsNeeded(cohortOn(years), defaultSettings, { resamples: 1 })
  const cohortOn = (years: number): Cohort =>
    buildCohort(recordsUntil(records, firstDelivery + Math.floor(years * daysPerYear)))
  const planned = answerOn(now)
  const later = answerOn(now + ahead)
  const foretold = planned.scenarios[0]!.course[ahead]!
  const own = planned.scenarios[0]!.own
  return {
    ...(own && foretold.risk !== undefined && later.halfWidthNow !== undefined
      ? { risk: later.halfWidthNow / foretold.risk }
      : {}),
    ...(own && foretold.comparison !== undefined && later.comparisonNow !== undefined
      ? { comparison: later.comparisonNow.halfWidth / foretold.comparison }
      : {}),
  }
}

/** Median of numbers; undefined of none. */
function median(values: readonly number[]): number | undefined {
  const sorted = [...values].sort((one, two) => one - two)
  return sorted[sorted.length >> 1]
}

/** Is the interval as narrow as was foretold? */
const planningOwnRecordsStudy: SimulationStudy = {
  name: 'planning-own-records',
  question: 'Is the interval as narrow on a later day as holdfast needed foretold?',
  page: 'docs/verification/planning-own-records.md',
  run: async ({ replicates = 40, onProgress }: StudyRun) => {
    const rows = planningSettings.map((setting, s) => {
      const found = Array.from({ length: replicates }, (_one, replicate) => {
        onProgress(setting.name, replicate / replicates)
        return widthReached(setting, 20260101 + s, replicate)
      })
      const shown = (side: 'risk' | 'comparison'): string => {
        const own = found.flatMap((one) => one[side] ?? [])
        const middle = median(own)
        return `${middle === undefined ? '–' : formatNumber(middle, 2)} (${own.length})`
      }
      return `| ${setting.name} | ${shown('risk')} | ${shown('comparison')} |`
    })
    return [
      '| setting | risk: reached over foretold, median (practices) | comparison |',
      '|---|---|---|',
      ...rows,
    ].join('\n')
  },
}

/** Every simulation study, in the order in which they run. A new study adds its file and a line here. */
export const simulationStudies: readonly SimulationStudy[] = Object.freeze([
  demoCoverageStudy,
  looksStudy,
  clusteredIntervalsStudy,
  measuredConfoundingStudy,
  missingCovariatesStudy,
  falseAlarmsStudy,
  randomEffectsStudy,
  studyGroupStudy,
  planningOwnRecordsStudy,
])
