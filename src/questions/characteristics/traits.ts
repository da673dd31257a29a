import type { Cohort } from '../../cohort/cohort.js'
import { arches, labelAt, regions } from '../../cohort/covariates.js'
import type { MessageCode } from '../../messages/message.js'
import {
  type CategoryFieldName,
  type CovariateName,
  covariates,
  fieldOf,
  type NumberFieldName,
} from '../../vocabulary/fields.js'

/** Text of each restoration of the cohort; undefined where it is not known. */
type Texts = readonly (string | undefined)[]

/** What is told of restorations and patients as a number. */
export interface NumberTrait {
  readonly kind: 'number'
  readonly field: string
  readonly unit: string
  /** Unknown values are NaN. */
  readonly read: (cohort: Cohort) => Float64Array
}

/** What is told of restorations and patients as a category. */
export interface CategoryTrait {
  readonly kind: 'category'
  readonly field: string
  readonly read: (cohort: Cohort) => Texts
}

/** One trait. */
export type Trait = NumberTrait | CategoryTrait

/** Most years of delivery that are shown one by one; more are put together in fives. */
const mostYears = 8

const listed: readonly Trait[] = [
  number('age_at_delivery_years'),
  category('sex'),
  derived('region', regions),
  derived('arch', arches),
  category('restoration_type'),
  category('retention_mode'),
  category('connection'),
  number('implant_diameter_mm'),
  number('implant_length_mm'),
  number('crown_height_mm'),
  category('abutment_origin'),
  category('crown_material'),
  category('screw_material'),
  category('screw_coating'),
  category('component_system'),
  category('opposing'),
  category('bruxism'),
  category('occlusal_guard'),
  derived('delivery_year', deliveryYears),
  category('clinic_id'),
]

/** Covariates of the vocabulary that have no place of their own in the table; those who treated are not described. */
const others = covariates
  .filter(({ field }) => field.kind !== 'key' && field.kind !== 'date')
  .filter(({ field }) => !listed.some((trait) => trait.field === field.name))
  .map(({ name, field }) => (field.kind === 'code' ? category(name) : number(name)))

/** Every trait that is described, in the order of the table. */
export const traits: readonly Trait[] = Object.freeze([...listed, ...others])

type Labelled = CategoryFieldName | NumberFieldName | CovariateName

/** Fields that a trait may be named for: those that the messages have a name for. */
type NamedTrait =
  Extract<`field.${Labelled}`, MessageCode> extends `field.${infer Name}` ? Name & Labelled : never

function category(field: NamedTrait): CategoryTrait {
  return derived(field, (cohort) => {
    const column = cohort.category(field as CategoryFieldName)
    return Array.from({ length: cohort.n }, (_one, row) => labelAt(column, row))
  })
}

function derived(field: NamedTrait, read: (cohort: Cohort) => Texts): CategoryTrait {
  return { kind: 'category', field, read }
}

function number(field: NamedTrait): NumberTrait {
  const unit = fieldOf('restorations', field)?.unit ?? ''
  return {
    kind: 'number',
    field,
    unit,
    read: (cohort) => cohort.number(field as NumberFieldName),
  }
}

function deliveryYears(cohort: Cohort): Texts {
  const years = Array.from(cohort.deliveryYear, (year) => (year > 0 ? year : undefined))
  const single = new Set(years).size <= mostYears
  return years.map((year) => {
    if (year === undefined || single) return year?.toString()
    const first = year - (year % 5)
    return `${first}–${first + 4}`
  })
}
