import { fieldOf } from '../../vocabulary/fields.js'
import { type CategoryColumn, missingDay, unknownCode } from '../columns.js'
import { type TypedTable, typedTable } from './typedTable.js'

type GrowingColumn = Int32Array | Float64Array

/** Rows of a linked table as they are made from a one-sheet row or a chain of columns, with room that grows. */
export class UnfoldedRows {
  readonly #name: 'tightenings' | 'visits'
  readonly #fields: readonly string[]
  readonly #columns: GrowingColumn[]
  #from = new Int32Array(1_024)
  #count = 0
  readonly #sourceRow = new Map<number, number>()

  /** @param fields fields that rows will fill, in the order in which `add` gets their values */
  constructor(name: 'tightenings' | 'visits', fields: readonly string[]) {
    this.#name = name
    this.#fields = fields
    this.#columns = fields.map((field) =>
      kindOf(name, field) === 'number' ? new Float64Array(1_024) : new Int32Array(1_024),
    )
  }

  /** Adds a row that comes from a row of the sheet; values in the order of the fields. */
  add(sheetRow: number, ...values: readonly number[]): void {
    if (this.#count === this.#from.length) this.#grow()
    this.#from[this.#count] = sheetRow
    for (let field = 0; field < values.length; field++) this.#columns[field]![this.#count] = values[field]!
    this.#count++
  }

  /** Says from which row of the file the next row comes, where that is another than the row of the sheet. */
  from(sourceRow: number): void {
    this.#sourceRow.set(this.#count, sourceRow)
  }

  #grow(): void {
    const size = 2 * this.#from.length
    const from = new Int32Array(size)
    from.set(this.#from)
    this.#from = from
    this.#columns.forEach((column, field) => {
      const larger = column instanceof Int32Array ? new Int32Array(size) : new Float64Array(size)
      larger.set(column)
      this.#columns[field] = larger
    })
  }

  /** The table, its rows linked to the identifiers and the fate of the sheet rows they come from. */
  finish(sheet: TypedTable, ids: CategoryColumn, setAsideWhileReading = 0): TypedTable {
    const from = this.#from.slice(0, this.#count)
    const table = typedTable(
      this.#name,
      sheet.file,
      from.map((row, index) => this.#sourceRow.get(index) ?? sheet.sourceRow[row]!),
      setAsideWhileReading,
    )
    for (let row = 0; row < from.length; row++) {
      table.status[row] = sheet.status[from[row]!]!
      if (sheet.withdrawn.has(from[row]!)) table.withdrawn.add(row)
    }
    const codes = from.map((row) => ids.codes[row]!)
    table.categories.set('restoration_id', { labels: ids.labels, codes })
    this.#fields.forEach((field, index) => {
      const column = this.#columns[index]!.slice(0, this.#count)
      const kind = kindOf(this.#name, field)
      if (kind === 'code') {
        const labels = fieldOf(this.#name, field)!.codes!
        if (column.some((code) => code !== unknownCode)) {
          table.categories.set(field, { labels, codes: column as Int32Array })
        }
      } else if (kind === 'number') {
        if (!column.every(Number.isNaN)) table.numbers.set(field, column as Float64Array)
      } else if (column.some((day) => day !== missingDay)) table[kind].set(field, column as Int32Array)
    })
    return table
  }
}

function kindOf(name: 'tightenings' | 'visits', field: string): 'code' | 'number' | 'dates' | 'days' {
  const { kind } = fieldOf(name, field)!
  if (kind === 'code') return 'code'
  if (kind === 'date') return 'dates'
  return kind === 'day' ? 'days' : 'number'
}
