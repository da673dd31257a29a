import type { Cohort } from '../cohort/cohort.js'
import { regions } from '../cohort/covariates.js'
import type { AdjustmentKey } from './planFile.js'

/** A value of what is adjusted for; undefined where it is not known. */
export type AdjustmentValue = string | number | undefined

interface AdjustmentField {
  /** How the report names it. */
  readonly words: string
  readonly read: (cohort: Cohort, rows: Int32Array) => readonly AdjustmentValue[]
}

function category(words: string, field: string): AdjustmentField {
  return {
    words,
    read: (cohort, rows) => {
      const column = cohort.category(field)
      return Array.from(rows, (row) => labelOfRow(column, row))
    },
  }
}

function numeric(words: string, field: string): AdjustmentField {
  return {
    words,
    read: (cohort, rows) => {
      const column = cohort.number(field)
      return Array.from(rows, (row) => (Number.isNaN(column[row]!) ? undefined : column[row]!))
    },
  }
}

const fields: Readonly<Record<AdjustmentKey, AdjustmentField>> = {
  region: {
    words: 'region of the mouth',
    read: (cohort, rows) => {
      const all = regions(cohort)
      return Array.from(rows, (row) => all[row])
    },
  },
  bruxism: category('bruxism', 'bruxism'),
  connection: category('connection', 'connection'),
  delivery_year: {
    words: 'year of delivery',
    read: (cohort, rows) =>
      Array.from(rows, (row) => (cohort.deliveryYear[row] === 0 ? undefined : cohort.deliveryYear[row])),
  },
  component_system: category('component system', 'component_system'),
  implant_diameter_mm: numeric('implant diameter', 'implant_diameter_mm'),
  opposing: category('opposing arch', 'opposing'),
  restoration_type: category('type of restoration', 'restoration_type'),
  retention_mode: category('way of retention', 'retention_mode'),
  crown_material: category('crown material', 'crown_material'),
  crown_height_mm: numeric('crown height', 'crown_height_mm'),
  screw_coating: category('screw coating', 'screw_coating'),
  occlusal_guard: category('occlusal guard', 'occlusal_guard'),
  age_at_delivery_years: numeric('age at delivery', 'age_at_delivery_years'),
  sex: category('sex', 'sex'),
  operator: category('operator', 'operator_id'),
}

/** Values of what is adjusted for, by restorations of the cohort. */
export function readAdjustment(
  cohort: Cohort,
  rows: Int32Array,
  key: AdjustmentKey,
): { readonly words: string; readonly values: readonly AdjustmentValue[] } {
  const { words, read } = fields[key]
  return { words, values: read(cohort, rows) }
}

/** Columns whose levels are codes of the practice and stand as they are. */
const ownCodes: ReadonlySet<string> = new Set([
  'clinic',
  'operator',
  'clinic and operator',
  'component_system',
])

/** Name of a column of an adjustment, `key` or `key=level`, in words: "region of the mouth: molar". */
export function columnWords(name: string): string {
  const at = name.indexOf('=')
  const key = at < 0 ? name : name.slice(0, at)
  const words = Object.hasOwn(fields, key) ? fields[key as AdjustmentKey].words : key
  if (at < 0) return words
  const level = name.slice(at + 1)
  return `${words}: ${ownCodes.has(key) ? level : level.replaceAll('_', ' ')}`
}

/** Label of a row of a category column; undefined where unknown. */
export function labelOfRow(
  column: { readonly labels: readonly string[]; readonly codes: Int32Array },
  row: number,
): string | undefined {
  return column.labels[column.codes[row]!]
}
