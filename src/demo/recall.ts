import type { DayNumber } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { drawWhole, happens } from './draws.js'
import type { DemoPatient } from './patient.js'

/** A visit that was not brought about by a complaint; at a recall everything in the mouth is looked at. */
export interface RoutineVisit {
  readonly date: DayNumber
  readonly screwChecked: boolean
}

/** A recall sees only restorations that have been in place for at least so many days. */
const leastDaysInPlace = 10

/** Draws the recalls of a patient, from the first delivery to the end of care. */
export function drawRecalls(random: RandomStream, patient: DemoPatient): readonly RoutineVisit[] {
  const { recall } = patient.clinic
  const visits: RoutineVisit[] = []
  let due = patient.firstDelivery + recall.firstDays
  while (due < patient.careEnd) {
    // Appointments slip late more easily than early.
    const date = Math.round(due + 24 * random.normal() + 12 * random.exponential())
    const attended = happens(random, recall.attendance)
    const screwChecked = happens(random, recall.check)
    const after = visits[visits.length - 1]?.date ?? patient.firstDelivery
    if (attended && date > after && date <= patient.careEnd) visits.push({ date, screwChecked })
    due += recall.intervalDays
  }
  return visits
}

/** Early controls of a patient by day of delivery, so that restorations delivered together are seen together. */
export type EarlyControls = Map<DayNumber, RoutineVisit | undefined>

/** Visits at which a restoration is seen, in order: its early control, if there was one, and the patient's recalls. */
export function routineVisitsOf(
  random: RandomStream,
  patient: DemoPatient,
  recalls: readonly RoutineVisit[],
  controls: EarlyControls,
  delivery: DayNumber,
): readonly RoutineVisit[] {
  if (!controls.has(delivery)) controls.set(delivery, drawControl(random, patient, delivery))
  const control = controls.get(delivery)
  const due = recalls.filter((visit) => visit.date >= delivery + leastDaysInPlace)
  if (control === undefined) return due
  const others = due.filter((visit) => Math.abs(visit.date - control.date) > 7)
  return [...others, control].sort((left, right) => left.date - right.date)
}

function drawControl(
  random: RandomStream,
  patient: DemoPatient,
  delivery: DayNumber,
): RoutineVisit | undefined {
  const attended = happens(random, patient.clinic.recall.earlyControl)
  const control = { date: delivery + drawWhole(random, 14, 35), screwChecked: happens(random, 0.6) }
  return attended && control.date <= patient.careEnd ? control : undefined
}
