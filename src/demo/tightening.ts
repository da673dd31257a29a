import { type DayNumber, isoFromDay } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import {
  type Draws,
  drawLabel,
  drawNormal,
  drawWhole,
  happens,
  timesOdds,
  weightOf,
  written,
} from './draws.js'
import { type DemoPatient, scenarioDay } from './patient.js'
import type { DemoDevice, DemoOperator, DemoScenario, TrueProtocol } from './scenario.js'
import type { DemoSite } from './site.js'

/** How the screws of one restoration were tightened on the day of delivery, and what the chart kept of it. */
export interface DemoProtocol {
  readonly truth: TrueProtocol
  readonly waitMinutes: number
  readonly reason: string
  /** `tightening_group` as written down; undefined where it was left empty. */
  readonly statedGroup: string | undefined
  /** Whether the tightenings themselves were written down. */
  readonly eventsWritten: boolean
}

/** Draws the protocol: the clinic's policy, the maker's instruction or the operator's preference, moved by the site. */
export function drawProtocol(
  scenario: DemoScenario,
  draws: Draws,
  patient: DemoPatient,
  operator: DemoOperator,
  site: DemoSite,
  delivery: DayNumber,
  order: number,
): DemoProtocol {
  const again = happens(
    draws('tightened again', order),
    repeatProbability(scenario, patient, operator, site, delivery),
  )
  const { inWindow, outsideWindow, undone } = scenario.repeats
  const truth: TrueProtocol = again
    ? drawLabel(draws('kind of repeat', order), {
        repeated_in_window: inWindow,
        repeated_outside_window: outsideWindow,
        undone_then_tightened: undone,
      })
    : 'single'
  const fate = draws('charting of the group', order).uniform()
  const { protocolUnknown, groupOnly, groupMisstated } = scenario.charting
  const unknown = fate < protocolUnknown
  const chartOnly = protocolUnknown + groupOnly + (patient.clinic.chartOnly ?? 0)
  const eventsMissing = fate < chartOnly
  const misstated = !eventsMissing && fate < chartOnly + groupMisstated
  return {
    truth,
    waitMinutes: drawWait(draws('minutes_since_first', order), truth),
    reason: patient.clinic.reason,
    statedGroup: unknown ? undefined : misstated ? otherGroup(truth) : statedGroup(truth),
    eventsWritten: !eventsMissing,
  }
}

function repeatProbability(
  scenario: DemoScenario,
  patient: DemoPatient,
  operator: DemoOperator,
  site: DemoSite,
  delivery: DayNumber,
): number {
  const { clinic } = patient
  const { protocolChange, instructedRepeated } = clinic
  if (protocolChange !== undefined) {
    return delivery < scenarioDay(protocolChange.date) ? protocolChange.before : protocolChange.after
  }
  const usual =
    instructedRepeated === undefined ? operator.prefersRepeated : weightOf(instructedRepeated, site.system)
  const grinds = patient.bruxism === 'probable' || patient.bruxism === 'definite'
  const oddsRatio =
    (site.region === 'molar' ? scenario.choice.molar : 1) * (grinds ? scenario.choice.bruxism : 1)
  return timesOdds(usual, oddsRatio)
}

function drawWait(random: RandomStream, truth: TrueProtocol): number {
  if (truth === 'single') return 0
  if (truth === 'undone_then_tightened') return drawWhole(random, 2, 12)
  if (truth === 'repeated_in_window') return happens(random, 0.45) ? 10 : drawWhole(random, 10, 15)
  return happens(random, 0.7) ? drawWhole(random, 2, 8) : drawWhole(random, 18, 45)
}

function statedGroup(truth: TrueProtocol): string {
  if (truth === 'single') return 'single'
  return truth === 'undone_then_tightened' ? 'other' : 'repeated'
}

function otherGroup(truth: TrueProtocol): string {
  return truth === 'single' ? 'repeated' : 'single'
}

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
  draws: Draws,
  order: number,
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
      ...rowOf((purpose) => draws(purpose, order, rows.length), device, site, delivery, entry),
      screw_status: entry.screwStatus,
      screw_cycles_before: before,
    })
  }
  return {
    rows,
    deliver: (protocol) => {
      const device = drawDevice(draws('device_id', order, 0), patient)
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
      enter(drawDevice(draws('device_id', order, day), patient), screw, {
        day,
        minutes: 0,
        context,
        action,
        screwStatus,
      })
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
  at: (purpose: string) => RandomStream,
  device: DemoDevice,
  site: DemoSite,
  delivery: DayNumber,
  entry: TighteningEntry,
): Readonly<Record<string, string | number | undefined>> {
  const target = targetTorqueNcm(site.system)
  const day = delivery + entry.day
  const calibrated = lastCalibration(device, day)
  const drift = ((device.driftPerYear ?? 0) * (day - calibrated)) / 365.25
  const share = 1 + device.biasShare + drift + device.scatterShare * at('achieved_torque_ncm').normal()
  const recorded = happens(at('achieved_torque_ncm written'), device.achievedRecorded)
  const removal = drawNormal(at('removal_torque_ncm'), target * 0.88, target * 0.05, [5, 50], 1)
  return {
    minutes_since_first: entry.minutes,
    days_since_delivery: entry.day,
    context: entry.context,
    action: entry.action,
    target_torque_ncm: target,
    achieved_torque_ncm: recorded ? Number((target * share).toFixed(1)) : undefined,
    removal_torque_ncm: entry.action === 'undo_then_tighten' ? removal : undefined,
    instruction_torque_ncm: target,
    hold_seconds: written(at('hold_seconds empty'), drawWhole(at('hold_seconds'), 1, 3) * 5, 0.4),
    device_id: device.id,
    reading_instrument_id: recorded ? device.readBy : undefined,
    device_type: device.type,
    device_last_calibration_date: isoFromDay(calibrated),
    lubrication: written(
      at('lubrication empty'),
      drawLabel(at('lubrication'), { dry: 70, saliva: 18, chlorhexidine: 10, blood: 2 }),
      0.35,
    ),
  }
}

function lastCalibration(device: DemoDevice, day: DayNumber): DayNumber {
  const first = scenarioDay(device.firstCalibration)
  return first + Math.floor((day - first) / device.calibrationIntervalDays) * device.calibrationIntervalDays
}
