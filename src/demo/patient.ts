import { type DayNumber, dayFromIso } from '../core/calendar.js'
import { type Draws, drawLabel, drawNormal, drawWeighted, drawWhole, happens, written } from './draws.js'
import type { DemoClinic, DemoOperator, DemoScenario } from './scenario.js'

/** An invented patient: what the chart says, and what only the generator knows (the frailty). */
export interface DemoPatient {
  readonly id: string
  readonly clinic: DemoClinic
  readonly operator: DemoOperator
  readonly ageYears: number
  readonly birthDay: DayNumber
  readonly sex: string
  /** Shared by all restorations of the patient; mean 1. */
  readonly frailty: number
  readonly bruxism: string
  readonly bruxismWritten: string | undefined
  readonly occlusalGuard: string | undefined
  readonly occlusalScheme: string | undefined
  readonly firstDelivery: DayNumber
  /** Deliveries beside the first, in calendar days, the first included; one entry per restoration. */
  readonly deliveries: readonly DayNumber[]
  /** Last day on which the clinic sees or hears of the patient. */
  readonly careEnd: DayNumber
  readonly careEndsBy: 'end of observation' | 'moved' | 'declined' | 'death'
  /** Whether the clinic learns why the patient stays away. */
  readonly endHeardOf: boolean
}

const restorationsPerPatient = { 1: 59, 2: 26, 3: 9.5, 4: 3.5, 5: 1.2, 6: 0.8 }

/** Day number of a date that the scenario states. */
export function scenarioDay(iso: string): DayNumber {
  const day = dayFromIso(iso)
  if (day === undefined) throw new RangeError(`the demo scenario holds ${iso}, which is no ISO date`)
  return day
}

/** Draws one patient. */
export function drawPatient(scenario: DemoScenario, draws: Draws, id: string): DemoPatient {
  const clinic = drawWeighted(draws('clinic_id'), scenario.clinics)
  const operator = drawWeighted(draws('operator_id'), clinic.operators)
  const ageYears = drawNormal(draws('age'), 56, 13, [19, 82], 2)
  const from = scenarioDay(scenario.firstDelivery)
  const to = scenarioDay(scenario.lastDelivery)
  const firstDelivery = drawWhole(draws('first delivery'), from, to)
  const bruxism = drawLabel(draws('bruxism'), { none: 70, possible: 15, probable: 11, definite: 4 })
  const grinds = bruxism === 'probable' || bruxism === 'definite'
  const guarded = happens(draws('occlusal_guard'), grinds ? 0.55 : 0.06)
  const scheme = drawLabel(draws('occlusal_scheme'), {
    canine: 48,
    group: 28,
    mutually_protected: 20,
    lingualised: 1,
    other: 3,
  })
  return {
    id,
    clinic,
    operator,
    ageYears,
    birthDay: firstDelivery - Math.round(ageYears * 365.25),
    sex: drawLabel(draws('sex'), { female: 53, male: 46, other: 0.4, unknown: 0.6 }),
    frailty:
      scenario.frailtyVariance === 0
        ? 1
        : draws('frailty').gamma(1 / scenario.frailtyVariance) * scenario.frailtyVariance,
    bruxism,
    bruxismWritten: written(draws('bruxism empty'), bruxism, 0.04),
    occlusalGuard: written(draws('occlusal_guard empty'), guarded ? 'yes' : 'no', 0.12),
    occlusalScheme: written(draws('occlusal_scheme empty'), scheme, 0.2),
    firstDelivery,
    deliveries: drawDeliveries(draws, firstDelivery, to),
    ...drawCareEnd(scenario, draws, firstDelivery, ageYears),
  }
}

function drawDeliveries(draws: Draws, first: DayNumber, last: DayNumber): readonly DayNumber[] {
  const random = draws('deliveries')
  const count = Number(drawLabel(random, restorationsPerPatient))
  const deliveries = [first]
  while (deliveries.length < count) {
    const together = happens(random, 0.65)
    const later = deliveries[deliveries.length - 1]! + drawWhole(random, 28, 900)
    deliveries.push(together || later > last ? deliveries[deliveries.length - 1]! : later)
  }
  return deliveries
}

/** Gompertz hazard of death: the rate grows from the age at delivery on. */
export function deathHazard(scenario: DemoScenario, ageYears: number, years: number): number {
  const { deathPerYearAt60, deathDoublingYears } = scenario.competing
  const growth = Math.log(2) / deathDoublingYears
  return (
    (deathPerYearAt60 * 2 ** ((ageYears - 60) / deathDoublingYears) * Math.expm1(growth * years)) / growth
  )
}

function drawCareEnd(
  scenario: DemoScenario,
  draws: Draws,
  firstDelivery: DayNumber,
  ageYears: number,
): Pick<DemoPatient, 'careEnd' | 'careEndsBy' | 'endHeardOf'> {
  const { competing, lossToFollowUp } = scenario
  const end = scenarioDay(scenario.endOfObservation)
  const growth = Math.log(2) / competing.deathDoublingYears
  const atDelivery = deathHazard(scenario, ageYears, 1) / Math.expm1(growth)
  const deathYears = Math.log1p(draws('death').exponential() / atDelivery) / growth
  const lossYears = draws('lost').exponential() / lossToFollowUp.perYear
  const moved = happens(draws('lost by moving'), 0.6)
  const diesInCare = deathYears <= lossYears
  const endHeardOf = happens(
    draws('end of care heard of'),
    diesInCare ? competing.deathHeardOf : lossToFollowUp.heardOf,
  )
  const careEnd = firstDelivery + Math.ceil(Math.min(deathYears, lossYears) * 365.25)
  if (careEnd > end) return { careEnd: end, careEndsBy: 'end of observation', endHeardOf: false }
  return { careEnd, careEndsBy: diesInCare ? 'death' : moved ? 'moved' : 'declined', endHeardOf }
}

/** A visit that was not brought about by a complaint; at a recall everything in the mouth is looked at. */
export interface RoutineVisit {
  readonly date: DayNumber
  readonly screwChecked: boolean
}

/** A recall sees only restorations that have been in place for at least so many days. */
const leastDaysInPlace = 10

/** Draws the recalls of a patient, from the first delivery to the end of care. */
export function drawRecalls(draws: Draws, patient: DemoPatient): readonly RoutineVisit[] {
  const { recall } = patient.clinic
  const visits: RoutineVisit[] = []
  let due = patient.firstDelivery + recall.firstDays
  for (let number = 0; due < patient.careEnd; number++) {
    // Appointments slip late more easily than early.
    const slip = draws('recall day', number)
    const date = Math.round(due + 24 * slip.normal() + 12 * slip.exponential())
    const attended = happens(draws('recall attended', number), recall.attendance)
    const screwChecked = happens(draws('recall check', number), recall.check)
    const after = visits[visits.length - 1]?.date ?? patient.firstDelivery
    if (attended && date > after && date <= patient.careEnd) visits.push({ date, screwChecked })
    due += recall.intervalDays
  }
  return visits
}

/** Visits at which a restoration is seen, in order: its early control, if there was one, and the patient's recalls. */
export function routineVisitsOf(
  draws: Draws,
  patient: DemoPatient,
  recalls: readonly RoutineVisit[],
  delivery: DayNumber,
): readonly RoutineVisit[] {
  const control = drawControl(draws, patient, delivery)
  const due = recalls.filter((visit) => visit.date >= delivery + leastDaysInPlace)
  if (control === undefined) return due
  const others = due.filter((visit) => Math.abs(visit.date - control.date) > 7)
  return [...others, control].sort((left, right) => left.date - right.date)
}

/** The early control after a delivery: restorations delivered together are seen together. */
function drawControl(draws: Draws, patient: DemoPatient, delivery: DayNumber): RoutineVisit | undefined {
  const random = draws('early control', delivery)
  const attended = happens(random, patient.clinic.recall.earlyControl)
  const control = { date: delivery + drawWhole(random, 14, 35), screwChecked: happens(random, 0.6) }
  return attended && control.date <= patient.careEnd ? control : undefined
}
