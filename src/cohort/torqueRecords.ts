import { type CategoryColumn, codeOf, labelAt, missingDay } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import { type CohortDefinition, type ExposureGroup, exposureGroups } from './definition.js'
import type { DeliveryDayExposure } from './exposure.js'

/** One application of torque to a screw of the restorations that a definition asks for, followed or not. */
export interface TorqueApplication {
  /** Position of its restoration in the restorations table, and of that restoration's patient among all. */
  readonly restoration: number
  readonly patient: number
  readonly group: ExposureGroup
  readonly onDelivery: boolean
  /** Torque aimed at and reached, in N·cm; undefined where not recorded. */
  readonly targetNcm: number | undefined
  readonly achievedNcm: number | undefined
  readonly instructionNcm: number | undefined
  readonly device: string | undefined
  readonly deviceType: string | undefined
  /** The instrument that read the torque reached, where it is another than the device. */
  readonly readingInstrument: string | undefined
  /** Calendar day of the application; undefined where it or the delivery is not dated. */
  readonly calendarDay: number | undefined
  /** Whole days from the last calibration of the device to the application. */
  readonly daysSinceCalibration: number | undefined
}

/** Torque at which a screw came loose when it was undone. */
export interface RemovalMeasurement {
  readonly restoration: number
  readonly patient: number
  readonly group: ExposureGroup
  readonly removalNcm: number
  /** Torque reached when the same screw was last tightened before; undefined where not recorded. */
  readonly tightenedNcm: number | undefined
}

/** Applications of torque that are made as they are read, so that none is held which nobody looks at. */
export interface ReadApplications extends Iterable<TorqueApplication> {
  readonly length: number
  /** The application at a position from 0. */
  at(position: number): TorqueApplication
}

/** What the tightenings table says of torque. */
export interface TorqueRecords {
  /** All of them as a list, made when it is first asked for. */
  readonly applications: readonly TorqueApplication[]
  /** The same read one at a time: there is one for every tightening, and a list of them is larger than the table. */
  readonly read: ReadApplications
  readonly removals: readonly RemovalMeasurement[]
}

/**
 * Reads every application of torque, and every torque of removal, of the types of restoration of a definition, whether
 * or not a restoration was followed up. The torque that a removal is set against is the one reached at the tightening
 * of the same screw before it.
 */
export function torqueRecords(
  records: RecordSet,
  definition: CohortDefinition,
  exposure: DeliveryDayExposure,
  asked?: Uint8Array,
): TorqueRecords {
  const { restorations, tightenings } = records
  const type = restorations.category('restoration_type')
  const patient = restorations.category('patient_id').codes
  const columns = columnsOf(records)
  const ownerOf = (restoration: number): Owner => ({
    restoration,
    patient: patient[restoration]!,
    group: exposureGroups[exposure.groupCode[restoration]!]!,
  })
  const applied = new Int32Array(tightenings.rowCount)
  let count = 0
  const removals: RemovalMeasurement[] = []
  const lastReached = new Map<number, number | undefined>()
  for (let restoration = 0; restoration < restorations.rowCount; restoration++) {
    if (asked?.[restoration] === 0) continue
    if (!definition.restorationTypes.includes(labelAt(type, restoration) ?? '')) continue
    lastReached.clear()
    const end = tightenings.firstRow[restoration + 1]!
    for (let row = tightenings.firstRow[restoration]!; row < end; row++) {
      const screw = columns.screw.codes[row]!
      const removalNcm = known(columns.removal[row]!)
      if (removalNcm !== undefined) {
        removals.push({ ...ownerOf(restoration), removalNcm, tightenedNcm: lastReached.get(screw) })
      }
      if (columns.isMeasurement(row)) {
        lastReached.delete(screw)
        continue
      }
      applied[count++] = row
      lastReached.set(screw, known(columns.achieved[row]!))
    }
  }
  const read = readApplications(applied.slice(0, count), (row) => {
    const restoration = tightenings.restoration[row]!
    return applicationOf(columns, row, ownerOf(restoration), columns.delivered[restoration]!)
  })
  let list: readonly TorqueApplication[] | undefined
  return {
    get applications() {
      list ??= [...read]
      return list
    },
    read,
    removals,
  }
}

function readApplications(rows: Int32Array, of: (row: number) => TorqueApplication): ReadApplications {
  return {
    length: rows.length,
    at: (position) => of(rows[position]!),
    *[Symbol.iterator]() {
      for (const row of rows) yield of(row)
    },
  }
}

interface TorqueColumns {
  readonly target: Float64Array
  readonly achieved: Float64Array
  readonly removal: Float64Array
  readonly instruction: Float64Array
  readonly device: CategoryColumn
  readonly deviceType: CategoryColumn
  readonly instrument: CategoryColumn
  /** Calendar day of delivery of each restoration. */
  readonly delivered: Int32Array
  readonly calibration: Int32Array
  readonly day: Int32Array
  readonly screw: CategoryColumn
  isDelivery(row: number): boolean
  isMeasurement(row: number): boolean
}

function columnsOf({ restorations, tightenings }: RecordSet): TorqueColumns {
  const context = tightenings.category('context')
  const action = tightenings.category('action')
  const delivery = codeOf(context, 'delivery')
  const measurement = codeOf(action, 'removal_measurement')
  return {
    target: tightenings.number('target_torque_ncm'),
    achieved: tightenings.number('achieved_torque_ncm'),
    removal: tightenings.number('removal_torque_ncm'),
    instruction: tightenings.number('instruction_torque_ncm'),
    device: tightenings.category('device_id'),
    deviceType: tightenings.category('device_type'),
    instrument: tightenings.category('reading_instrument_id'),
    delivered: restorations.day('delivery_date'),
    calibration: tightenings.day('device_last_calibration_day'),
    day: tightenings.day('days_since_delivery'),
    screw: tightenings.category('screw_position'),
    isDelivery: (row) => delivery >= 0 && context.codes[row] === delivery,
    isMeasurement: (row) => measurement >= 0 && action.codes[row] === measurement,
  }
}

type Owner = Pick<TorqueApplication, 'restoration' | 'patient' | 'group'>

function applicationOf(
  read: TorqueColumns,
  row: number,
  { restoration, patient, group }: Owner,
  delivered: number,
): TorqueApplication {
  const onDelivery = read.isDelivery(row)
  // The day of a delivery is 0 by definition, also where the column was left empty.
  const day = onDelivery && read.day[row] === missingDay ? 0 : read.day[row]!
  const calibrated = read.calibration[row]!
  // Written out rather than spread: there is one for every tightening of the records.
  return {
    restoration,
    patient,
    group,
    onDelivery,
    targetNcm: known(read.target[row]!),
    achievedNcm: known(read.achieved[row]!),
    instructionNcm: known(read.instruction[row]!),
    device: labelAt(read.device, row),
    deviceType: labelAt(read.deviceType, row),
    readingInstrument: labelAt(read.instrument, row),
    calendarDay: day === missingDay || delivered === missingDay ? undefined : delivered + day,
    daysSinceCalibration: day === missingDay || calibrated === missingDay ? undefined : day - calibrated,
  }
}

function known(value: number): number | undefined {
  return Number.isNaN(value) ? undefined : value
}
