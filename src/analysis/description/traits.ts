import type { Cohort } from '../../cohort/cohort.js'
import { archOf, regions } from '../../cohort/covariates.js'
import { labelOfRow } from '../adjustmentFields.js'

/** Text of each restoration of the cohort; undefined where it is not known. */
type Texts = readonly (string | undefined)[]

/** What is told of restorations and patients as a number. */
export interface NumberTrait {
  readonly kind: 'number'
  readonly field: string
  readonly words: string
  readonly unit: string
  /** Unknown values are NaN. */
  readonly read: (cohort: Cohort) => Float64Array
}

/** What is told of restorations and patients as a category. */
export interface CategoryTrait {
  readonly kind: 'category'
  readonly field: string
  readonly words: string
  /** Whether levels are codes of the practice's own, which stand as they are. */
  readonly ownCodes: boolean
  readonly read: (cohort: Cohort) => Texts
}

/** One trait. */
export type Trait = NumberTrait | CategoryTrait

/** Most years of delivery that are shown one by one; more are put together in fives. */
const mostYears = 8

/** Every trait that is described, in the order of the table. */
export const traits: readonly Trait[] = Object.freeze([
  number('age_at_delivery_years', 'age at delivery', 'years'),
  category('sex', 'sex'),
  derived('region', 'region of the mouth', regions),
  derived('arch', 'arch', (cohort) => Array.from(cohort.number('tooth_position'), archOf)),
  category('restoration_type', 'type of restoration'),
  category('retention_mode', 'way of retention'),
  category('connection', 'connection'),
  number('implant_diameter_mm', 'implant diameter', 'mm'),
  number('implant_length_mm', 'implant length', 'mm'),
  number('crown_height_mm', 'crown height', 'mm'),
  category('abutment_origin', 'origin of the abutment'),
  category('crown_material', 'crown material'),
  category('screw_material', 'screw material'),
  category('screw_coating', 'screw coating'),
  { ...category('component_system', 'component system'), ownCodes: true },
  category('opposing', 'opposing arch'),
  category('bruxism', 'bruxism'),
  category('occlusal_guard', 'occlusal guard'),
  derived('delivery_year', 'year of delivery', deliveryYears),
  { ...category('clinic_id', 'clinic'), ownCodes: true },
])

function category(field: string, words: string): CategoryTrait {
  return derived(field, words, (cohort) => {
    const column = cohort.category(field)
    return Array.from({ length: cohort.n }, (_one, row) => labelOfRow(column, row))
  })
}

function derived(field: string, words: string, read: (cohort: Cohort) => Texts): CategoryTrait {
  return { kind: 'category', field, words, ownCodes: false, read }
}

function number(field: string, words: string, unit: string): NumberTrait {
  return { kind: 'number', field, words, unit, read: (cohort) => cohort.number(field) }
}

function deliveryYears(cohort: Cohort): Texts {
  const years = Array.from(cohort.deliveryYear, (year) => (year > 0 ? year : undefined))
  const single = new Set(years).size <= mostYears
  return years.map((year) => {
    if (year === undefined || single) return year?.toString()
    const first = year - (year % 5)
    return `${first} to ${first + 4}`
  })
}
