import type { RandomStream } from '../../core/random.js'
import { deathHazard } from './hazards.js'
import type { Arm, OperatorTraits, PracticeTraits } from './scenario.js'

const daysPerYear = 365.25

/** A patient as the practice meets him. */
export interface Patient {
  readonly index: number
  readonly ageYears: number
  readonly sex: 'female' | 'male'
  readonly bruxism: 'none' | 'possible' | 'probable' | 'definite'
  readonly operator: number
  readonly frailty: number
  /** Days from the first delivery of the practice to the patient's death and to leaving without a word. */
  readonly diesOn: number
  readonly leavesOn: number
  readonly neverComes: boolean
}

/** A crown before anybody has chosen how to tighten it. */
export interface Crown {
  readonly index: number
  readonly patient: Patient
  readonly toothPosition: number
  readonly region: 'anterior' | 'premolar' | 'molar'
  readonly system: 'A' | 'B' | 'C'
  readonly connection: 'conical' | 'internal_hex' | 'external_hex'
  readonly diameterMm: number
  readonly opposing: 'natural' | 'tooth_restoration' | 'implant_fixed' | 'removable'
  /** Days from the first possible delivery. */
  readonly deliveryDay: number
  /** Hazard ratio against the reference crown, without frailty and without the way of tightening. */
  readonly hazardRatio: number
  /** True probability of being tightened again. */
  readonly propensity: number
}

const regionHazards = { anterior: 0.7, premolar: 1, molar: 1.5 } as const
const bruxismHazards = { none: 1, possible: 1.15, probable: 1.5, definite: 1.9 } as const
const connectionHazards = { conical: 0.9, internal_hex: 1, external_hex: 1.4 } as const
const opposingHazards = { natural: 1, tooth_restoration: 1.05, implant_fixed: 1.25, removable: 0.8 } as const
const systemConnections = { A: 'conical', B: 'internal_hex', C: 'external_hex' } as const
const positions = {
  anterior: [11, 12, 13, 21, 22, 23, 31, 33, 41, 43],
  premolar: [14, 15, 24, 25, 34, 35, 44, 45],
  molar: [16, 17, 26, 27, 36, 37, 46, 47],
} as const

/** Draws patients until there are as many crowns as the practice has. */
export function drawCrowns(traits: PracticeTraits, random: RandomStream): readonly Crown[] {
  const crowns: Crown[] = []
  for (let patientIndex = 0; crowns.length < traits.restorations; patientIndex++) {
    const firstDay = Math.floor(random.uniform() * traits.deliveryYears * daysPerYear)
    const patient = drawPatient(traits, random, patientIndex, firstDay)
    const wanted = 1 + chosen(traits.crownsPerPatient, random)
    let day = firstDay
    for (let count = 0; count < wanted; count++) {
      if (count > 0 && random.uniform() < 0.5) {
        day = Math.min(
          day + 60 + Math.floor(random.exponential() * 400),
          Math.floor(traits.deliveryYears * daysPerYear) - 1,
        )
      }
      if (day >= Math.min(patient.diesOn, patient.leavesOn)) continue
      if (crowns.length < traits.restorations) crowns.push(drawCrown(traits, random, patient, crowns, day))
    }
  }
  return crowns
}

function drawPatient(traits: PracticeTraits, random: RandomStream, index: number, firstDay: number): Patient {
  const ageYears = Math.round(Math.min(88, Math.max(19, 56 + 13 * random.normal())))
  const sex = random.uniform() < 0.53 ? 'female' : 'male'
  const bruxism = (['none', 'possible', 'probable', 'definite'] as const)[
    chosen([0.58, 0.22, 0.13, 0.07], random)
  ]!
  const operator = chosen(
    traits.operators.map((one) => one.share),
    random,
  )
  const variance = traits.frailtyVariance
  const frailty = variance === 0 ? 1 : random.gamma(1 / variance) * variance
  const diesAfter = random.exponential() / Math.max(1e-12, deathHazard(traits, ageYears))
  const leavesAfter = random.exponential() / Math.max(1e-12, traits.leaving.perYear)
  const neverComes = random.uniform() < traits.recall.neverCome
  const onDay = (years: number): number => firstDay + 1 + Math.floor(years * daysPerYear)
  return {
    index,
    ageYears,
    sex,
    bruxism,
    operator,
    frailty,
    diesOn: onDay(diesAfter),
    leavesOn: onDay(leavesAfter),
    neverComes,
  }
}

function drawCrown(
  traits: PracticeTraits,
  random: RandomStream,
  patient: Patient,
  before: readonly Crown[],
  deliveryDay: number,
): Crown {
  const region = (['anterior', 'premolar', 'molar'] as const)[chosen([0.22, 0.33, 0.45], random)]!
  const toothPosition = freePosition(region, patient, before, random)
  const system = drawSystem(traits, deliveryDay / daysPerYear, random)
  const connection = systemConnections[system]
  const diameterMm =
    region === 'molar' ? [4.1, 4.8, 5.5][chosen([1, 2, 1], random)]! : [3.3, 3.8, 4.1][random.index(3)]!
  const opposing = (['natural', 'tooth_restoration', 'implant_fixed', 'removable'] as const)[
    chosen([0.6, 0.24, 0.1, 0.06], random)
  ]!
  const operator = traits.operators[patient.operator]!
  const hazardRatio =
    regionHazards[region] *
    bruxismHazards[patient.bruxism] *
    connectionHazards[connection] *
    opposingHazards[opposing] *
    Math.exp(0.1 * (diameterMm - 4)) *
    Math.exp(0.004 * (patient.ageYears - 56)) *
    operator.hazardRatio *
    traits.clinicHazardRatios[operator.clinic]! *
    calendarRatio(traits, deliveryDay / daysPerYear) *
    (traits.step?.withSystem === true && system === 'A' ? traits.step.hazardRatio : 1)
  return {
    index: before.length,
    patient,
    toothPosition,
    region,
    system,
    connection,
    diameterMm,
    opposing,
    deliveryDay,
    hazardRatio,
    propensity: propensityOf(traits, operator, region, patient.bruxism, deliveryDay / daysPerYear),
  }
}

/** A position of the region that the patient does not have yet. */
function freePosition(
  region: keyof typeof positions,
  patient: Patient,
  before: readonly Crown[],
  random: RandomStream,
): number {
  const taken = new Set<number>()
  for (let at = before.length - 1; at >= 0 && before[at]!.patient === patient; at--) {
    taken.add(before[at]!.toothPosition)
  }
  const free = positions[region].filter((position) => !taken.has(position))
  return free[random.index(free.length)]!
}

/** Factor of the calendar day of delivery on the hazard; a step that came with a system acts through the system. */
export function calendarRatio(traits: PracticeTraits, deliveryYears: number): number {
  const trend = Math.exp(traits.trendPerYear * deliveryYears)
  const step = traits.step
  if (step === undefined || step.withSystem || deliveryYears < step.atYears) return trend
  return trend * step.hazardRatio
}

/** True probability of tightening again. */
export function propensityOf(
  traits: PracticeTraits,
  operator: OperatorTraits,
  region: Crown['region'],
  bruxism: Patient['bruxism'],
  deliveryYears: number,
): number {
  const { perYear, shift } = traits.preference
  const share = operator.repeatedShare
  let logOdds = Math.log(share) - Math.log1p(-share)
  logOdds += perYear * (deliveryYears - traits.deliveryYears / 2)
  if (shift !== undefined) {
    const since = deliveryYears - shift.atYears
    const passed =
      shift.widthYears === 0 ? (since >= 0 ? 1 : 0) : 1 / (1 + Math.exp((-4 * since) / shift.widthYears))
    logOdds += shift.logOdds * (passed - 0.5)
  }
  if (region === 'molar') logOdds += traits.preferenceMolar
  if (bruxism === 'probable' || bruxism === 'definite') logOdds += traits.preferenceBruxism
  return 1 / (1 + Math.exp(-logOdds))
}

/** Which system: all three all along, except where a step of the hazard came with a new one. */
function drawSystem(traits: PracticeTraits, deliveryYears: number, random: RandomStream): Crown['system'] {
  const step = traits.step
  const older = chosen([0.5, 0.35, 0.15], random)
  const newest = random.uniform() < 0.92
  if (step === undefined || !step.withSystem) return (['A', 'B', 'C'] as const)[older]!
  const since = deliveryYears >= step.atYears
  return since && newest ? 'A' : older === 0 ? 'B' : (['A', 'B', 'C'] as const)[older]!
}

/** Index drawn with the given chances, which need not add up to 1. */
export function chosen(chances: readonly number[], random: RandomStream): number {
  let rest = random.uniform() * chances.reduce((sum, chance) => sum + chance, 0)
  for (let index = 0; index < chances.length - 1; index++) {
    rest -= chances[index]!
    if (rest < 0) return index
  }
  return chances.length - 1
}

/** Draws the way of tightening of a crown. */
export function drawArm(crown: Crown, random: RandomStream): Arm {
  return random.uniform() < crown.propensity ? 'repeated' : 'single'
}
