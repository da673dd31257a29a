import { dayNumber } from '../../src/core/calendar.js'
import type { RandomStream } from '../../src/core/random.js'
import type { RecordSet } from '../../src/records/dataset.js'
import { type MemoryRow, memoryRecords } from '../../src/records/memoryRecords.js'

/** What is true of a simulated practice; docs/verification/fair-comparison.md states the scenarios. */
export interface PracticeScenario {
  readonly name: string
  readonly patients: number
  /** Hazard ratio of a repeated against a single tightening, given the patient's frailty. */
  readonly hazardRatio: number
  /** Cumulative hazard by 3 years of a premolar, single tightening, average patient, first year of delivery. */
  readonly cumulativeHazardAt3Years: number
  /** Hazard for each year that delivery is later. */
  readonly perDeliveryYear: number
  /** Probability of a repeat by year of delivery (from 0), before site and bruxism are looked at. */
  readonly repeatShareOf: (year: number) => number
  /** Days between scheduled checks, by protocol. */
  readonly recallDays: { readonly single: number; readonly repeated: number }
  /** Share of loose screws that bring the patient in, three weeks later on average. */
  readonly symptomatic: number
  /** Share of singly tightened screws found tight at the first check that are tightened there; of no effect. */
  readonly tightenedAtRecall: number
  /** Number of events found in the two groups that a practice must have to be taken; default any. */
  readonly exactEvents?: number
  /** What has to lead for the words to be right; default an estimate or range whose claim is true. */
  readonly rightKind?: 'not-comparable' | 'cannot-be-known'
}

/** Variance of the gamma frailty that the restorations of a patient share. */
export const frailtyVariance = 0.5

/** Shape of the Weibull time to loosening. */
export const weibullShape = 0.8

/** Removal for other causes, per year. */
export const removalPerYear = 0.01

const lossPerYear = 0.04
const deliveryYears = 6
const firstYear = 2015
const endOfRecords = dayNumber(2024, 12, 31)!
const daysPerYear = 365.25

/** What acts on the hazard and on the choice of protocol alike. */
export interface SimulatedSite {
  readonly region: 'anterior' | 'premolar' | 'molar'
  readonly bruxism: 'none' | 'definite'
  /** Year of delivery, from 0. */
  readonly year: number
}

const regionHazard = { anterior: 0.8, premolar: 1, molar: 1.8 } as const
const regionOdds = { anterior: 0.8, premolar: 1, molar: 1.6 } as const
const positions = { anterior: 11, premolar: 15, molar: 36 } as const

/** Hazard against the reference restoration of an average patient, tightened once. */
export function siteHazard({ region, bruxism, year }: SimulatedSite, scenario: PracticeScenario): number {
  return regionHazard[region] * (bruxism === 'definite' ? 1.8 : 1) * scenario.perDeliveryYear ** year
}

/** Draws the site of a restoration. */
export function drawSite(random: RandomStream, bruxism: SimulatedSite['bruxism']): SimulatedSite {
  const u = random.uniform()
  const region = u < 0.25 ? 'anterior' : u < 0.55 ? 'premolar' : 'molar'
  return { region, bruxism, year: random.index(deliveryYears) }
}

/** Draws whether a patient grinds. */
export function drawBruxism(random: RandomStream): SimulatedSite['bruxism'] {
  return random.uniform() < 0.25 ? 'definite' : 'none'
}

/** Draws a practice and gives its records, as if they had been read from files. */
export function simulatedPractice(scenario: PracticeScenario, random: RandomStream): RecordSet {
  const restorations: MemoryRow[] = []
  const tightenings: MemoryRow[] = []
  const visits: MemoryRow[] = []
  const tables: OpenTables = { restorations, tightenings, visits }
  for (let patient = 0; patient < scenario.patients; patient++) {
    const own = {
      patient,
      bruxism: drawBruxism(random),
      frailty: random.gamma(1 / frailtyVariance) * frailtyVariance,
      clinic: random.index(3),
      lostAfterYears: random.exponential() / lossPerYear,
    }
    const u = random.uniform()
    const count = u < 0.6 ? 1 : u < 0.9 ? 2 : 3
    for (let k = 0; k < count; k++) addRestoration(scenario, random, own, `P${patient}R${k}`, tables)
  }
  return memoryRecords(tables, `simulated: ${scenario.name}`)
}

interface SimulatedPatient {
  readonly patient: number
  readonly bruxism: SimulatedSite['bruxism']
  readonly frailty: number
  readonly clinic: number
  readonly lostAfterYears: number
}

interface OpenTables {
  readonly restorations: MemoryRow[]
  readonly tightenings: MemoryRow[]
  readonly visits: MemoryRow[]
}

function addRestoration(
  scenario: PracticeScenario,
  random: RandomStream,
  patient: SimulatedPatient,
  id: string,
  tables: OpenTables,
): void {
  const site = drawSite(random, patient.bruxism)
  const operator = patient.clinic * 3 + random.index(3)
  const delivery = dayNumber(firstYear + site.year, 1, 1)! + random.index(365)
  const repeated = drawRepeated(scenario, random, site, operator)
  tables.restorations.push({
    restoration_id: id,
    patient_id: `P${patient.patient}`,
    clinic_id: `clinic_${patient.clinic}`,
    operator_id: `operator_${operator}`,
    delivery_date: delivery,
    restoration_type: 'single_crown',
    connection: 'internal_hex',
    tooth_position: positions[site.region],
    bruxism: site.bruxism,
    tightening_reason: 'operator_choice',
  })
  tables.tightenings.push(tightening(id, 0, 'tighten'))
  if (repeated) tables.tightenings.push(tightening(id, 12, 'tighten_again'))
  follow(scenario, random, { id, site, repeated, delivery, patient }, tables)
}

function tightening(id: string, minutes: number, action: string): MemoryRow {
  return {
    restoration_id: id,
    minutes_since_first: minutes,
    days_since_delivery: 0,
    context: 'delivery',
    action,
  }
}

function drawRepeated(
  scenario: PracticeScenario,
  random: RandomStream,
  site: SimulatedSite,
  operator: number,
): boolean {
  const share = scenario.repeatShareOf(site.year)
  // Operators lean one way or the other by the same odds in every scenario, without any effect on the outcome.
  const leaning = [0.6, 1, 1.7][operator % 3]!
  const odds =
    (share / (1 - share)) * leaning * regionOdds[site.region] * (site.bruxism === 'definite' ? 1.7 : 1)
  return random.uniform() < odds / (1 + odds)
}

interface FollowedSite {
  readonly id: string
  readonly site: SimulatedSite
  readonly repeated: boolean
  readonly delivery: number
  readonly patient: SimulatedPatient
}

/** Visits of one restoration: checks by schedule, a call three weeks after loosening where it is felt, and its end. */
function follow(
  scenario: PracticeScenario,
  random: RandomStream,
  { id, site, repeated, delivery, patient }: FollowedSite,
  tables: OpenTables,
): void {
  const hazard = patient.frailty * siteHazard(site, scenario) * (repeated ? scenario.hazardRatio : 1)
  const scale = (scenario.cumulativeHazardAt3Years / 3 ** weibullShape) * hazard
  const looseDay =
    scale > 0 ? daysPerYear * (random.exponential() / scale) ** (1 / weibullShape) : Number.POSITIVE_INFINITY
  const felt = random.uniform() < scenario.symptomatic
  const callDay = felt ? Math.ceil(looseDay + 21 * random.exponential()) : Number.POSITIVE_INFINITY
  const removalDay = Math.ceil((daysPerYear * random.exponential()) / removalPerYear)
  const lastDay = Math.min(endOfRecords - delivery, Math.floor(patient.lostAfterYears * daysPerYear))
  const recall = repeated ? scenario.recallDays.repeated : scenario.recallDays.single
  let due = recall
  for (let first = true; ; first = false) {
    const checkDay = Math.max(1, Math.round(due + 20 * random.normal()))
    const day = Math.min(checkDay, callDay, removalDay)
    if (day > lastDay) return
    const gone = day >= removalDay
    const loose = looseDay <= day
    tables.visits.push(visit(id, day, day === checkDay, loose, gone))
    if (loose || gone) return
    if (first && !repeated && random.uniform() < scenario.tightenedAtRecall) {
      tables.tightenings.push({
        restoration_id: id,
        minutes_since_first: 0,
        days_since_delivery: day,
        context: 'recall_check',
        action: 'tighten_again',
      })
    }
    due = day + recall
  }
}

function visit(id: string, day: number, scheduled: boolean, loose: boolean, gone: boolean): MemoryRow {
  return {
    restoration_id: id,
    days_since_delivery: day,
    visit_type: scheduled ? 'scheduled' : 'unscheduled',
    screw_checked: 'yes',
    finding: loose ? 'screw_loosening' : 'none',
    restoration_status: gone ? 'removed' : 'in_place',
    ...(gone ? { removal_reason: 'other' } : {}),
  }
}
