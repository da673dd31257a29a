import { describe, expect, it } from 'vitest'
import { missingCovariatesStudy } from '../../../src/verification/simulation/missingCovariates.js'
import { hasPage, numbersOf, tableOf } from './tables.js'

describe('the study of missing covariates', () => {
  it('finds the truth without holes, and loses least by imputing', async () => {
    const [head, , ...rows] = await tableOf(missingCovariatesStudy, 8)
    expect(rows.map((row) => row[2])).toEqual([
      'without holes',
      'complete cases',
      'imputed',
      'without holes',
      'complete cases',
      'imputed',
    ])
    expect(rows.every((row) => row.length === head!.length)).toBe(true)
    for (const first of [0, 3]) {
      const [whole, complete, imputed] = rows.slice(first, first + 3)
      // Standard error of one fit is about 0.19: four of the mean of eight.
      expect(Math.abs(numbersOf(whole![6]!)[0]!)).toBeLessThan((4 * 0.19) / Math.sqrt(8))
      expect(Math.abs(numbersOf(imputed![6]!)[0]!)).toBeLessThan((4 * 0.21) / Math.sqrt(8))
      expect(Number(whole![8])).toBeLessThan(Number(imputed![8]))
      expect(Number(imputed![8])).toBeLessThan(Number(complete![8]))
    }
  })

  it('has its plan and result in the documentation', () => {
    expect(hasPage(missingCovariatesStudy)).toBe(true)
  })
})
