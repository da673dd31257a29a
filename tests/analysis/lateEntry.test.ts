import { describe, expect, it } from 'vitest'
import { defaultSettings } from '../../src/analysis/settings.js'
import { compareTightening } from '../../src/analysis/tighteningComparison.js'
import { practice } from './practice.js'

describe('delayed entry beside an event on the day of delivery', () => {
  // The row at time 0 is at risk from delivery on; it is no interval without length.
  const cohort = practice(
    Array.from({ length: 120 }, (_one, i) => ({
      patient: Math.floor(i / 2),
      repeated: i % 3 === 0,
      checks: [200, 600, 1200],
      ...(i % 4 === 0 ? { loose: i === 0 ? 0 : 400 + i } : {}),
      ...(i % 10 === 1 ? { fields: { observation_start_date: 100 } } : {}),
    })),
  )

  it('is compared like any other', () => {
    const compared = compareTightening(cohort, defaultSettings)
    expect(compared?.curveTest.pValue).toBeGreaterThan(0)
  })
})
