import type { ProblemList } from '../problems.js'
import { rowStatus, type TypedTable } from './typedTable.js'

/** A reader that says whether two rows are equal in every field. */
export function rowComparison(table: TypedTable): (left: number, right: number) => boolean {
  const columns: ArrayLike<number>[] = [
    ...[...table.categories.values()].map((column) => column.codes),
    ...table.numbers.values(),
    ...table.dates.values(),
    ...table.days.values(),
  ]
  return (left, right) => columns.every((column) => Object.is(column[left], column[right]))
}

/** Marks a row as an identical repeat of an earlier one, which counts once. */
export function markRepeated(table: TypedTable, row: number, problems: ProblemList): void {
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

/** Marks identical rows among those that share a key; rows with an undefined key are left alone. */
export function markIdenticalRows(
  table: TypedTable,
  keyOf: (row: number) => string | number | undefined,
  problems: ProblemList,
): void {
  const groups = new Map<string | number, number | number[]>()
  const same = rowComparison(table)
  for (let row = 0; row < table.rowCount; row++) {
    const key = table.status[row] === rowStatus.kept ? keyOf(row) : undefined
    if (key === undefined) continue
    const group = groups.get(key)
    if (group === undefined) {
      groups.set(key, row)
      continue
    }
    const earlier = typeof group === 'number' ? [group] : group
    if (earlier.some((other) => same(other, row))) markRepeated(table, row, problems)
    else groups.set(key, [...earlier, row])
  }
}
