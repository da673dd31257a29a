import { max } from 'simple-statistics'
import type { Cohort } from '../../cohort/cohort.js'
import type { TorqueApplication } from '../../cohort/torqueRecords.js'
import { driftOfReadings, type QuarterMean } from '../../statistics/monitoring/driftOfReadings.js'

/** What can be said of one device. */
export type DeviceState = 'drifting' | 'steady' | 'too-few' | 'setting-only' | 'own-reading'

/** One torque device over time. */
export interface WatchedDevice {
  readonly device: string
  readonly state: DeviceState
  /** Uses with a target and a torque read by another instrument. */
  readonly readings: number
  /** Share of readings that are the target itself. */
  readonly copies: number
  /** Whether so many are that no size is given. */
  readonly sizeWithheld: boolean
  readonly periods: number
  readonly slopePerYear?: number
  readonly change?: number
  readonly pValue?: number
  readonly onsetDay?: number
  readonly beyondDay?: number
  readonly lastDeviation?: number
  /** Means of quarters, deviation from the target as a share; for the picture. */
  readonly quarters: readonly (QuarterMean & { readonly year: number })[]
  /** Days since the last calibration at the last use; absent where none is recorded. */
  readonly lastCalibrationDays?: number
  /** Longest time since a calibration at a use. */
  readonly longestCalibrationDays?: number
  /** Restorations tightened from the day on which the fitted line left the tolerance. */
  readonly restorationsBeyond: number
}

/** Share of readings equal to the target above which the size of a drift is withheld; common practice, no source. */
const mostCopies = 0.2

/** Fewest readings of which anything is said. */
const leastReadings = 12

/** Every torque device that is named, in the order of the names. */
export function watchedDevices(cohort: Cohort): readonly WatchedDevice[] {
  const { read } = cohort.torqueRecords()
  const byDevice = new Map<string, number[]>()
  for (let at = 0; at < read.length; at++) {
    const { device, calendarDay } = read.at(at)
    if (device === undefined || calendarDay === undefined) continue
    const own = byDevice.get(device)
    if (own === undefined) byDevice.set(device, [at])
    else own.push(at)
  }
  // The uses of one device are gone before those of the next are read.
  return [...byDevice]
    .sort(([one], [two]) => (one < two ? -1 : 1))
    .map(([device, own]) =>
      watched(
        device,
        own.map((at) => read.at(at)),
      ),
    )
}

type Read = TorqueApplication & {
  readonly targetNcm: number
  readonly achievedNcm: number
  readonly calendarDay: number
}

function watched(device: string, uses: readonly TorqueApplication[]): WatchedDevice {
  const read = uses.filter(
    (one): one is Read =>
      one.targetNcm !== undefined &&
      one.targetNcm > 0 &&
      one.achievedNcm !== undefined &&
      one.calendarDay !== undefined,
  )
  const byAnother = read.filter(
    ({ readingInstrument }) => readingInstrument !== undefined && readingInstrument !== device,
  )
  const copied = (among: readonly Read[]): number =>
    among.filter(({ targetNcm, achievedNcm }) => targetNcm === achievedNcm).length / Math.max(1, among.length)
  const ages = uses.flatMap(({ daysSinceCalibration }) =>
    daysSinceCalibration === undefined || daysSinceCalibration < 0 ? [] : [daysSinceCalibration],
  )
  const last = [...uses].sort((one, two) => one.calendarDay! - two.calendarDay!).at(-1)?.daysSinceCalibration
  const copies = copied(byAnother.length > 0 ? byAnother : read)
  const base = {
    device,
    readings: byAnother.length,
    copies,
    sizeWithheld: copies > mostCopies,
    restorationsBeyond: 0,
    ...(last === undefined || last < 0 ? {} : { lastCalibrationDays: last }),
    ...(ages.length === 0 ? {} : { longestCalibrationDays: max(ages) }),
  }
  const nothing = { periods: 0, quarters: [] }
  if (read.length > 0 && copies === 1) return { ...base, ...nothing, state: 'setting-only' }
  if (byAnother.length === 0)
    return { ...base, ...nothing, state: read.length === 0 ? 'too-few' : 'own-reading' }
  if (byAnother.length < leastReadings) return { ...base, ...nothing, state: 'too-few' }
  const { verdict, quarters, periods, slopePerYear, change, pValue, onsetDay, beyondDay, lastDeviation } =
    driftOfReadings({
      day: byAnother.map(({ calendarDay }) => calendarDay),
      deviation: byAnother.map(({ targetNcm, achievedNcm }) => achievedNcm / targetNcm - 1),
      calibration: byAnother.map(({ calendarDay, daysSinceCalibration }) =>
        daysSinceCalibration === undefined || daysSinceCalibration < 0
          ? Number.NaN
          : calendarDay - daysSinceCalibration,
      ),
    })
  const sizes = base.sizeWithheld ? {} : { slopePerYear, change, lastDeviation, beyondDay }
  const beyond =
    base.sizeWithheld || beyondDay === undefined
      ? 0
      : new Set(
          uses.filter(({ calendarDay }) => calendarDay! >= beyondDay).map(({ restoration }) => restoration),
        ).size
  return {
    ...base,
    state: verdict,
    periods: periods.length,
    quarters: quarters
      .map((one) => ({ ...one, year: 1970 + one.day / 365.2425 }))
      .sort((one, two) => one.day - two.day),
    ...present({ ...sizes, pValue, onsetDay: verdict === 'drifting' ? onsetDay : undefined }),
    restorationsBeyond: beyond,
  }
}

function present<Values extends object>(
  values: Values,
): { [Key in keyof Values]?: Exclude<Values[Key], undefined> } {
  return Object.fromEntries(Object.entries(values).filter(([, one]) => one !== undefined)) as never
}
