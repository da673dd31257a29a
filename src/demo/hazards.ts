import { type DayNumber, yearOfDay } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { weightOf } from './draws.js'
import { type DemoPatient, scenarioDay } from './patient.js'
import type { DemoScenario, TrueProtocol } from './scenario.js'
import type { DemoSite } from './site.js'

const daysOf3Years = 3 * 365.25

/** Hazard of first loosening against the reference restoration, given everything that acts on it, frailty included. */
export function looseningMultiplier(
  scenario: DemoScenario,
  patient: DemoPatient,
  site: DemoSite,
  protocol: TrueProtocol,
  delivery: DayNumber,
): number {
  if (site.connection === 'screwless') return 0
  const ratios = scenario.hazardRatios
  const yearsLater = yearOfDay(delivery) - yearOfDay(scenarioDay(scenario.firstDelivery))
  return (
    patient.frailty *
    patient.clinic.hazardRatio *
    ratios.tightening[protocol] *
    weightOf(ratios.region, site.region) *
    weightOf(ratios.connection, site.connection) *
    weightOf(ratios.bruxism, patient.bruxism) *
    weightOf(ratios.restorationType, site.type) *
    ratios.perDeliveryYear ** yearsLater
  )
}

/** Days from tightening to loosening under the Weibull hazard times the multiplier; Infinity where it is 0. */
export function drawLooseningDays(scenario: DemoScenario, random: RandomStream, multiplier: number): number {
  const { weibullShape, cumulativeHazardAt3Years } = scenario.baseline
  const threshold = random.exponential() / (cumulativeHazardAt3Years * multiplier)
  return daysOf3Years * threshold ** (1 / weibullShape)
}

/** How and on which day after delivery a restoration is lost or taken out for another cause. */
export interface DemoEnding {
  readonly day: number
  readonly cause: 'implant loss' | 'remade' | 'removed'
}

/** Draws the competing event that comes first. */
export function drawEnding(scenario: DemoScenario, random: RandomStream): DemoEnding {
  const { implantLossAtOneYear, implantLossShape, removalPerYear, remadeShare } = scenario.competing
  const lossYears = (random.exponential() / implantLossAtOneYear) ** (1 / implantLossShape)
  const removalYears = random.exponential() / removalPerYear
  const remade = random.uniform() < remadeShare
  const day = Math.max(1, Math.ceil(Math.min(lossYears, removalYears) * 365.25))
  if (lossYears <= removalYears) return { day, cause: 'implant loss' }
  return { day, cause: remade ? 'remade' : 'removed' }
}

/** Another complication that neither loosens the screw nor ends the restoration. */
export interface DemoComplication {
  readonly day: number
  readonly finding: string
  readonly action: string
  /** Whether it brings the patient in; otherwise it waits for the next visit. */
  readonly symptomatic: boolean
}

/** Complications per year, by the kind of restoration. */
function complicationRates(
  site: DemoSite,
): readonly (readonly [finding: string, action: string, perYear: number])[] {
  const cemented = site.retention !== 'screw'
  const filled = site.retention !== 'cement'
  const material = site.details.crown_material
  const layered = material === 'metal_ceramic' || material === 'veneered_zirconia'
  return [
    ['veneer_chipping', 'repaired', layered ? 0.012 : 0.001],
    ['access_filling_loss', 'repaired', filled ? 0.014 : 0],
    ['loss_of_retention', 'recemented', cemented ? 0.01 : 0],
    ['screw_fracture', 'screw_replaced', site.connection === 'screwless' ? 0 : 0.001],
    ['framework_fracture', 'watched', site.screws.length > 1 ? 0.002 : 0],
    ['other', 'watched', 0.004],
  ]
}

/** Draws the other complications up to a day after delivery, in order. */
export function drawComplications(
  random: RandomStream,
  site: DemoSite,
  untilDay: number,
): readonly DemoComplication[] {
  const complications: DemoComplication[] = []
  for (const [finding, action, perYear] of complicationRates(site)) {
    if (perYear === 0) continue
    let day = (random.exponential() / perYear) * 365.25
    while (day <= untilDay) {
      complications.push({
        day: Math.max(1, Math.ceil(day)),
        finding,
        action,
        symptomatic: random.uniform() < 0.5,
      })
      day += (random.exponential() / perYear) * 365.25
    }
  }
  return complications.sort((left, right) => left.day - right.day)
}
