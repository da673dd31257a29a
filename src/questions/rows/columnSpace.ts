import { type DesignColumn, expandToColumns } from '../../statistics/regression/design.js'

/** Columns that do not follow from each other, gathered one covariate after the other. */
export interface ColumnSpace {
  /** Columns of a covariate that do not follow from those taken before, nor from each other; nothing is taken. */
  fresh(name: string, column: readonly number[] | readonly string[]): readonly DesignColumn[]
  /** Takes columns. */
  take(columns: readonly DesignColumn[]): void
}

/** Part of a column's length that must be new. */
const leastNew = 1e-7

/** Opens a space that holds the constant column, by modified Gram–Schmidt. */
export function columnSpace(rows: number): ColumnSpace {
  const basis: Float64Array[] = [new Float64Array(rows).fill(1 / Math.sqrt(Math.max(1, rows)))]
  return {
    fresh: (name, column) => {
      const own = [...basis]
      return expandToColumns({ [name]: column }).filter(({ values }) => {
        const direction = newDirection(values, own)
        if (direction === undefined) return false
        own.push(direction)
        return true
      })
    },
    take: (columns) => {
      for (const { values } of columns) {
        const direction = newDirection(values, basis)
        if (direction !== undefined) basis.push(direction)
      }
    },
  }
}

/** What a column adds to a basis, of length 1; undefined where it adds nothing. */
function newDirection(values: Float64Array, basis: readonly Float64Array[]): Float64Array | undefined {
  const left = Float64Array.from(values)
  const length = lengthOf(left)
  for (const known of basis) removeAlong(left, known)
  const added = lengthOf(left)
  return added > leastNew * length ? left.map((value) => value / added) : undefined
}

function removeAlong(column: Float64Array, direction: Float64Array): void {
  let along = 0
  for (let row = 0; row < column.length; row++) along += column[row]! * direction[row]!
  for (let row = 0; row < column.length; row++) column[row]! -= along * direction[row]!
}

function lengthOf(column: Float64Array): number {
  let sum = 0
  for (let row = 0; row < column.length; row++) sum += column[row]! * column[row]!
  return Math.sqrt(sum)
}
