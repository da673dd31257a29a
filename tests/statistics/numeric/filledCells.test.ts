import { describe, expect, it } from 'vitest'
import { columnOfCells, filledCells, takenCells } from '../../../src/statistics/numeric/filledCells.js'

// Columns are told apart by two bytes while they can be.
describe.each([65_536, 65_537])('cells of a table of %d columns', (width) => {
  const table = new Float64Array(2 * width)
  table[width - 1] = 3
  table[width] = 5
  const cells = filledCells(table, 2, width)

  it('keep the last column apart from the first', () => {
    expect([...cells.column]).toEqual([width - 1, 0])
    expect([...columnOfCells(cells, width - 1)]).toEqual([3, 0])
    expect([...columnOfCells(cells, 0)]).toEqual([0, 5])
  })

  it('do so when rows are taken of them', () => {
    expect([...takenCells(cells, Int32Array.of(1, 0, 0)).column]).toEqual([0, width - 1, width - 1])
  })
})
