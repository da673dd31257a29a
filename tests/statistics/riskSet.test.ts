import { describe, expect, it } from 'vitest'
import { codesOf } from '../../src/statistics/kernel/codes.js'
import { type RiskSetOptions, riskSet } from '../../src/statistics/kernel/riskSet.js'

const plain = (column: Float64Array): number[] => Array.from(column)

describe('risk set', () => {
  // Hand-worked: six rows; exits at 1, 2, 2, 3, 5, 5.
  const time = [2, 5, 1, 2, 3, 5]
  const cause = [1, 0, 0, 2, 1, 1]

  it('counts who is at risk just before each time, by cause', () => {
    const risk = riskSet(time, cause)
    expect(plain(risk.time)).toEqual([1, 2, 3, 5])
    expect(plain(risk.atRisk)).toEqual([6, 5, 3, 2])
    expect(plain(risk.events.subarray(0, 4))).toEqual([0, 1, 1, 1])
    expect(plain(risk.events.subarray(4))).toEqual([0, 1, 0, 0])
    expect(plain(risk.censored)).toEqual([1, 0, 0, 1])
    expect(Array.from(risk.rowCell)).toEqual([1, 3, 0, 1, 2, 3])
  })

  it('takes rows that enter late as at risk after their entry only', () => {
    const risk = riskSet(time, cause, { entry: [0, 2, 0, 1, 2.5, 0] })
    expect(plain(risk.atRisk)).toEqual([3, 3, 3, 2])
  })

  it('takes an entry of 0 as at risk from the start, time 0 included', () => {
    const risk = riskSet([0, 4], [1, 0], { entry: [0, 0] })
    expect(plain(risk.time)).toEqual([0, 4])
    expect(plain(risk.atRisk)).toEqual([2, 1])
  })

  it('counts weights, and leaves rows of weight 0 out', () => {
    const risk = riskSet(time, cause, { weights: [0.5, 2, 0, 1.5, 1, 0.25] })
    expect(plain(risk.time)).toEqual([2, 3, 5])
    expect(plain(risk.atRisk)).toEqual([5.25, 3.25, 2.25])
    expect(plain(risk.atRiskRows)).toEqual([5, 3, 2])
    expect(risk.rowCell[2]).toBe(-1)
    expect(risk.rows).toBe(5)
  })

  it('ties equal doubles only', () => {
    expect(plain(riskSet([0.1 + 0.2, 0.3], [1, 1]).time)).toEqual([0.3, 0.30000000000000004])
    expect(plain(riskSet([0, -0, 1.5], [1, 1, 0]).atRisk)).toEqual([3, 1])
  })

  it('gives the same counts by counting, by dictionary, and stratum by stratum', () => {
    const rows = 400
    const days = Array.from({ length: rows }, (_unused, row) => (row * 37) % 211)
    const causes = days.map((day, row) => (day + row) % 3)
    const entry = days.map((day, row) => (row % 4 === 0 ? day * 0.5 : 0))
    const weights = days.map((_day, row) => (row % 5) / 4)
    const group = codesOf(
      'group',
      days.map((_day, row) => row % 3),
    )
    const counted = riskSet(days, causes, { entry, weights, group })
    // a half added to one time sends all of them through the dictionary of doubles
    const shifted = riskSet([...days, 1000.5], [...causes, 0], {
      entry: [...entry, 0],
      weights: [...weights, 0],
      group: codesOf('group', [...group.codes, 0]),
    })
    for (const column of ['time', 'atRisk', 'events', 'censored', 'atRiskRows', 'eventRows'] as const) {
      expect(plain(shifted[column])).toEqual(plain(counted[column]))
    }
    // 30 000 strata of their own send the rows through the sorts, where the table would be too wide
    const many = 30_000
    const strata = codesOf('strata', [
      ...days.map(() => 0),
      ...Array.from({ length: many }, (_u, s) => s + 1),
    ])
    const sparse = riskSet(
      [...days, ...new Float64Array(many).fill(210)],
      [...causes, ...new Float64Array(many)],
      {
        entry: [...entry, ...new Float64Array(many)],
        weights: [...weights, ...new Float64Array(many).fill(1)],
        stratum: strata,
      },
    )
    const one = riskSet(days, causes, { entry, weights })
    const end = sparse.start[1]!
    expect(plain(sparse.time.subarray(0, end))).toEqual(plain(one.time))
    expect(plain(sparse.atRisk.subarray(0, end))).toEqual(plain(one.atRisk))
    expect(plain(sparse.events.subarray(0, end))).toEqual(plain(one.events.subarray(0, end)))
    expect(Array.from(sparse.rowEntryCell!.subarray(0, rows))).toEqual(Array.from(one.rowEntryCell!))
    expect(sparse.cells).toBe(end + many)
  })

  it('keeps every stratum to its own times', () => {
    const risk = riskSet(time, cause, { stratum: codesOf('strata', ['b', 'a', 'b', 'a', 'a', 'b']) })
    expect(Array.from(risk.start)).toEqual([0, 3, 6])
    expect(plain(risk.time)).toEqual([2, 3, 5, 1, 2, 5])
    expect(plain(risk.atRisk)).toEqual([3, 2, 1, 3, 2, 1])
  })

  const refusals: readonly (readonly [string, number[], number[], RiskSetOptions, string])[] = [
    [
      'no rows',
      [],
      [],
      {},
      'the columns hold no rows. Expected: at least one row. Mend: check the selection that made the columns.',
    ],
    [
      'a missing time',
      [1, Number.NaN],
      [1, 0],
      {},
      'column time holds a missing or infinite value, first in row 2 of 2. Expected: a finite number in every row. Mend: leave out rows without time, or impute them, before the call.',
    ],
    [
      'a negative time',
      [1, -1],
      [1, 0],
      {},
      'column time holds a negative value, first in row 2 of 2. Expected: zero or more in every row. Mend: correct or leave out the rows with negative time.',
    ],
    [
      'an entry that is not before the exit',
      [3, 2],
      [1, 0],
      { entry: [1, 2] },
      'column entry is not before time in 1 of 2 rows, first in row 2. Expected: an entry before the exit, so that the row has time at risk. Mend: leave out rows that left before they could be observed, or correct their entry.',
    ],
    [
      'a negative weight',
      [3, 2],
      [1, 0],
      { weights: [1, -2] },
      'column weights holds a negative value, first in row 2 of 2. Expected: zero or more in every row. Mend: correct or leave out the rows with negative weights.',
    ],
    [
      'an outcome that is no cause',
      [3, 2],
      [1, 0.5],
      {},
      'column event holds something other than whole numbers from 0 to 250, first in row 2 of 2. Expected: 0 where the row was censored, otherwise the number of the cause: 1, 2, … Mend: code censoring as 0 and events as 1, 2, …; leave out rows without an outcome.',
    ],
    [
      'columns of unequal length',
      [3, 2],
      [1],
      {},
      'column event has 1 rows where time has 2. Expected: columns of one length, one entry per row. Mend: pass columns of the same table.',
    ],
  ]
  it.each(refusals)('refuses %s', (_what, times, causes, options, message) => {
    expect(() => riskSet(times, causes, options)).toThrow(message)
  })
})

describe('codes', () => {
  it('codes numbers in numerical and texts in textual order', () => {
    expect(codesOf('group', [10, 2, 10]).labels).toEqual(['2', '10'])
    expect(Array.from(codesOf('group', [10, 2, 10]).codes)).toEqual([1, 0, 1])
    expect(codesOf('group', ['b', 'a', 'b']).labels).toEqual(['a', 'b'])
    expect(codesOf('group', [0.5, -3e9, 7e9]).labels).toEqual(['-3000000000', '0.5', '7000000000'])
  })

  it('refuses a missing code', () => {
    expect(() => codesOf('group', [1, Number.NaN])).toThrow(
      'column group has no usable entry, first in row 2 of 2. Expected: a text or a finite number in every row, all of one kind. Mend: leave out rows without group, or give them a label of their own.',
    )
  })
})
