import type { Cohort } from '../../cohort/cohort.js'
import type { TorqueApplication } from '../../cohort/torqueRecords.js'
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

type Measured = TorqueApplication & { readonly targetNcm: number; readonly achievedNcm: number }

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
  const delivered = cohort.torqueRecords().applications.filter(({ onDelivery }) => onDelivery)
  if (delivered.length === 0) return undefined
  const measured = delivered.filter(
    (one): one is Measured => one.targetNcm !== undefined && one.achievedNcm !== undefined,
  )
  const { level } = settings
  const instructed = delivered.filter(
    ({ targetNcm, instructionNcm }) => targetNcm !== undefined && instructionNcm !== undefined,
  )
  const byDevice = groupedByDevice(measured)
  const devices = [...byDevice.keys()].sort()
  const clusteredBy = devices.length > 1 ? 'device' : 'patient'
  const clusterOf = clusterReader(clusteredBy === 'device' ? devices : [])
  const against = (tolerance: number): WithinTolerance =>
    withinTolerance(measured, tolerance, clusterOf, level)
  return answered<TorqueResult>(cohort, settings, {
    kind: 'torque' as const,
    applications: delivered.length,
    restorations: new Set(delivered.map(({ restoration }) => restoration)).size,
    tolerance: torqueTolerance,
    ...(measured.length === 0
      ? {}
      : { overall: against(torqueTolerance), strict: against(strictTorqueTolerance) }),
    clusteredBy,
    strictTolerance: strictTorqueTolerance,
    byDevice: devices.map((device) => deviceTorque(device, byDevice.get(device)!, level)),
    byCalibration: byCalibration(measured, clusterOf, level),
    withInstruction: instructed.length,
    offInstruction: instructed.filter(({ targetNcm, instructionNcm }) => targetNcm !== instructionNcm).length,
    level,
  })
}

function groupedByDevice(measured: readonly Measured[]): ReadonlyMap<string, readonly Measured[]> {
  const groups = new Map<string, Measured[]>()
  for (const one of measured) {
    if (one.device === undefined) continue
    const own = groups.get(one.device)
    if (own === undefined) groups.set(one.device, [one])
    else own.push(one)
  }
  return groups
}

/** Number of the cluster of a tightening: its device, or its patient where the device is not known or not asked for. */
function clusterReader(devices: readonly string[]): (one: Measured) => number {
  const codes = new Map(devices.map((device, code) => [device, code]))
  return ({ device, patient }) =>
    (device === undefined ? undefined : codes.get(device)) ?? devices.length + patient
}

function withinTolerance(
  measured: readonly Measured[],
  tolerance: number,
  clusterOf: (one: Measured) => number,
  level: number,
): WithinTolerance {
  // A torque on the limit is within it, whatever binary fractions make of it.
  const side = ({ targetNcm, achievedNcm }: Measured): number => {
    const beyond = Math.abs(achievedNcm - targetNcm) - tolerance * targetNcm
    return beyond <= 1e-9 * targetNcm ? 0 : Math.sign(achievedNcm - targetNcm)
  }
  const sides = measured.map(side)
  const count = (wanted: number): number => sides.filter((one) => one === wanted).length
  return {
    applications: measured.length,
    within: count(0),
    over: count(1),
    under: count(-1),
    shareWithin: clusteredProportion(
      sides.map((one) => (one === 0 ? 1 : 0)),
      measured.map(clusterOf),
      { level },
    ),
  }
}

const byPatient = ({ patient }: Measured): number => patient

function deviceTorque(device: string, own: readonly Measured[], level: number): DeviceTorque {
  const ages = own.flatMap(({ daysSinceCalibration }) =>
    daysSinceCalibration === undefined ? [] : [daysSinceCalibration],
  )
  const types = [...new Set(own.map(({ deviceType }) => deviceType ?? 'unknown'))]
  return {
    device,
    type: types.sort().join(', '),
    ...withinTolerance(own, torqueTolerance, byPatient, level),
    ...(ages.length === 0 ? {} : { longestSinceCalibrationDays: Math.max(...ages) }),
    ...deviationOf(own, level),
  }
}

function deviationOf(own: readonly Measured[], level: number): Pick<DeviceTorque, 'deviation'> {
  if (own.length < leastForLimits) return {}
  try {
    const { bias, lowerLimit, upperLimit } = deviceAgreement(
      own.map(({ achievedNcm }) => achievedNcm),
      own.map(({ targetNcm }) => targetNcm),
      { cluster: own.map(({ patient }) => patient), level },
    )
    return { deviation: { mean: bias, lowerLimit, upperLimit } }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return {}
    throw thrown
  }
}

const bands: readonly CalibrationBand[] = ['half-year', 'year', 'older', 'unknown']

function bandOf({ daysSinceCalibration: days }: Measured): CalibrationBand {
  // A calibration dated after the tightening cannot have been the last one before it.
  if (days === undefined || days < 0) return 'unknown'
  if (days <= 180) return 'half-year'
  return days <= 365 ? 'year' : 'older'
}

function byCalibration(
  measured: readonly Measured[],
  clusterOf: (one: Measured) => number,
  level: number,
): TorqueResult['byCalibration'] {
  return bands.flatMap((band) => {
    const own = measured.filter((one) => bandOf(one) === band)
    return own.length === 0 ? [] : [{ band, ...withinTolerance(own, torqueTolerance, clusterOf, level) }]
  })
}
