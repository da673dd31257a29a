import { yearOfDay } from '../../core/calendar.js'
import { type CategoryColumn, columnRoom, missingDay, unknownCode } from '../columns.js'
import type { LinkedTable, RecordTable } from '../dataset.js'
import { linkedTable, restorationTable, type TableColumns } from '../recordTable.js'
import { archOf, regionOf } from '../understand/toothPosition.js'
import { rowStatus, type TypedTable } from '../understand/typedTable.js'
import { datesToDays } from './datesToDays.js'
import type { LinkedRows } from './linkRows.js'

/** The restorations that are kept, with what is derived from their fields, and the new position of each old row. */
export function finishRestorations(table: TypedTable): {
  readonly restorations: RecordTable
  readonly positionOfRow: Int32Array
} {
  const kept = keptInOrder(table)
  const positionOfRow = new Int32Array(table.rowCount).fill(-1)
  kept.forEach((row, position) => {
    positionOfRow[row] = position
  })
  const delivery = table.dates.get('delivery_date')
  datesToDays(table, (row) => delivery?.[row] ?? missingDay)
  const columns = gathered(table, kept)
  const days = new Map(columns.days)
  if (delivery !== undefined)
    days.set(
      'delivery_date',
      kept.map((row) => delivery[row]!),
    )
  const numbers = new Map(columns.numbers)
  addDeliveryYear(numbers, days, kept.length)
  const categories = new Map(columns.categories)
  addDerivedPositions(categories, numbers)
  const restorations = restorationTable(sourceRows(table, kept), { categories, numbers, days })
  return { restorations, positionOfRow }
}

/** The rows of a linked table that are kept, in order, with their restorations. */
export function finishLinked(
  name: 'tightenings' | 'visits',
  linked: LinkedRows,
  positionOfRow: Int32Array,
  restorations: RecordTable,
): LinkedTable {
  const { table, order, restoration, day } = linked
  const kept = order.filter(
    (row) => table.status[row] === rowStatus.kept && positionOfRow[restoration[row]!]! >= 0,
  )
  const position = kept.map((row) => positionOfRow[restoration[row]!]!)
  const count = restorations.rowCount
  const firstRow = new Int32Array(count + 1)
  for (const one of position) firstRow[one + 1]!++
  for (let one = 0; one < count; one++) firstRow[one + 1]! += firstRow[one]!
  const columns = gathered(table, kept)
  const categories = new Map(columns.categories)
  const named = categories.get('restoration_id')
  if (named !== undefined && restorations.has('restoration_id'))
    categories.set('restoration_id', namedAlike(named, restorations.category('restoration_id'), position))
  const days = new Map(columns.days)
  days.set(
    'days_since_delivery',
    kept.map((row) => day[row]!),
  )
  return linkedTable(
    name,
    sourceRows(table, kept),
    { ...columns, categories, days },
    { restoration: position, firstRow },
  )
}

/** Names of restorations in a linked table by the names that they have in their own: a second list of them would be as large. */
function namedAlike(named: CategoryColumn, own: CategoryColumn, position: Int32Array): CategoryColumn {
  const { codes } = named
  for (let row = 0; row < codes.length; row++) {
    if (codes[row] !== unknownCode) codes[row] = own.codes[position[row]!]!
  }
  return Object.freeze({ labels: own.labels, codes })
}

function sourceRows(table: TypedTable, kept: Int32Array): Int32Array {
  return kept.map((row) => table.sourceRow[row]!)
}

function keptInOrder(table: TypedTable): Int32Array {
  const rows = Int32Array.from({ length: table.rowCount }, (_, row) => row)
  return rows.filter((row) => table.status[row] === rowStatus.kept)
}

/**
 * Columns of the kept rows, in memory that threads share. They are taken out of the table, which is done with: what is read of a
 * large practice stands in memory once.
 */
function gathered(table: TypedTable, kept: Int32Array): TableColumns {
  const bytes = kept.length * (8 * table.numbers.size + 4 * (table.categories.size + table.days.size))
  const room = columnRoom(new SharedArrayBuffer(bytes))
  const numbers = new Map<string, Float64Array>()
  for (const [field, values] of table.numbers) {
    numbers.set(field, room.numbers(values, kept))
    table.numbers.delete(field)
  }
  const categories = new Map<string, CategoryColumn>()
  for (const [field, { labels, codes }] of table.categories) {
    const column = { labels: Object.freeze(labels), codes: room.codes(codes, kept) }
    categories.set(field, Object.freeze(column))
    table.categories.delete(field)
  }
  const days = new Map<string, Int32Array>()
  for (const [field, values] of table.days) {
    days.set(field, room.codes(values, kept))
    table.days.delete(field)
  }
  return { categories, numbers, days }
}

function addDeliveryYear(
  numbers: Map<string, Float64Array>,
  days: Map<string, Int32Array>,
  count: number,
): void {
  const delivery = days.get('delivery_date')
  const stated = numbers.get('delivery_year')
  const years = Float64Array.from({ length: count }, (_, row) => {
    const day = delivery?.[row] ?? missingDay
    return day === missingDay ? (stated?.[row] ?? Number.NaN) : yearOfDay(day)
  })
  numbers.set('delivery_year', years)
}

function addDerivedPositions(
  categories: Map<string, CategoryColumn>,
  numbers: Map<string, Float64Array>,
): void {
  const position = categories.get('tooth_position')
  if (position === undefined) return
  const numberOf = position.labels.map(Number)
  numbers.set(
    'tooth_position',
    Float64Array.from(position.codes, (code) => (code === unknownCode ? Number.NaN : numberOf[code]!)),
  )
  categories.set('arch', derived(position, numberOf, ['upper', 'lower'], archOf))
  categories.set('region', derived(position, numberOf, ['anterior', 'premolar', 'molar'], regionOf))
}

function derived(
  position: CategoryColumn,
  numberOf: readonly number[],
  labels: readonly string[],
  labelOf: (position: number) => string,
): CategoryColumn {
  const codeOfPosition = numberOf.map((number) => labels.indexOf(labelOf(number)))
  const codes = position.codes.map((code) => (code === unknownCode ? unknownCode : codeOfPosition[code]!))
  return Object.freeze({ labels: Object.freeze(labels), codes })
}
