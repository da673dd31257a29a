import { daysPerYear } from '../core/calendar.js'
import { listOfRows } from '../core/columns.js'
import { type CategoryColumn, labelAt } from '../records/columns.js'
import {
  type CategoryFieldName,
  type CovariateName,
  covariateOf,
  type NumberFieldName,
  numberKinds,
} from '../vocabulary/fields.js'
import type { Cohort } from './cohort.js'
import { knownDeliveryDay } from './deliveryDay.js'
import { archesOf, regionsOf } from './region.js'

export { labelAt } from '../records/columns.js'
export type { Region } from './region.js'

/** A covariate by the rows of the cohort: texts, undefined where unknown. */
export type TextCovariate = readonly (string | undefined)[]

/** Region of each restoration of the cohort. */
export function regions(cohort: Cohort): TextCovariate {
  return regionsOf(cohort)
}

/** Arch of each restoration of the cohort. */
export function arches(cohort: Cohort): TextCovariate {
  return archesOf(cohort)
}

/** A category field of each restoration of the cohort as texts. */
export function textCovariate(cohort: Cohort, field: CategoryFieldName): TextCovariate {
  const column = cohort.category(field)
  return Array.from({ length: cohort.n }, (_one, row) => labelAt(column, row))
}

/** How labels are put together. */
interface Together {
  /** What stands between them; default ` · `. */
  readonly between?: string
  /** What stands for one that is not known; default `unknown`. */
  readonly unknown?: string
}

/** Labels of several columns by the rows asked for, put together: one text for each combination, which all its rows share. */
export function labelsTogether(
  columns: readonly CategoryColumn[],
  rows: Int32Array,
  { between = ' · ', unknown = 'unknown' }: Together = {},
): readonly string[] {
  const texts = new Map<number, string>()
  return listOfRows(rows, (row) => {
    let combination = 0
    for (const { labels, codes } of columns) combination = combination * (labels.length + 1) + codes[row]! + 1
    const known = texts.get(combination)
    if (known !== undefined) return known
    const text = columns.map((column) => labelAt(column, row) ?? unknown).join(between)
    texts.set(combination, text)
    return text
  })
}

/** Values of a covariate by the rows asked for: texts or numbers, undefined where unknown. */
export type CovariateValues = readonly (string | number | undefined)[]

/** Covariates that are read off something other than the column of their field. */
const derivedCovariates: {
  readonly [Name in CovariateName]?: (cohort: Cohort, row: number) => string | number | undefined
} = {
  delivery_day: deliveryInYears,
  delivery_year: ({ deliveryYear }, row) => (deliveryYear[row]! > 0 ? deliveryYear[row]! : undefined),
}

/**
 * What a covariate says of rows of the cohort.
 *
 * @throws UsageError `unknown-name` where there is no covariate of that name
 */
export function covariateValues(cohort: Cohort, rows: Int32Array, name: CovariateName): CovariateValues {
  const { field } = covariateOf(name)
  if (name === 'region') {
    const all = regions(cohort)
    return listOfRows(rows, (row) => all[row])
  }
  const derived = derivedCovariates[name]
  if (derived !== undefined) return listOfRows(rows, (row) => derived(cohort, row))
  if (numberKinds.includes(field.kind)) {
    const numbers = cohort.number(field.name as NumberFieldName)
    return listOfRows(rows, (row) => (Number.isNaN(numbers[row]!) ? undefined : numbers[row]!))
  }
  const column = cohort.category(field.name as CategoryFieldName)
  return listOfRows(rows, (row) => labelAt(column, row))
}

/** Day of delivery in years since 1970; of a year alone the middle is taken. */
function deliveryInYears(cohort: Cohort, row: number): number | undefined {
  const day = knownDeliveryDay(cohort, row)
  if (day !== undefined) return day / daysPerYear
  const year = cohort.deliveryYear[row]!
  return year > 0 ? year - 1970 + 0.5 : undefined
}
