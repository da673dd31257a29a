import { takenIntegers, takenRows } from '../core/columns.js'
import type { LinkedTable, RecordSet } from '../records/dataset.js'

/**
 * The records as they stood at the end of a day: later visits and tightenings are left out, so that nothing found
 * afterwards says anything about the time before. Restorations delivered later keep their row, without a visit.
 *
 * @param lastDay calendar day number
 */
export function recordsUntil<State extends 'local' | 'shareable'>(
  records: RecordSet<State>,
  lastDay: number,
): RecordSet<State> {
  const delivery = records.restorations.day('delivery_date')
  return Object.freeze({
    ...records,
    visits: until(records.visits, delivery, lastDay),
    tightenings: until(records.tightenings, delivery, lastDay),
  })
}

function until(table: LinkedTable, delivery: Int32Array, lastDay: number): LinkedTable {
  const days = table.day('days_since_delivery')
  const kept: number[] = []
  const firstRow = new Int32Array(table.firstRow.length)
  delivery.forEach((delivered, restoration) => {
    for (let row = table.firstRow[restoration]!; row < table.firstRow[restoration + 1]!; row++) {
      // A day that is not known is below all others, and so is what is reckoned from one: it stays.
      if (delivered + days[row]! <= lastDay) kept.push(row)
    }
    firstRow[restoration + 1] = kept.length
  })
  const ints = (column: Int32Array): Int32Array => takenIntegers(column, kept)
  return {
    ...table,
    rowCount: kept.length,
    sourceRow: ints(table.sourceRow),
    restoration: ints(table.restoration),
    firstRow,
    has: (field) => table.has(field),
    category: (field) => {
      const { labels, codes } = table.category(field)
      return { labels, codes: ints(codes) }
    },
    number: (field) => {
      return takenRows(table.number(field), kept)
    },
    day: (field) => ints(table.day(field)),
  }
}
