import { type DayNumber, isoFromDay } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { drawLabel, drawWhole, written } from './draws.js'

/** One row of the visits table; `day` counts from delivery and is not written. */
export interface VisitEntry {
  readonly day: number
  readonly row: VisitRow
}

/** Fields of a row of the visits table. */
export interface VisitRow {
  readonly restoration_id: string
  readonly visit_date: string
  readonly visit_type: string
  readonly screw_checked: string
  readonly check_method?: string | undefined
  readonly screw_position?: string | undefined
  readonly finding: string
  readonly onset_date?: string | undefined
  readonly action_taken?: string | undefined
  readonly restoration_status: string
  readonly removal_reason?: string | undefined
  readonly patient_status: string
  readonly severity?: string | undefined
  readonly chair_minutes?: number | undefined
}

/** What was found at a visit, one row each. */
export interface Finding {
  readonly finding: string
  readonly action?: string
  readonly screw?: string
  readonly onsetDay?: number
}

/** What all rows of one visit share. */
export interface VisitFrame {
  readonly restorationId: string
  readonly delivery: DayNumber
  readonly day: number
  readonly visitType: string
  readonly screwChecked: boolean
  /** The screw channel was open, so the joint was tested with the torque device. */
  readonly opened: boolean
  readonly restorationStatus: string
  readonly removalReason: string | undefined
  readonly patientStatus: string
}

/** Minutes in the chair by what was done. */
const chairMinutes: Readonly<Record<string, readonly [number, number]>> = {
  tightened: [15, 45],
  screw_replaced: [30, 75],
  repaired: [8, 50],
  recemented: [20, 45],
  remade: [60, 150],
  implant_removed: [40, 120],
  watched: [5, 12],
}

const newParts = new Set(['screw_replaced', 'remade'])

/** Writes the rows of one visit: one for each finding, or one that says that there was none. */
export function visitEntries(
  random: RandomStream,
  frame: VisitFrame,
  findings: readonly Finding[],
): readonly VisitEntry[] {
  const method = frame.screwChecked ? drawMethod(random, frame.opened) : undefined
  const all = findings.length === 0 ? [{ finding: 'none' }] : findings
  return all.map((one) => ({ day: frame.day, row: rowOf(random, frame, method, one) }))
}

function drawMethod(random: RandomStream, opened: boolean): string | undefined {
  if (opened) return 'torque'
  return written(random, drawLabel(random, { mobility: 87, torque: 8, radiograph: 5 }), 0.06)
}

function rowOf(random: RandomStream, frame: VisitFrame, method: string | undefined, one: Finding): VisitRow {
  const span = one.action === undefined ? undefined : chairMinutes[one.action]
  const minutes = span === undefined ? undefined : drawWhole(random, span[0], span[1])
  return {
    restoration_id: frame.restorationId,
    visit_date: isoFromDay(frame.delivery + frame.day),
    visit_type: frame.visitType,
    screw_checked: frame.screwChecked ? 'yes' : 'no',
    check_method: method,
    screw_position: one.screw === '' ? undefined : one.screw,
    finding: one.finding,
    onset_date: one.onsetDay === undefined ? undefined : isoFromDay(frame.delivery + one.onsetDay),
    action_taken: one.action,
    restoration_status: frame.restorationStatus,
    removal_reason: frame.removalReason,
    patient_status: frame.patientStatus,
    severity: minutes === undefined ? undefined : severityOf(minutes, one.action),
    chair_minutes: minutes,
  }
}

function severityOf(minutes: number, action: string | undefined): string {
  if (minutes > 60 || newParts.has(action ?? '')) return 'major'
  return minutes < 10 ? 'minor' : 'moderate'
}
