import type { ProblemList } from '../problems.js'
import { forEachShared, groupRows } from './rowGroups.js'
import { rowStatus, type TypedTable } from './typedTable.js'

/** An order of rows in which rows that are equal in every field stand together. */
export function rowOrder(table: TypedTable): (left: number, right: number) => number {
  const whole: Int32Array[] = [
    ...[...table.categories.values()].map((column) => column.codes),
    ...table.dates.values(),
    ...table.days.values(),
  ]
  const numbers = [...table.numbers.values()]
  return (left, right) => {
    for (const column of whole) if (column[left] !== column[right]) return column[left]! - column[right]!
    for (const column of numbers) {
      if (Object.is(column[left], column[right])) continue
      if (Number.isNaN(column[left])) return 1
      return Number.isNaN(column[right]) ? -1 : column[left]! - column[right]!
    }
    return 0
  }
}

/** Marks a row as an identical repeat of an earlier one, which counts once. */
function markRepeated(table: TypedTable, row: number, problems: ProblemList): void {
  table.status[row] = rowStatus.repeated
  problems.add(
    {
      severity: 'note',
      code: 'identical-row',
      file: table.file,
      problem: 'the row is identical to an earlier one in every field and was counted once.',
      expected: 'every row once.',
      mend: 'nothing needs doing.',
    },
    table.sourceRow[row]!,
  )
}

/** Marks identical rows among the given ones: the first of them in the table counts. */
export function markIdenticalAmong(
  table: TypedTable,
  rows: ArrayLike<number>,
  order: (left: number, right: number) => number,
  problems: ProblemList,
): void {
  const sorted = Array.from(rows).sort((left, right) => order(left, right) || left - right)
  // Crowns side by side in one row of a sheet are as many as there are columns for, however alike.
  const areApart = (left: number, right: number): boolean =>
    table.sheet !== 'one_sheet' || table.sourceRow[left] !== table.sourceRow[right]
  for (let index = 1; index < sorted.length; index++) {
    const [before, row] = [sorted[index - 1]!, sorted[index]!]
    if (order(before, row) === 0 && areApart(before, row)) markRepeated(table, row, problems)
  }
}

/** Marks identical rows among those that share a code of a column. */
export function markIdenticalRows(table: TypedTable, field: string, problems: ProblemList): void {
  const column = table.categories.get(field)
  if (column === undefined) return
  const order = rowOrder(table)
  const isKept = (row: number): boolean => table.status[row] === rowStatus.kept
  forEachShared(groupRows(column.codes, column.labels.length, isKept), (rows) =>
    markIdenticalAmong(table, rows, order, problems),
  )
}
