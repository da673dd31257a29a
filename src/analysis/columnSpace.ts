import { expandCovariates } from '../statistics/regression/design.js'

/** Columns that do not follow from each other, gathered one covariate after the other. */
export interface ColumnSpace {
  /** Adds a covariate; false, and nothing added, where a column of it follows from those before. */
  add(name: string, column: readonly number[] | readonly string[]): boolean
}

/** Part of a column's length that must be new. */
const leastNew = 1e-7

/** Opens a space that holds the constant column, by modified Gram–Schmidt. */
export function columnSpace(rows: number): ColumnSpace {
  const basis: Float64Array[] = [new Float64Array(rows).fill(1 / Math.sqrt(Math.max(1, rows)))]
  return {
    add: (name, column) => {
      const { names, values } = expandCovariates({ [name]: column }, rows)
      const fresh: Float64Array[] = []
      for (let j = 0; j < names.length; j++) {
        const own = Float64Array.from({ length: rows }, (_one, row) => values[row * names.length + j]!)
        const length = lengthOf(own)
        for (const known of [...basis, ...fresh]) removeAlong(own, known)
        const left = lengthOf(own)
        if (!(left > leastNew * length)) return false
        fresh.push(own.map((value) => value / left))
      }
      basis.push(...fresh)
      return true
    },
  }
}

function removeAlong(column: Float64Array, direction: Float64Array): void {
  let along = 0
  for (let row = 0; row < column.length; row++) along += column[row]! * direction[row]!
  for (let row = 0; row < column.length; row++) column[row]! -= along * direction[row]!
}

function lengthOf(column: Float64Array): number {
  let sum = 0
  for (const value of column) sum += value * value
  return Math.sqrt(sum)
}
