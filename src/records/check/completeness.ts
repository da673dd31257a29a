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
  const oneGroup = new Int32Array(table.rowCount)
  return countedFields(table, withDates).map((field) => {
    const known = knownByGroup(table, field, oneGroup, 1)[0]!
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
      const known = knownByGroup(table, field, groups, names.length)
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

/** How many values of a field are known in each group of rows. */
function knownByGroup(table: RecordTable, field: Field, groups: Int32Array, count: number): Int32Array {
  const known = new Int32Array(count)
  if (field.kind === 'date' || field.kind === 'day') {
    const days = table.day(field.name)
    for (let row = 0; row < groups.length; row++) if (days[row] !== missingDay) known[groups[row]!]!++
  } else if (field.kind === 'number' || field.kind === 'whole') {
    const numbers = table.number(field.name)
    for (let row = 0; row < groups.length; row++) if (!Number.isNaN(numbers[row]!)) known[groups[row]!]!++
  } else {
    const { codes } = table.category(field.name)
    for (let row = 0; row < groups.length; row++) if (codes[row] !== unknownCode) known[groups[row]!]!++
  }
  return known
}
