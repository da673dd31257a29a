import { type DayNumber, dayFromIso } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { drawLabel, drawNormal, drawWeighted, drawWhole, happens, written } from './draws.js'
import type { DemoClinic, DemoOperator, DemoScenario } from './scenario.js'

/** An invented patient: what the chart says, and what only the generator knows (the frailty). */
export interface DemoPatient {
  readonly id: string
  readonly clinic: DemoClinic
  readonly operator: DemoOperator
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
export function drawPatient(scenario: DemoScenario, random: RandomStream, id: string): DemoPatient {
  const clinic = drawWeighted(random, scenario.clinics)
  const operator = drawWeighted(random, clinic.operators)
  const ageYears = drawNormal(random, 56, 13, [19, 82], 2)
  const from = scenarioDay(scenario.firstDelivery)
  const to = scenarioDay(scenario.lastDelivery)
  const firstDelivery = drawWhole(random, from, to)
  const bruxism = drawLabel(random, { none: 70, possible: 15, probable: 11, definite: 4 })
  const grinds = bruxism === 'probable' || bruxism === 'definite'
  return {
    id,
    clinic,
    operator,
    birthDay: firstDelivery - Math.round(ageYears * 365.25),
    sex: drawLabel(random, { female: 53, male: 46, other: 0.4, unknown: 0.6 }),
    frailty:
      scenario.frailtyVariance === 0
        ? 1
        : random.gamma(1 / scenario.frailtyVariance) * scenario.frailtyVariance,
    bruxism,
    bruxismWritten: written(random, bruxism, 0.04),
    occlusalGuard: written(random, happens(random, grinds ? 0.55 : 0.06) ? 'yes' : 'no', 0.12),
    occlusalScheme: written(
      random,
      drawLabel(random, { canine: 48, group: 28, mutually_protected: 20, lingualised: 1, other: 3 }),
      0.2,
    ),
    firstDelivery,
    deliveries: drawDeliveries(random, firstDelivery, to),
    ...drawCareEnd(scenario, random, firstDelivery, ageYears),
  }
}

function drawDeliveries(random: RandomStream, first: DayNumber, last: DayNumber): readonly DayNumber[] {
  const count = Number(drawLabel(random, restorationsPerPatient))
  const deliveries = [first]
  while (deliveries.length < count) {
    const together = happens(random, 0.65)
    const later = deliveries[deliveries.length - 1]! + drawWhole(random, 28, 900)
    deliveries.push(together || later > last ? deliveries[deliveries.length - 1]! : later)
  }
  return deliveries
}

function drawCareEnd(
  scenario: DemoScenario,
  random: RandomStream,
  firstDelivery: DayNumber,
  ageYears: number,
): Pick<DemoPatient, 'careEnd' | 'careEndsBy' | 'endHeardOf'> {
  const { competing, lossToFollowUp } = scenario
  const end = scenarioDay(scenario.endOfObservation)
  const deathRate = competing.deathPerYearAt60 * 2 ** ((ageYears - 60) / competing.deathDoublingYears)
  // Gompertz hazard: the rate grows from the age at delivery on.
  const growth = Math.log(2) / competing.deathDoublingYears
  const deathYears = Math.log1p((growth * random.exponential()) / deathRate) / growth
  const lossYears = random.exponential() / lossToFollowUp.perYear
  const moved = happens(random, 0.6)
  const diesInCare = deathYears <= lossYears
  const endHeardOf = happens(random, diesInCare ? competing.deathHeardOf : lossToFollowUp.heardOf)
  const careEnd = firstDelivery + Math.ceil(Math.min(deathYears, lossYears) * 365.25)
  if (careEnd > end) return { careEnd: end, careEndsBy: 'end of observation', endHeardOf: false }
  return { careEnd, careEndsBy: diesInCare ? 'death' : moved ? 'moved' : 'declined', endHeardOf }
}
