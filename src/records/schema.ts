import type { TableName } from './dataset.js'
import type { Field } from './schema/field.js'
import { oneSheetFields } from './schema/oneSheetFields.js'
import { restorationFields } from './schema/restorationFields.js'
import { tighteningFields } from './schema/tighteningFields.js'
import { visitFields } from './schema/visitFields.js'

export type { FaultyValue, Field, FieldKind } from './schema/field.js'

/** A sheet that can be read: one of the three tables, or the one-sheet form. */
export type SheetName = TableName | 'one_sheet'

/** The fields of every sheet, in the order of the data dictionary. */
export const sheetFields: Readonly<Record<SheetName, readonly Field[]>> = Object.freeze({
  restorations: Object.freeze(restorationFields),
  tightenings: Object.freeze(tighteningFields),
  visits: Object.freeze(visitFields),
  one_sheet: Object.freeze(oneSheetFields),
})

/** The three tables in the order in which they are read. */
export const tableNames: readonly TableName[] = Object.freeze(['restorations', 'tightenings', 'visits'])

const lookups = new Map<SheetName, ReadonlyMap<string, Field>>(
  Object.entries(sheetFields).map(([sheet, fields]) => [
    sheet as SheetName,
    new Map(fields.map((one) => [one.name, one])),
  ]),
)

/**
 * A field of a sheet by its name, or undefined where the data dictionary has none of that name.
 *
 * @example fieldOf('tightenings', 'target_torque_ncm').unit // => "N·cm"
 */
export function fieldOf(sheet: SheetName, name: string): Field | undefined {
  return lookups.get(sheet)!.get(name)
}

/** Words that stand for "not known" in any field; they are counted as unknown and never guessed. */
const unknownWords: ReadonlySet<string> = new Set([
  '',
  'unknown',
  'not known',
  'n/a',
  'na',
  'n.a.',
  'nk',
  '?',
  '-',
  '–',
  '—',
])

/** Whether a trimmed text says that a value is not known. */
export function saysUnknown(text: string): boolean {
  return text.length <= 9 && unknownWords.has(text.toLowerCase())
}
