import { describe, expect, it } from 'vitest'
import { daysPerYear } from '../../../src/core/calendar.js'
import { randomStream } from '../../../src/core/random.js'
import { exampleProtocol } from '../../../src/pooling/protocol/protocol.js'
import { simulatedClinic, studyGroupStudy } from '../../../src/verification/simulation/studyGroup.js'

describe('the study of study groups', () => {
  it('draws clinics whose rate ratio is the one asked for, and times of a patient that go together', () => {
    const protocol = exampleProtocol
    const sums = { events: [0, 0], years: [0, 0] }
    let concordant = 0
    let pairs = 0
    for (let c = 0; c < 300; c++) {
      const rows = simulatedClinic('clinic', Math.log(0.7), protocol, randomStream(1, c))
      for (let row = 0; row < rows.n; row++) {
        sums.events[rows.group[row]!]! += rows.status[row] === 1 ? 1 : 0
        sums.years[rows.group[row]!]! += rows.timeDays[row]! / daysPerYear
        if (row === 0 || rows.patient[row] !== rows.patient[row - 1] || rows.status[row - 1] !== 1) continue
        pairs++
        if (rows.status[row] === 1) concordant++
      }
    }
    const rate = (group: number): number => sums.events[group]! / sums.years[group]!
    expect(rate(1) / rate(0)).toBeGreaterThan(0.65)
    expect(rate(1) / rate(0)).toBeLessThan(0.75)
    const restorations = 300 * 1.7 * 180
    const share = (sums.events[0]! + sums.events[1]!) / restorations
    // After a restoration with an event, the next one of the patient has one far more often than any.
    expect(concordant / pairs).toBeGreaterThan(1.5 * share)
  })

  it('gives a table with every interval', async () => {
    const table = await studyGroupStudy.run({ replicates: 1, onProgress: () => undefined })
    expect(table.split('pooled, robust by patient').length).toBe(10)
    expect(table.split('allowing for practices that differ').length).toBeGreaterThanOrEqual(6)
    expect(table).not.toMatch(/NaN|undefined|Infinity/)
  }, 30_000)
})
