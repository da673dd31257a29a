import { buildCohort } from '../../cohort/cohort.js'
import { recordsUntil } from '../../cohort/recordsUntil.js'
import { daysPerYear } from '../../core/calendar.js'
import { formatNumber, formatPercent } from '../../core/format.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import { comparisonSettings } from '../../questions/comparison/settings.js'
import { defaultSettings } from '../../questions/plan/settings.js'
import { watchedExposure } from '../../questions/watching/exposure.js'
import { type NowBefore, nowAgainstBefore } from '../../questions/watching/nowBefore.js'
import { type DeviceReadings, driftOfReadings } from '../../statistics/monitoring/driftOfReadings.js'
import { firstDelivery, type SteadyPractice, steadyPractice } from './steadyPractice.js'
import type { SimulationStudy, StudyRun } from './study.js'

/** What happens after the five years of the baseline. */
export type WatchedChange = 'none' | 'doubled' | 'attendance-falls' | 'case-mix'

const baselineYears = 5
const watchedYears: Readonly<Record<WatchedChange, number>> = {
  none: 3,
  doubled: 6,
  'attendance-falls': 3,
  'case-mix': 3,
}

/** Sizes and practices of each that docs/verification/watching.md states. */
const sizes = [
  { crownsPerYear: 50, practices: 400, changed: 200 },
  { crownsPerYear: 200, practices: 400, changed: 200 },
  { crownsPerYear: 1000, practices: 400, changed: 100 },
] as const

/** Patients with bruxism come loose more often; in new deliveries their share rises from a tenth to four tenths. */
const changedCaseMix = {
  share: (year: number): number => (year < baselineYears ? 0.1 : 0.4),
  hazardRatio: 2.5,
}

/**
 * Watches a practice of known truth from the end of its baseline.
 *
 * @param adjustFor what the expectation allows for where it can; default what the comparison adjusts for
 */
export function watchedPractice(
  crownsPerYear: number,
  change: WatchedChange,
  replicate: number,
  adjustFor = comparisonSettings(defaultSettings).adjustFor,
): NowBefore {
  const years = baselineYears + watchedYears[change]
  const practice: SteadyPractice = {
    crownsPerYear,
    years,
    risk: 0.08,
    frailtyVariance: 0.5,
    lossPerYear: 0.04,
    shareRepeated: 0.5,
    attendance: (year) => (change === 'attendance-falls' && year >= years - 1 ? 0.5 : 0.9),
    ...(change === 'doubled' ? { doubledFrom: baselineYears } : {}),
    ...(change === 'case-mix' ? { bruxism: changedCaseMix } : {}),
  }
  const records = steadyPractice(practice, randomStream(20260202 + crownsPerYear, replicate))
  const end = firstDelivery + Math.floor(years * daysPerYear)
  const cohort = buildCohort(recordsUntil(records, end))
  const settings = {
    level: defaultSettings.level,
    seed: replicate,
    adjustFor,
  }
  return nowAgainstBefore(
    cohort,
    watchedExposure(cohort)!,
    settings,
    firstDelivery + Math.floor(baselineYears * daysPerYear),
  )
}

/** A device that is read by another instrument. */
export interface SimulatedDevice {
  /** Change of the deviation in a year, from the onset on. */
  readonly drift: number
  readonly onsetYear?: number
  /** Calibrated once a year, with a jump of so much either way. */
  readonly jump?: number
  /** Whether a calibration takes the drift away. */
  readonly reset?: boolean
}

const deviceYears = 6
const readingsPerYear = 150
const scatter = 0.03

/** Draws the readings of a device. */
export function deviceReadings(device: SimulatedDevice, random: RandomStream): DeviceReadings {
  const { drift, onsetYear = 0, jump, reset = false } = device
  const jumps = Array.from({ length: deviceYears }, () => (jump ?? 0) * (random.uniform() < 0.5 ? -1 : 1))
  const rows = Array.from({ length: readingsPerYear * deviceYears }, () => {
    const years = deviceYears * random.uniform()
    const period = Math.floor(years)
    const since = reset ? years - period : Math.max(0, years - onsetYear)
    return {
      day: Math.floor(years * daysPerYear),
      deviation: drift * since + jumps[period]! + scatter * random.normal(),
      calibration: jump === undefined ? Number.NaN : Math.floor(period * daysPerYear),
    }
  })
  return {
    day: rows.map((one) => one.day),
    deviation: rows.map((one) => one.deviation),
    calibration: rows.map((one) => one.calibration),
  }
}

/** Devices by name. */
export const simulatedDevices: readonly (SimulatedDevice & { readonly name: string })[] = [
  { name: '12 % over six years, never calibrated', drift: 0.02 },
  { name: '2 % a year after yearly calibration, jumps of 1 %', drift: 0.02, jump: 0.01, reset: true },
  { name: '4 % a year from the third year on', drift: 0.04, onsetYear: 3 },
  { name: 'steady, never calibrated', drift: 0 },
  { name: 'steady, yearly calibration', drift: 0, jump: 0 },
  { name: 'steady, yearly calibration, jumps of 1 %', drift: 0, jump: 0.01 },
]

/** Share found, and how near the size, the day past 6 % and the onset lie, of many such devices. */
export function devicesFound(device: SimulatedDevice, devices: number) {
  const truth = device.drift * (deviceYears - (device.onsetYear ?? 0))
  const beyond = (device.onsetYear ?? 0) + 0.06 / device.drift
  const found = Array.from({ length: devices }, (_one, k) =>
    driftOfReadings(deviceReadings(device, randomStream(20260203, k))),
  ).filter(({ verdict }) => verdict === 'drifting')
  const share = (holds: (one: (typeof found)[number]) => boolean): number =>
    found.length === 0 ? 0 : found.filter(holds).length / found.length
  return {
    found: found.length / devices,
    size: share(({ lastDeviation }) => Math.abs((lastDeviation ?? 1) - truth) <= 0.02),
    day: share(({ beyondDay }) => Math.abs((beyondDay ?? 1e9) / daysPerYear - beyond) <= 0.5),
    onset: share(({ onsetDay }) => Math.abs((onsetDay ?? 1e9) / daysPerYear - (device.onsetYear ?? 0)) <= 1),
  }
}

function median(values: readonly number[]): string {
  const sorted = [...values].sort((one, two) => one - two)
  const middle = sorted[sorted.length >> 1]
  return middle === undefined || !Number.isFinite(middle) ? 'more' : formatNumber(middle, 1)
}

/** Share of those watched of which something is read. */
function share(results: readonly NowBefore[], reading: NowBefore['reading']): string {
  const watched = results.filter(({ state }) => state === 'watched')
  return formatPercent(watched.filter((one) => one.reading === reading).length / Math.max(1, watched.length))
}

/** How often is watching wrong, and how soon is it right? */
export const watchingStudy: SimulationStudy = {
  name: 'watching',
  question: 'How often does holdfast watch give a false alarm, and how soon does it see a change?',
  page: 'docs/verification/watching.md',
  run: async ({ replicates, onProgress }: StudyRun) => {
    const all = (
      crownsPerYear: number,
      change: WatchedChange,
      count: number,
      adjustFor?: readonly string[],
    ): readonly NowBefore[] =>
      Array.from({ length: count }, (_one, replicate) => {
        onProgress(`${crownsPerYear} ${change}`, replicate / count)
        return watchedPractice(crownsPerYear, change, replicate, adjustFor)
      })
    const rows = sizes.map(({ crownsPerYear, practices, changed }) => {
      const [many, few] = [replicates ?? practices, replicates ?? changed]
      const none = all(crownsPerYear, 'none', many)
      const doubled = all(crownsPerYear, 'doubled', few)
      const falls = all(crownsPerYear, 'attendance-falls', few)
      const seen = doubled.map(({ watched, startDay }) =>
        watched?.signalDay === undefined
          ? Number.POSITIVE_INFINITY
          : (watched.signalDay - startDay) / daysPerYear,
      )
      const stated = none.map(({ watched }) => watched?.yearsToSee ?? Number.POSITIVE_INFINITY)
      const watched = none.filter(({ state }) => state === 'watched').length
      return `| ${crownsPerYear} (${many}, ${few}) | ${watched} | ${share(none, 'signal')} | ${median(seen)} | ${median(stated)} | ${share(none, 'better')} | ${share(falls, 'better')} | ${share(falls, 'looks-changed')} |`
    })
    const mixes = sizes.slice(1).map(({ crownsPerYear, changed }) => {
      const count = replicates ?? changed
      const adjusted = all(crownsPerYear, 'case-mix', count)
      const crude = all(crownsPerYear, 'case-mix', count, [])
      const allowed = adjusted.filter((one) => one.watched?.adjustedFor.includes('bruxism')).length
      return `| ${crownsPerYear} (${count}) | ${allowed} | ${share(adjusted, 'signal')} | ${share(crude, 'signal')} |`
    })
    const devices = simulatedDevices.map((device) => {
      const { found, size, day, onset } = devicesFound(device, 200)
      return `| ${device.name} | ${formatPercent(found)} | ${formatPercent(size)} | ${formatPercent(day)} | ${formatPercent(onset)} |`
    })
    return [
      '| crowns a year (practices; with a change) | watched | signal, nothing changed | years to see a doubling | printed | "better", nothing changed | "better", attendance falls | looks said to have changed |',
      '|---|---|---|---|---|---|---|---|',
      ...rows,
      '',
      '| crowns a year (practices) | bruxism allowed for | signal where only the case mix changes | with nothing allowed for |',
      '|---|---|---|---|',
      ...mixes,
      '',
      '| device | found | size within 2 points | day past 6 % within half a year | onset within a year |',
      '|---|---|---|---|---|',
      ...devices,
    ].join('\n')
  },
}
