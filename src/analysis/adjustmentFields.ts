import type { Cohort } from '../cohort/cohort.js'
import { covariateValues } from '../cohort/covariates.js'
import { message, speaker } from '../messages/index.js'
import { type CovariateName, covariateNames, covariateOf } from '../vocabulary/fields.js'

/** A value of what is adjusted for; undefined where it is not known. */
export type AdjustmentValue = string | number | undefined

/** Values of what is adjusted for, by restorations of the cohort, and how the report names it. */
export function readAdjustment(
  cohort: Cohort,
  rows: Int32Array,
  key: CovariateName,
): { readonly words: string; readonly values: readonly AdjustmentValue[] } {
  return { words: covariateWords(key), values: covariateValues(cohort, rows, key) }
}

/** Name of a covariate: "region of the mouth". */
function covariateWords(name: CovariateName): string {
  return speaker().text(message(`field.${name}`))
}

/** Strata that models are made within, whose levels are codes of the practice too. */
const strata: readonly string[] = ['clinic', 'clinic and operator']

/** Name of a column of an adjustment, `key` or `key=level`, in words: "region of the mouth: molar". */
export function columnWords(name: string): string {
  const at = name.indexOf('=')
  const key = at < 0 ? name : name.slice(0, at)
  const covariate = covariateNames.find((one) => one === key)
  const words = covariate === undefined ? key : covariateWords(covariate)
  if (at < 0) return words
  const level = name.slice(at + 1)
  const ownCodes =
    strata.includes(key) || (covariate !== undefined && covariateOf(covariate).ownCodes === true)
  return `${words}: ${ownCodes ? level : level.replaceAll('_', ' ')}`
}

/** Label of a row of a category column; undefined where unknown. */
export function labelOfRow(
  column: { readonly labels: readonly string[]; readonly codes: Int32Array },
  row: number,
): string | undefined {
  return column.labels[column.codes[row]!]
}
