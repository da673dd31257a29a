import { type DayNumber, isoFromDay } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { drawLabel, drawNormal, drawWhole, happens, weightOf, written } from './draws.js'
import { type DemoPatient, scenarioDay } from './patient.js'
import type { DemoProtocol } from './protocol.js'
import type { DemoDevice } from './scenario.js'
import type { DemoSite } from './site.js'

/** One row of the tightenings table. */
export interface TighteningRow {
  readonly restoration_id: string
  readonly sequence: number
  readonly [field: string]: string | number | undefined
}

/** Writes the rows of the tightenings of one restoration, screw by screw, in sequence. */
export interface TighteningBook {
  readonly rows: TighteningRow[]
  /** The tightenings of the day of delivery. */
  deliver(protocol: DemoProtocol): void
  /** One tightening of one screw at a later visit. */
  later(day: number, context: string, screw: string, screwStatus: 'new' | 'reused'): void
}

const targetOfSystem: Readonly<Record<string, number>> = {
  system_1: 35,
  system_2: 30,
  system_3: 35,
  system_4: 32,
}

/** Torque that the maker of a component system asks for, in N·cm. */
function targetTorqueNcm(system: string): number {
  return weightOf(targetOfSystem, system)
}

/** Opens the book of tightenings of one restoration. */
export function tighteningBook(
  random: RandomStream,
  patient: DemoPatient,
  site: DemoSite,
  restorationId: string,
  delivery: DayNumber,
): TighteningBook {
  const rows: TighteningRow[] = []
  const sequence = new Map<string, number>()
  const cycles = new Map<string, number>()
  const enter = (device: DemoDevice, screw: string, entry: TighteningEntry): void => {
    const next = (sequence.get(screw) ?? 0) + 1
    sequence.set(screw, next)
    const before = entry.screwStatus === 'new' ? 0 : (cycles.get(screw) ?? 0)
    cycles.set(screw, entry.action === 'tighten_again' ? before : before + 1)
    rows.push({
      restoration_id: restorationId,
      sequence: next,
      screw_position: screw === '' ? undefined : screw,
      ...rowOf(random, device, site, delivery, entry),
      screw_status: entry.screwStatus,
      screw_cycles_before: before,
    })
  }
  return {
    rows,
    deliver: (protocol) => {
      const device = drawDevice(random, patient)
      for (const screw of site.screws) {
        enter(device, screw, {
          day: 0,
          minutes: 0,
          context: 'delivery',
          action: 'tighten',
          screwStatus: 'new',
        })
        if (protocol.truth === 'single') continue
        const action = protocol.truth === 'undone_then_tightened' ? 'undo_then_tighten' : 'tighten_again'
        enter(device, screw, {
          day: 0,
          minutes: protocol.waitMinutes,
          context: 'delivery',
          action,
          screwStatus: 'reused',
        })
      }
    },
    later: (day, context, screw, screwStatus) => {
      const action = context === 'recall_check' ? 'tighten_again' : 'tighten'
      enter(drawDevice(random, patient), screw, { day, minutes: 0, context, action, screwStatus })
    },
  }
}

interface TighteningEntry {
  readonly day: number
  readonly minutes: number
  readonly context: string
  readonly action: string
  readonly screwStatus: 'new' | 'reused'
}

function drawDevice(random: RandomStream, patient: DemoPatient): DemoDevice {
  const { devices } = patient.clinic
  return devices[happens(random, 0.7) ? 0 : devices.length - 1]!
}

function rowOf(
  random: RandomStream,
  device: DemoDevice,
  site: DemoSite,
  delivery: DayNumber,
  entry: TighteningEntry,
): Readonly<Record<string, string | number | undefined>> {
  const target = targetTorqueNcm(site.system)
  const share = 1 + device.biasShare + device.scatterShare * random.normal()
  const undone = entry.action === 'undo_then_tighten'
  return {
    minutes_since_first: entry.minutes,
    days_since_delivery: entry.day,
    context: entry.context,
    action: entry.action,
    target_torque_ncm: target,
    achieved_torque_ncm: happens(random, device.achievedRecorded)
      ? Number((target * share).toFixed(1))
      : undefined,
    removal_torque_ncm: undone ? drawNormal(random, target * 0.88, target * 0.05, [5, 50], 1) : undefined,
    instruction_torque_ncm: target,
    hold_seconds: written(random, drawWhole(random, 1, 3) * 5, 0.4),
    device_id: device.id,
    device_type: device.type,
    device_last_calibration_date: isoFromDay(lastCalibration(device, delivery + entry.day)),
    lubrication: written(
      random,
      drawLabel(random, { dry: 70, saliva: 18, chlorhexidine: 10, blood: 2 }),
      0.35,
    ),
  }
}

function lastCalibration(device: DemoDevice, day: DayNumber): DayNumber {
  const first = scenarioDay(device.firstCalibration)
  return first + Math.floor((day - first) / device.calibrationIntervalDays) * device.calibrationIntervalDays
}
