import { type Field, sheetFields } from '../../vocabulary/fields.js'
import { missingDay, unknownCode } from '../columns.js'
import type { FieldCompleteness, GroupCompleteness, LinkedTable, RecordTable } from '../dataset.js'

/**
 * Known and unknown values of every field of the data dictionary that the source had.
 *
 * @param withDates whether the source has dates of delivery; a date and its days since delivery count once, by the
 *   name that goes with that
 */
export function completenessOf(table: RecordTable, withDates: boolean): readonly FieldCompleteness[] {
  return countedFields(table, withDates).map((field) => {
    const isKnown = knownReader(table, field)
    let known = 0
    for (let row = 0; row < table.rowCount; row++) if (isKnown(row)) known++
    return Object.freeze({ table: table.name, field: field.name, known, unknown: table.rowCount - known })
  })
}

/** More groups than these are no clinics and no tightening groups. */
const mostGroups = 500

/**
 * The same by a category of the restorations (clinic, reported tightening group); the rows of visits and tightenings
 * count with their restoration. Empty where the source lacks the category, or has more groups than anybody would read.
 */
export function completenessByGroup(
  tables: {
    readonly restorations: RecordTable
    readonly tightenings: LinkedTable
    readonly visits: LinkedTable
  },
  category: string,
): readonly GroupCompleteness[] {
  const { restorations, tightenings, visits } = tables
  if (!restorations.has(category)) return []
  const { labels, codes } = restorations.category(category)
  if (labels.length > mostGroups) return []
  const groupOf = (code: number): number => (code === unknownCode ? labels.length : code)
  const own = Int32Array.from(codes, groupOf)
  const withDates = restorations.has('delivery_date')
  const linked = (table: LinkedTable): Int32Array => table.restoration.map((row) => own[row]!)
  const names = [...labels, 'unknown']
  return [
    ...groupCounts(restorations, own, names, category, withDates),
    ...groupCounts(tightenings, linked(tightenings), names, category, withDates),
    ...groupCounts(visits, linked(visits), names, category, withDates),
  ]
}

function groupCounts(
  table: RecordTable,
  groups: Int32Array,
  names: readonly string[],
  category: string,
  withDates: boolean,
): readonly GroupCompleteness[] {
  const sizes = new Int32Array(names.length)
  for (const group of groups) sizes[group]!++
  return countedFields(table, withDates)
    .filter((field) => field.name !== category)
    .flatMap((field) => {
      const isKnown = knownReader(table, field)
      const known = new Int32Array(names.length)
      for (let row = 0; row < table.rowCount; row++) if (isKnown(row)) known[groups[row]!]!++
      return names
        .map((group, code) => ({
          table: table.name,
          field: field.name,
          group,
          known: known[code]!,
          unknown: sizes[code]! - known[code]!,
        }))
        .filter((one) => one.known + one.unknown > 0)
    })
}

/** Fields worth counting: not those that the toolkit derives from others itself. */
function countedFields(table: RecordTable, withDates: boolean): readonly Field[] {
  return sheetFields[table.name].filter((field) => {
    if (!table.has(field.name)) return false
    if (field.twin !== undefined) return (field.kind === 'date') === withDates
    if (field.name === 'delivery_year') return !withDates
    return !((field.name === 'arch' || field.name === 'region') && table.has('tooth_position'))
  })
}

function knownReader(table: RecordTable, field: Field): (row: number) => boolean {
  if (field.kind === 'date' || field.kind === 'day') {
    const days = table.day(field.name)
    return (row) => days[row] !== missingDay
  }
  if (field.kind === 'number' || field.kind === 'whole') {
    const numbers = table.number(field.name)
    return (row) => !Number.isNaN(numbers[row])
  }
  const { codes } = table.category(field.name)
  return (row) => codes[row] !== unknownCode
}
