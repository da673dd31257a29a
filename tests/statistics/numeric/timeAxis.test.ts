import { describe, expect, it } from 'vitest'
import { randomStream } from '../../../src/core/random.js'
import { timeAxis } from '../../../src/statistics/numeric/timeAxis.js'

// Whole and half days are their own positions, all other times go by the dictionary of what occurs. Which of the two is
// taken must not show: a position stands for one time, and a row is at risk from the first time that lies behind its entry.
describe.each([
  ['whole days', 1, 400],
  ['half days', 2, 400],
  ['thirds of days', 3, 400],
  ['half days, too far apart for positions of their own', 2, 1e9],
])('times in %s', (_name, parts, most) => {
  const random = randomStream(11, parts)
  const exits = Float64Array.from(
    { length: 500 },
    () => Math.floor(most * parts * random.uniform() + 1) / parts,
  )
  const entries = exits.map((exit, i) => (i % 3 === 0 ? 0 : exit * random.uniform()))
  const axis = timeAxis(exits, entries)

  it('stand at the position of their own time, and earlier ones before later ones', () => {
    expect(Array.from(axis.exit, (position) => axis.timeAt(position))).toEqual([...exits])
    for (let position = 1; position < Math.min(axis.positions, 2000); position++) {
      expect(axis.timeAt(position)).toBeGreaterThan(axis.timeAt(position - 1))
    }
  })

  it('let a row enter at the first position behind its entry', () => {
    for (let row = 0; row < exits.length; row++) {
      const position = axis.entry![row]!
      if (entries[row] === 0) expect(position).toBe(0)
      else {
        expect(axis.timeAt(position)).toBeGreaterThan(entries[row]!)
        if (position > 0) expect(axis.timeAt(position - 1)).toBeLessThanOrEqual(entries[row]!)
      }
      expect(position).toBeLessThanOrEqual(axis.exit[row]!)
    }
  })
})
