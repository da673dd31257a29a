import { describe, expect, it } from 'vitest'
import { kaplanMeier } from '../../src/statistics/curves/survival.js'
import { survivalAt } from '../../src/statistics/curves/survivalAt.js'
import { survivalsAt } from '../../src/statistics/curves/survivalsAt.js'

const time = [1, 2, 3, 4, 5, 5, 6, 7]
const event = [0, 0, 1, 0, 1, 0, 0, 0]

describe('survivalsAt', () => {
  it('reads the curve where events have happened', () => {
    const row = kaplanMeier(time, event).rows.find((one) => one.time === 5)!
    const [at] = survivalsAt(time, event, [5.5])
    expect(at).toMatchObject({
      estimate: row.survival,
      interval: { lower: row.lower, upper: row.upper },
      events: 2,
    })
  })

  it('has the exact lower limit where none has, with the patients at risk as n', () => {
    // Hand-worked: 6 rows of 5 patients are at risk at time 2.5; 0.025^(1/5) = 0.47818.
    const [at] = survivalsAt(time, event, [2.5], { cluster: [1, 2, 3, 4, 5, 5, 6, 7] })
    expect(at!.estimate).toBe(1)
    expect(at!.interval.lower).toBeCloseTo(0.025 ** (1 / 5), 12)
    expect(at!.interval.upper).toBe(1)
    expect(at!.warnings.map((one) => one.code)).toContain('no-event-by-then')
  })

  it('is not estimable past the last follow-up', () => {
    expect(survivalsAt(time, event, [8])[0]!.estimate).toMatchObject({ state: 'not-estimable' })
  })
})

describe('survivalAt before the first event', () => {
  it('claims no certainty, unless the limits of the curve are asked for', () => {
    const curve = kaplanMeier(time, event)
    expect(survivalAt(curve, [0.5])[0]!.interval.lower).toMatchObject({ reason: 'no-event-by-then' })
    expect(survivalAt(curve, [0.5], { beforeEvents: 'curve' })[0]!.interval).toEqual({ lower: 1, upper: 1 })
  })
})
