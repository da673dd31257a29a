import { max } from 'simple-statistics'
import type { Cohort } from '../../cohort/cohort.js'
import { HoldfastError } from '../../core/errors.js'
import type { Estimate } from '../../core/estimate.js'
import { deviceAgreement } from '../../statistics/monitoring/deviceAgreement.js'
import { clusteredProportion } from '../../statistics/proportions/clusteredProportion.js'
import { answered } from '../answered.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'

/** How many tightenings lay within, over and under the tolerance, and the share within it. */
export interface WithinTolerance {
  readonly applications: number
  readonly within: number
  readonly over: number
  readonly under: number
  readonly shareWithin: Estimate
}

/** What one device reached. */
export interface DeviceTorque extends WithinTolerance {
  readonly device: string
  readonly type: string
  /** Longest time since calibration among its tightenings, in days; absent where no calibration is recorded. */
  readonly longestSinceCalibrationDays?: number
  /** Torque reached less torque aimed at; absent where there are fewer than 5 tightenings. */
  readonly deviation?: {
    readonly mean: Estimate
    /** Limits between which 95% of single deviations are expected. */
    readonly lowerLimit: Estimate
    readonly upperLimit: Estimate
  }
}

/** Days since the last calibration: up to 180, up to 365, more, or not known. */
export type CalibrationBand = 'half-year' | 'year' | 'older' | 'unknown'

/** Answer to "was the torque reached that was aimed at, and is the wrench drifting". */
export interface TorqueResult {
  readonly kind: 'torque'
  /** Tightenings on the day of delivery, and of those with both target and reached torque recorded. */
  readonly applications: number
  readonly restorations: number
  readonly tolerance: number
  readonly overall?: WithinTolerance
  /** What the share is clustered by: tightenings of one device are alike. */
  readonly clusteredBy: 'device' | 'patient'
  /** Share within the narrower tolerance that ISO 6789-1 sets for hand torque tools up to 10 N·m. */
  readonly strict?: WithinTolerance
  readonly strictTolerance: number
  readonly byDevice: readonly DeviceTorque[]
  readonly byCalibration: readonly (WithinTolerance & { readonly band: CalibrationBand })[]
  /** Tightenings with a torque of the instructions recorded, and of those aimed at another torque. */
  readonly withInstruction: number
  readonly offInstruction: number
  readonly level: number
}

/** Tolerance of the audit: a deviation of a tenth, as the checks of the records warn of; a convention. */
const torqueTolerance = 0.1

/** Tolerance of ISO 6789-1 for hand torque tools up to 10 N·m. */
const strictTorqueTolerance = 0.06

/** Fewest tightenings of a device of which limits of agreement are given. */
const leastForLimits = 5

/** Tightenings of the day of delivery with both target and reached torque recorded, in columns. */
interface Measured {
  readonly targetNcm: number[]
  readonly achievedNcm: number[]
  readonly patient: number[]
  readonly device: (string | undefined)[]
  readonly deviceType: (string | undefined)[]
  readonly daysSinceCalibration: (number | undefined)[]
}

/**
 * Whether the torque aimed at was reached at the tightenings of the delivery day, by device and by the age of its
 * calibration. All restorations of the types asked for count, followed up or not. Nothing is said of preload: it does
 * not follow from torque without a nut factor and a diameter.
 *
 * @param cohort cohort of the records in question
 * @param settings level; default `defaultSettings`
 * @returns undefined where no tightening of the delivery day is recorded
 * @example torqueAdherence(cohort).applications // => 1586
 */
export function torqueAdherence(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): TorqueResult | undefined {
  const { measured, applications, restorations, withInstruction, offInstruction } = deliveredOf(cohort)
  if (applications === 0) return undefined
  const { level } = settings
  const all = [...measured.patient.keys()]
  const byDevice = groupedByDevice(measured)
  const devices = [...byDevice.keys()].sort()
  const clusteredBy = devices.length > 1 ? 'device' : 'patient'
  const clusterOf = clusterReader(measured, clusteredBy === 'device' ? devices : [])
  const against = (tolerance: number): WithinTolerance =>
    withinTolerance(measured, all, tolerance, clusterOf, level)
  return answered<TorqueResult>(cohort, settings, {
    kind: 'torque' as const,
    applications,
    restorations,
    tolerance: torqueTolerance,
    ...(all.length === 0
      ? {}
      : { overall: against(torqueTolerance), strict: against(strictTorqueTolerance) }),
    clusteredBy,
    strictTolerance: strictTorqueTolerance,
    byDevice: devices.map((device) => deviceTorque(measured, device, byDevice.get(device)!, level)),
    byCalibration: byCalibration(measured, all, clusterOf, level),
    withInstruction,
    offInstruction,
    level,
  })
}

/** Reads the tightenings of the day of delivery once, and counts them; they come restoration by restoration. */
function deliveredOf(cohort: Cohort): Pick<
  TorqueResult,
  'applications' | 'restorations' | 'withInstruction' | 'offInstruction'
> & {
  readonly measured: Measured
} {
  const measured: Measured = {
    targetNcm: [],
    achievedNcm: [],
    patient: [],
    device: [],
    deviceType: [],
    daysSinceCalibration: [],
  }
  const counts = { applications: 0, restorations: 0, withInstruction: 0, offInstruction: 0 }
  let last = -1
  for (const one of cohort.torqueRecords().read) {
    if (!one.onDelivery) continue
    counts.applications += 1
    if (one.restoration !== last) counts.restorations += 1
    last = one.restoration
    if (one.targetNcm === undefined) continue
    if (one.instructionNcm !== undefined) {
      counts.withInstruction += 1
      if (one.targetNcm !== one.instructionNcm) counts.offInstruction += 1
    }
    if (one.achievedNcm === undefined) continue
    measured.targetNcm.push(one.targetNcm)
    measured.achievedNcm.push(one.achievedNcm)
    measured.patient.push(one.patient)
    measured.device.push(one.device)
    measured.deviceType.push(one.deviceType)
    measured.daysSinceCalibration.push(one.daysSinceCalibration)
  }
  return { ...counts, measured }
}

/** Positions of the tightenings of each device. */
function groupedByDevice({ device }: Measured): ReadonlyMap<string, readonly number[]> {
  const groups = new Map<string, number[]>()
  device.forEach((name, i) => {
    if (name === undefined) return
    const own = groups.get(name)
    if (own === undefined) groups.set(name, [i])
    else own.push(i)
  })
  return groups
}

/** Number of the cluster of a tightening: its device, or its patient where the device is not known or not asked for. */
function clusterReader({ device, patient }: Measured, devices: readonly string[]): (i: number) => number {
  const codes = new Map(devices.map((name, code) => [name, code]))
  return (i) => codes.get(device[i] ?? '') ?? devices.length + patient[i]!
}

function withinTolerance(
  { targetNcm, achievedNcm }: Measured,
  own: readonly number[],
  tolerance: number,
  clusterOf: (i: number) => number,
  level: number,
): WithinTolerance {
  // A torque on the limit is within it, whatever binary fractions make of it.
  const side = (i: number): number => {
    const [target, achieved] = [targetNcm[i]!, achievedNcm[i]!]
    const beyond = Math.abs(achieved - target) - tolerance * target
    return beyond <= 1e-9 * target ? 0 : Math.sign(achieved - target)
  }
  const sides = own.map(side)
  const count = (wanted: number): number => sides.filter((one) => one === wanted).length
  return {
    applications: own.length,
    within: count(0),
    over: count(1),
    under: count(-1),
    shareWithin: clusteredProportion(
      sides.map((one) => (one === 0 ? 1 : 0)),
      own.map(clusterOf),
      { level },
    ),
  }
}

function deviceTorque(
  measured: Measured,
  device: string,
  own: readonly number[],
  level: number,
): DeviceTorque {
  const { patient, deviceType, daysSinceCalibration } = measured
  const ages = own.flatMap((i) => daysSinceCalibration[i] ?? [])
  const types = [...new Set(own.map((i) => deviceType[i] ?? 'unknown'))]
  return {
    device,
    type: types.sort().join(', '),
    ...withinTolerance(measured, own, torqueTolerance, (i) => patient[i]!, level),
    ...(ages.length === 0 ? {} : { longestSinceCalibrationDays: max(ages) }),
    ...deviationOf(measured, own, level),
  }
}

function deviationOf(
  { targetNcm, achievedNcm, patient }: Measured,
  own: readonly number[],
  level: number,
): Pick<DeviceTorque, 'deviation'> {
  if (own.length < leastForLimits) return {}
  try {
    const { bias, lowerLimit, upperLimit } = deviceAgreement(
      own.map((i) => achievedNcm[i]!),
      own.map((i) => targetNcm[i]!),
      { cluster: own.map((i) => patient[i]!), level },
    )
    return { deviation: { mean: bias, lowerLimit, upperLimit } }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return {}
    throw thrown
  }
}

const bands: readonly CalibrationBand[] = ['half-year', 'year', 'older', 'unknown']

function bandOf(days: number | undefined): CalibrationBand {
  // A calibration dated after the tightening cannot have been the last one before it.
  if (days === undefined || days < 0) return 'unknown'
  if (days <= 180) return 'half-year'
  return days <= 365 ? 'year' : 'older'
}

function byCalibration(
  measured: Measured,
  all: readonly number[],
  clusterOf: (i: number) => number,
  level: number,
): TorqueResult['byCalibration'] {
  return bands.flatMap((band) => {
    const own = all.filter((i) => bandOf(measured.daysSinceCalibration[i]) === band)
    if (own.length === 0) return []
    return [{ band, ...withinTolerance(measured, own, torqueTolerance, clusterOf, level) }]
  })
}
