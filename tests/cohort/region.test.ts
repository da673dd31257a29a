import { describe, expect, it } from 'vitest'
import { covariateValues } from '../../src/cohort/covariates.js'
import { archOf, regionOf } from '../../src/cohort/region.js'
import { practice } from '../analysis/practice.js'

describe('region and arch by ISO 3950', () => {
  it('are those of the unit digit and of the quadrant', () => {
    expect([11, 13, 14, 25, 36, 48].map(regionOf)).toEqual([
      'anterior',
      'anterior',
      'premolar',
      'premolar',
      'molar',
      'molar',
    ])
    expect([11, 28, 31, 48].map(archOf)).toEqual(['upper', 'upper', 'lower', 'lower'])
  })

  it('are unknown where the position is, or is none of permanent teeth', () => {
    for (const position of [Number.NaN, 9, 10, 19, 40, 49, 51]) {
      expect(regionOf(position)).toBe(undefined)
      expect(archOf(position)).toBe(undefined)
    }
  })

  it('are not known of a restoration without a position', () => {
    const cohort = practice([
      { repeated: true, checks: [400], fields: { tooth_position: '36' } },
      { repeated: true, checks: [400] },
    ])
    expect(covariateValues(cohort, Int32Array.of(0, 1), 'region')).toEqual(['molar', undefined])
    expect(cohort.where({ region: 'molar' }).n).toBe(1)
  })
})
