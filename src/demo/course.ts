import type { DayNumber } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { drawWhole, happens } from './draws.js'
import {
  type DemoComplication,
  type DemoEnding,
  drawComplications,
  drawEnding,
  drawLooseningDays,
} from './hazards.js'
import { type DemoPatient, scenarioDay } from './patient.js'
import type { RoutineVisit } from './recall.js'
import type { DemoScenario } from './scenario.js'
import type { DemoSite } from './site.js'
import type { TighteningBook } from './tightenings.js'
import { type Finding, type VisitEntry, visitEntries } from './visitRow.js'

/** What the course of one restoration is drawn from. */
export interface CourseInput {
  readonly scenario: DemoScenario
  readonly patient: DemoPatient
  readonly site: DemoSite
  readonly restorationId: string
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
export function drawCourse(random: RandomStream, input: CourseInput): Course {
  const { scenario, patient, delivery } = input
  const lastDay = patient.careEnd - delivery
  const first = drawLoosening(scenario, random, 0, input.multiplier)
  const follow: Follow = {
    input,
    random,
    visits: [],
    loosening: first,
    ending: drawEnding(scenario, random),
    complications: [...drawComplications(random, input.site, lastDay)],
    foundLooseDay: undefined,
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
  readonly random: RandomStream
  readonly visits: VisitEntry[]
  loosening: Loosening
  readonly ending: DemoEnding
  readonly complications: DemoComplication[]
  foundLooseDay: number | undefined
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
  const { input, random, ending } = follow
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
  if (findings.length === 0 && screwChecked && happens(random, input.patient.clinic.recall.tighten)) {
    for (const screw of input.site.screws) input.book.later(day, 'recall_check', screw, 'reused')
    findings.push({ finding: 'none', action: 'tightened' })
  }
  const elective = ending.cause !== 'implant loss' && happens(random, 0.35)
  const frame = {
    restorationId: input.restorationId,
    delivery: input.delivery,
    day,
    visitType: routine === undefined ? 'unscheduled' : 'scheduled',
    screwChecked,
    opened: opened && checkable,
    restorationStatus: ends ? (ending.cause === 'implant loss' ? 'lost' : 'removed') : 'in_place',
    removalReason: ends ? removalReason(ending, elective) : undefined,
    patientStatus: 'active',
  }
  follow.visits.push(...visitEntries(random, frame, findings))
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
  const { input, random, complications } = follow
  const found: Finding[] = []
  while (complications[0] !== undefined && complications[0].day <= day) {
    const { finding, action } = complications.shift()!
    const fractured = finding === 'screw_fracture'
    const screw = fractured ? input.site.screws[random.index(input.site.screws.length)]! : ''
    if (fractured) input.book.later(day, 'replacement', screw, 'new')
    found.push({ finding, action, screw })
  }
  return found
}

/** The loose screw is tightened or replaced, and its clock starts anew. */
function treatLoosening(follow: Follow, day: number, ends: boolean): Finding {
  const { input, random, loosening } = follow
  const { detection, hazardRatios } = input.scenario
  const { screws } = input.site
  const screw = screws[random.index(screws.length)]!
  const replaced = happens(random, detection.screwReplaced)
  const onsetWritten = loosening.symptomDay <= day && happens(random, detection.onsetRecorded)
  follow.foundLooseDay ??= day
  follow.loosening = drawLoosening(
    input.scenario,
    random,
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
  const { input, random } = follow
  const { patient } = input
  if (!patient.endHeardOf) return
  const died = patient.careEndsBy === 'death'
  const day = died ? lastDay : lastDay + drawWhole(random, 30, 240)
  if (input.delivery + day > scenarioDay(input.scenario.endOfObservation)) return
  const frame = {
    restorationId: input.restorationId,
    delivery: input.delivery,
    day,
    visitType: died || patient.careEndsBy === 'moved' ? 'records_only' : 'telephone',
    screwChecked: false,
    opened: false,
    restorationStatus: died ? 'in_place' : 'unknown',
    removalReason: undefined,
    patientStatus: died ? 'deceased' : patient.careEndsBy,
  }
  follow.visits.push(...visitEntries(random, frame, []))
}
