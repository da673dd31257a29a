import { describe, expect, it } from 'vitest'
import { auditCohort } from '../../src/questions/audit.js'
import { contrastTightenings } from '../../src/questions/crudeComparison/answer.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
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
    const compared = contrastTightenings(cohort, defaultSettings)
    expect(compared?.curveTest.pValue).toBeGreaterThan(0)
  })
})

describe('the eligible of answer.json', () => {
  it('are the analysed, the never checked, and those last looked at before recording began', async () => {
    const crowns = Array.from({ length: 30 }, (_one, i) => ({
      checks: i === 0 ? [] : i === 1 ? [0] : i === 2 ? [50] : [300, 700],
      ...(i === 2 ? { fields: { observation_start_date: 100 } } : {}),
    }))
    const { answer } = await auditCohort(practice(crowns))
    expect(answer?.restorations).toEqual({
      inRecords: 30,
      eligible: 30,
      analysed: 27,
      neverChecked: 2,
      lastLookBeforeRecording: 1,
    })
  })
})
