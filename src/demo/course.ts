import { type DayNumber, isoFromDay } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { type Draws, drawLabel, drawWhole, happens, written } from './draws.js'
import {
  type DemoComplication,
  type DemoEnding,
  drawComplications,
  drawEnding,
  drawLooseningDays,
} from './hazards.js'
import { type DemoPatient, type RoutineVisit, scenarioDay } from './patient.js'
import type { DemoScenario } from './scenario.js'
import type { DemoSite } from './site.js'
import type { TighteningBook } from './tightening.js'

/** What the course of one restoration is drawn from. */
export interface CourseInput {
  readonly scenario: DemoScenario
  readonly patient: DemoPatient
  readonly site: DemoSite
  readonly restorationId: string
  /** Number of the restoration in the mouth; it tells the draws apart. */
  readonly order: number
  readonly delivery: DayNumber
  /** Hazard of first loosening against the reference restoration of an average patient. */
  readonly multiplier: number
  readonly routine: readonly RoutineVisit[]
  readonly book: TighteningBook
}

/** What happened to one restoration, as far as the clinic saw it. */
export interface Course {
  readonly visits: readonly VisitEntry[]
  /** Day after delivery on which the screw first came loose, seen or not; Infinity where it never would. */
  readonly looseDay: number
  /** Day on which it was first found loose. */
  readonly foundLooseDay: number | undefined
  /** How it ended, where the clinic saw the end. */
  readonly ending: DemoEnding | undefined
}

/** A screw that comes loose on a day, and the day on which it brings the patient in (Infinity: not before a visit). */
interface Loosening {
  readonly day: number
  readonly symptomDay: number
}

/** Findings at which the screw channel is open, so that a loose screw cannot be missed. */
const openChannel = new Set(['access_filling_loss', 'screw_fracture'])

/** Draws the course of one restoration from delivery to its end, or to the end of care. */
export function drawCourse(draws: Draws, input: CourseInput): Course {
  const { scenario, patient, delivery } = input
  const lastDay = patient.careEnd - delivery
  const first = drawLoosening(scenario, draws('loosening', input.order, 0), 0, input.multiplier)
  const follow: Follow = {
    input,
    draws,
    visits: [],
    loosening: first,
    ending: drawEnding(scenario, draws, input.order),
    complications: [...drawComplications(draws, input.order, input.site, lastDay)],
    foundLooseDay: undefined,
    treated: 0,
  }
  const planned = [...input.routine]
  for (;;) {
    const plannedDay = planned[0] === undefined ? Number.POSITIVE_INFINITY : planned[0].date - delivery
    const callDay = nextCallDay(follow)
    const day = Math.min(plannedDay, callDay)
    if (day > lastDay) break
    const visit = plannedDay <= callDay ? planned.shift() : undefined
    attend(follow, day, visit)
    if (day >= follow.ending.day) break
  }
  const ended = follow.ending.day <= lastDay
  if (!ended) hearOfEnd(follow, lastDay)
  return {
    visits: follow.visits,
    looseDay: first.day,
    foundLooseDay: follow.foundLooseDay,
    ending: ended ? follow.ending : undefined,
  }
}

/** State of the follow-up of one restoration. */
interface Follow {
  readonly input: CourseInput
  readonly draws: Draws
  readonly visits: VisitEntry[]
  loosening: Loosening
  readonly ending: DemoEnding
  readonly complications: DemoComplication[]
  foundLooseDay: number | undefined
  /** Loosenings found and treated so far. */
  treated: number
}

function drawLoosening(
  scenario: DemoScenario,
  random: RandomStream,
  sinceDay: number,
  multiplier: number,
): Loosening {
  const { symptomatic, meanDaysToVisit } = scenario.detection
  const day = sinceDay + drawLooseningDays(scenario, random, multiplier)
  const delay = random.exponential() * meanDaysToVisit
  const symptoms = happens(random, symptomatic)
  return { day, symptomDay: symptoms ? Math.max(1, Math.ceil(day + delay)) : Number.POSITIVE_INFINITY }
}

/** Next day on which something other than the recall list brings the patient in. */
function nextCallDay(follow: Follow): number {
  const complication = follow.complications.find((one) => one.symptomatic)?.day ?? Number.POSITIVE_INFINITY
  return Math.min(follow.loosening.symptomDay, follow.ending.day, complication)
}

/** One visit: what is due is found, what is found is treated, and all of it is written down. */
function attend(follow: Follow, day: number, routine: RoutineVisit | undefined): void {
  const { input, draws, ending } = follow
  const ends = ending.day <= day
  const findings = complicationsFound(follow, day)
  const opened =
    (ends && ending.cause !== 'implant loss') || findings.some((one) => openChannel.has(one.finding))
  const { loosening } = follow
  const checkable = input.site.connection !== 'screwless'
  const foundLoose =
    loosening.day <= day && (opened || routine?.screwChecked === true || loosening.symptomDay <= day)
  if (foundLoose) findings.unshift(treatLoosening(follow, day, ends))
  if (ends) findings.push(endingFinding(ending))
  const screwChecked = checkable && (foundLoose || opened || routine?.screwChecked === true)
  const { recall } = input.patient.clinic
  const undisturbed = screwChecked && !foundLoose && !opened && !ends
  if (undisturbed && happens(draws('tightened at recall', input.order, day), recall.tighten)) {
    for (const screw of input.site.screws) input.book.later(day, 'recall_check', screw, 'reused')
    if (findings.length === 0) findings.push({ finding: 'none', action: 'tightened' })
  }
  const elective = ending.cause !== 'implant loss' && happens(draws('elective removal', input.order), 0.35)
  const frame = {
    restorationId: input.restorationId,
    delivery: input.delivery,
    day,
    visitType: routine === undefined ? 'unscheduled' : 'scheduled',
    screwChecked,
    tickBlank: checkable && happens(draws('screw_checked empty', input.order, day), recall.tickBlank),
    opened: opened && checkable,
    restorationStatus: ends ? (ending.cause === 'implant loss' ? 'lost' : 'removed') : 'in_place',
    removalReason: ends ? removalReason(ending, elective) : undefined,
    patientStatus: 'active',
  }
  follow.visits.push(...visitEntries(draws, input.order, frame, findings))
}

function removalReason(ending: DemoEnding, elective: boolean): string {
  if (ending.cause === 'implant loss') return 'implant_loss'
  return elective ? 'elective' : 'complication'
}

function endingFinding(ending: DemoEnding): Finding {
  if (ending.cause === 'implant loss') return { finding: 'implant_loss', action: 'implant_removed' }
  return ending.cause === 'remade' ? { finding: 'other', action: 'remade' } : { finding: 'other' }
}

function complicationsFound(follow: Follow, day: number): Finding[] {
  const { input, draws, complications } = follow
  const found: Finding[] = []
  while (complications[0] !== undefined && complications[0].day <= day) {
    const { finding, action } = complications.shift()!
    const fractured = finding === 'screw_fracture'
    const { screws } = input.site
    const screw = fractured ? screws[draws('fractured screw', input.order, day).index(screws.length)]! : ''
    if (fractured) input.book.later(day, 'replacement', screw, 'new')
    found.push({ finding, action, screw })
  }
  return found
}

/** The loose screw is tightened or replaced, and its clock starts anew. */
function treatLoosening(follow: Follow, day: number, ends: boolean): Finding {
  const { input, draws, loosening } = follow
  const { detection, hazardRatios } = input.scenario
  const { screws } = input.site
  const at = (purpose: string): RandomStream => draws(purpose, input.order, follow.treated)
  const screw = screws[at('loose screw').index(screws.length)]!
  const replaced = happens(at('loose screw replaced'), detection.screwReplaced)
  const onsetWritten = happens(at('onset_date'), detection.onsetRecorded) && loosening.symptomDay <= day
  follow.treated++
  follow.foundLooseDay ??= day
  follow.loosening = drawLoosening(
    input.scenario,
    draws('loosening', input.order, follow.treated),
    day,
    input.multiplier * hazardRatios.afterLoosening,
  )
  if (!ends) input.book.later(day, 'after_loosening', screw, replaced ? 'new' : 'reused')
  return {
    finding: 'screw_loosening',
    screw,
    ...(ends ? {} : { action: replaced ? 'screw_replaced' : 'tightened' }),
    ...(onsetWritten ? { onsetDay: Math.max(1, Math.ceil(loosening.day)) } : {}),
  }
}

/** The clinic hears of a death on its day, and of a patient who stays away some time later. */
function hearOfEnd(follow: Follow, lastDay: number): void {
  const { input, draws } = follow
  const { patient } = input
  if (!patient.endHeardOf) return
  const died = patient.careEndsBy === 'death'
  const day = died ? lastDay : lastDay + drawWhole(draws('end of care told'), 30, 240)
  if (input.delivery + day > scenarioDay(input.scenario.endOfObservation)) return
  const frame = {
    restorationId: input.restorationId,
    delivery: input.delivery,
    day,
    visitType: died || patient.careEndsBy === 'moved' ? 'records_only' : 'telephone',
    screwChecked: false,
    tickBlank: false,
    opened: false,
    restorationStatus: died ? 'in_place' : 'unknown',
    removalReason: undefined,
    patientStatus: died ? 'deceased' : patient.careEndsBy,
  }
  follow.visits.push(...visitEntries(draws, input.order, frame, []))
}

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
  readonly screw_checked: string | undefined
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
interface Finding {
  readonly finding: string
  readonly action?: string
  readonly screw?: string
  readonly onsetDay?: number
}

/** What all rows of one visit share. */
interface VisitFrame {
  readonly restorationId: string
  readonly delivery: DayNumber
  readonly day: number
  readonly visitType: string
  readonly screwChecked: boolean
  /** Whether the tick for the check was left blank, whatever was found. */
  readonly tickBlank: boolean
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
function visitEntries(
  draws: Draws,
  order: number,
  frame: VisitFrame,
  findings: readonly Finding[],
): readonly VisitEntry[] {
  const { day } = frame
  const ticked = frame.screwChecked && !frame.tickBlank
  const method = ticked ? drawMethod(draws('check_method', order, day), frame.opened) : undefined
  const all = findings.length === 0 ? [{ finding: 'none' }] : findings
  return all.map((one, place) => {
    const again = all.slice(0, place).filter(({ finding }) => finding === one.finding).length
    const random = draws(`chair_minutes ${one.finding}`, order, day, again)
    return { day, row: rowOf(random, frame, method, one) }
  })
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
    screw_checked: frame.tickBlank ? undefined : frame.screwChecked ? 'yes' : 'no',
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
