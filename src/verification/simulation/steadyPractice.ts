import { dayNumber, daysPerYear } from '../../core/calendar.js'
import type { RandomStream } from '../../core/random.js'
import type { RecordSet } from '../../records/dataset.js'
import { type MemoryRow, memoryRecords } from '../../records/memoryRecords.js'

/** A practice that goes on steadily, for studies of watching and planning (docs/verification). */
export interface SteadyPractice {
  readonly crownsPerYear: number
  readonly years: number
  /** Risk of loosening by 3 years of a patient of average frailty. */
  readonly risk: number
  /** Variance of the gamma frailty that the crowns of a patient share. */
  readonly frailtyVariance: number
  readonly lossPerYear: number
  readonly shareRepeated: number
  /** Share of scheduled checks that are kept, by years since the first delivery; default all. */
  readonly attendance?: (year: number) => number
  /** Years since the first delivery from which deliveries have twice the hazard; default never. */
  readonly doubledFrom?: number
  /** What the year of delivery does to the hazard, years since the first delivery; default nothing. */
  readonly hazardOfYear?: (year: number) => number
  /** Share of patients with bruxism by the year of delivery, and what it does to the hazard; default not recorded. */
  readonly bruxism?: { readonly share: (year: number) => number; readonly hazardRatio: number }
}

const shape = 0.8
const patientsPerCrown = 1 / 1.5
const felt = 1 / 3

/** First day of delivery of every such practice. */
export const firstDelivery = dayNumber(2000, 1, 3)!

/** Draws such a practice with everything that is ever recorded of it; what is known on a day gives `recordsUntil`. */
export function steadyPractice(practice: SteadyPractice, random: RandomStream): RecordSet {
  const restorations: MemoryRow[] = []
  const tightenings: MemoryRow[] = []
  const visits: MemoryRow[] = []
  const { crownsPerYear, years, frailtyVariance } = practice
  const patients = Math.round(crownsPerYear * years * patientsPerCrown)
  for (let patient = 0; patient < patients; patient++) {
    const frailty = frailtyVariance > 0 ? random.gamma(1 / frailtyVariance) * frailtyVariance : 1
    const came = Math.floor(years * daysPerYear * random.uniform())
    const lost = (daysPerYear * random.exponential()) / practice.lossPerYear
    const operator = random.index(4)
    const { bruxism } = practice
    const bruxes = bruxism !== undefined && random.uniform() < bruxism.share(came / daysPerYear)
    const u = random.uniform()
    const count = u < 0.6 ? 1 : u < 0.9 ? 2 : 3
    for (let k = 0; k < count; k++) {
      const id = `P${patient}R${k}`
      const repeated = random.uniform() < practice.shareRepeated
      restorations.push({
        restoration_id: id,
        patient_id: `P${patient}`,
        clinic_id: 'clinic',
        operator_id: `operator_${operator}`,
        delivery_date: firstDelivery + came,
        restoration_type: 'single_crown',
        connection: 'internal_hex',
        ...(bruxism === undefined ? {} : { bruxism: bruxes ? 'yes' : 'no' }),
        tightening_reason: 'operator_choice',
      })
      tightenings.push(tightening(id, 0))
      if (repeated) tightenings.push(tightening(id, 12))
      const scale =
        (-Math.log1p(-practice.risk) / 3 ** shape) *
        frailty *
        (bruxes ? bruxism.hazardRatio : 1) *
        (practice.hazardOfYear?.(came / daysPerYear) ?? 1) *
        (came / daysPerYear >= (practice.doubledFrom ?? Number.POSITIVE_INFINITY) ? 2 : 1)
      const loose = daysPerYear * (random.exponential() / scale) ** (1 / shape)
      follow(practice, random, { id, came, loose, last: Math.min(lost, years * daysPerYear - came) }, visits)
    }
  }
  return memoryRecords({ restorations, tightenings, visits }, 'simulated: steady practice')
}

function tightening(id: string, minutes: number): MemoryRow {
  return {
    restoration_id: id,
    minutes_since_first: minutes,
    days_since_delivery: 0,
    context: 'delivery',
    action: minutes === 0 ? 'tighten' : 'tighten_again',
  }
}

function follow(
  { attendance = () => 1 }: SteadyPractice,
  random: RandomStream,
  crown: { readonly id: string; readonly came: number; readonly loose: number; readonly last: number },
  visits: MemoryRow[],
): void {
  const { id, came, loose, last } = crown
  const call =
    random.uniform() < felt ? Math.ceil(loose + 21 * random.exponential()) : Number.POSITIVE_INFINITY
  for (let recall = 1; ; recall++) {
    const check = Math.max(1, Math.round(recall * daysPerYear + 20 * random.normal()))
    const kept = random.uniform() < attendance((came + check) / daysPerYear)
    const day = Math.min(check, call)
    if (day > last) return
    if (day === check && call > check && !kept) continue
    visits.push({
      restoration_id: id,
      days_since_delivery: day,
      visit_type: day === check ? 'scheduled' : 'unscheduled',
      screw_checked: 'yes',
      finding: loose <= day ? 'screw_loosening' : 'none',
      restoration_status: 'in_place',
    })
    if (loose <= day) return
  }
}
