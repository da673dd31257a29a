import { type DayNumber, yearOfDay } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { endpointNames, endpointOf } from '../vocabulary/endpoints.js'
import { type Draws, weightOf } from './draws.js'
import { type DemoPatient, deathHazard, scenarioDay } from './patient.js'
import type { DemoOperator, DemoScenario } from './scenario.js'
import type { DemoSite } from './site.js'

const daysOf3Years = 3 * 365.25

/**
 * Hazard of first loosening against the reference restoration, given everything that acts on it but the way of
 * tightening, frailty included.
 */
export function looseningMultiplier(
  scenario: DemoScenario,
  patient: DemoPatient,
  operator: DemoOperator,
  site: DemoSite,
  delivery: DayNumber,
): number {
  if (site.connection === 'screwless') return 0
  const ratios = scenario.hazardRatios
  const yearsLater = yearOfDay(delivery) - yearOfDay(scenarioDay(scenario.firstDelivery))
  return (
    patient.frailty *
    patient.clinic.hazardRatio *
    operator.hazardRatio *
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
export function drawEnding(scenario: DemoScenario, draws: Draws, order: number): DemoEnding {
  const { implantLossAtOneYear, implantLossShape, removalPerYear, remadeShare } = scenario.competing
  const lossYears =
    (draws('implant loss', order).exponential() / implantLossAtOneYear) ** (1 / implantLossShape)
  const removalYears = draws('removal', order).exponential() / removalPerYear
  const remade = draws('remade', order).uniform() < remadeShare
  const day = Math.max(1, Math.ceil(Math.min(lossYears, removalYears) * 365.25))
  if (lossYears <= removalYears) return { day, cause: 'implant loss' }
  return { day, cause: remade ? 'remade' : 'removed' }
}

/** Steps into which the years up to a horizon are cut, the first ones shorter, where loosening is likeliest. */
const riskSteps = 32

/**
 * True risk of a first loosening by a number of years in the presence of implant loss, removal and death, given the
 * multiplier of its hazard: the integral of the survival of the competing events over the distribution of loosening.
 */
export function trueRisk(
  scenario: DemoScenario,
  multiplier: number,
  ageYears: number,
  years: number,
): number {
  const { baseline, competing } = scenario
  const loose = (at: number): number =>
    -Math.expm1(-multiplier * baseline.cumulativeHazardAt3Years * (at / 3) ** baseline.weibullShape)
  const others = (at: number): number =>
    competing.implantLossAtOneYear * at ** competing.implantLossShape +
    competing.removalPerYear * at +
    deathHazard(scenario, ageYears, at)
  let risk = 0
  let from = 0
  for (let step = 1; step <= riskSteps; step++) {
    const to = years * (step / riskSteps) ** 2
    risk += (loose(to) - loose(from)) * Math.exp(-others((from + to) / 2))
    from = to
  }
  return risk
}

/** Another complication that neither loosens the screw nor ends the restoration. */
export interface DemoComplication {
  readonly day: number
  readonly finding: string
  readonly action: string
  /** Whether it brings the patient in; otherwise it waits for the next visit. */
  readonly symptomatic: boolean
}

type ComplicationRate = readonly [finding: string, action: string, perYear: number]

/** Complications per year, by the kind of restoration, and those endpoints whose rate the vocabulary states. */
function complicationRates(site: DemoSite): readonly ComplicationRate[] {
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
    ...statedRates,
  ]
}

const statedRates: readonly ComplicationRate[] = endpointNames.flatMap((name) => {
  const { findings, demo } = endpointOf(name)
  return demo === undefined ? [] : findings.map((one) => [one, demo.action, demo.perYear] as const)
})

/** Draws the other complications up to a day after delivery, in order. */
export function drawComplications(
  draws: Draws,
  order: number,
  site: DemoSite,
  untilDay: number,
): readonly DemoComplication[] {
  const complications: DemoComplication[] = []
  for (const [finding, action, perYear] of complicationRates(site)) {
    if (perYear === 0) continue
    const random = draws(finding, order)
    let day = (random.exponential() / perYear) * 365.25
    while (day <= untilDay) {
      const symptomatic = random.uniform() < 0.5
      complications.push({ day: Math.max(1, Math.ceil(day)), finding, action, symptomatic })
      day += (random.exponential() / perYear) * 365.25
    }
  }
  return complications.sort((left, right) => left.day - right.day)
}
