import { describe, expect, it } from 'vitest'
import { randomStream } from '../../../src/core/random.js'
import {
  confoundedSample,
  horizonYears,
  trueDifference,
} from '../../../src/verification/simulation/confoundedSample.js'
import {
  measuredConfoundingStudy,
  runMeasuredConfounding,
} from '../../../src/verification/simulation/measuredConfounding.js'
import { cellsOf, hasPage, numbersOf } from './tables.js'

const straight = { name: 'straight', bentHazard: 0, bentChoice: 0 }

describe('the study of measured confounding', () => {
  it('has a truth that whole practices drawn without confounding show too', () => {
    const truth = trueDifference(straight, 20_000, 5)
    // Inverse probability weights from the known chance of treatment, on rows whose status at the horizon is known: a
    // second road to the same number. Censoring does not depend on anything, so dropping the censored leaves both
    // risks a little high, by a factor common to them: only rows followed to the horizon or beyond, or with any event.
    let difference = 0
    const practices = 60
    for (let practice = 0; practice < practices; practice++) {
      const sample = confoundedSample(straight, randomStream(6, practice))
      const sums = [
        [0, 0],
        [0, 0],
      ]
      sample.time.forEach((time, row) => {
        const logit = -0.25 + 0.7 * sample.binary[row]! + 0.6 * sample.numeric[row]!
        const chance = 1 / (1 + Math.exp(-logit))
        const treated = sample.treated[row]!
        const observed = time < horizonYears && sample.event[row] === 0 ? 0 : 1
        // Chance of still being followed: censoring is uniform between 2 and 8 years.
        const followed = 1 - Math.max(0, Math.min(time, horizonYears) - 2) / 6
        const weight = observed / (treated === 1 ? chance : 1 - chance) / followed
        sums[treated]![0]! += sample.event[row] === 1 && time <= horizonYears ? weight : 0
        sums[treated]![1]! += weight
      })
      difference += (sums[1]![0]! / sums[1]![1]! - sums[0]![0]! / sums[0]![1]!) / practices
    }
    // Spread of one practice's difference is about 0.03: four standard errors of the mean of 60.
    expect(Math.abs(difference - truth)).toBeLessThan((4 * 0.03) / Math.sqrt(practices))
    expect(truth).toBeLessThan(-0.03)
  })

  it('puts four methods in each of three scenarios, and adjusts what confounds', async () => {
    const [head, , ...rows] = cellsOf(
      await runMeasuredConfounding({ samples: 4, bootstrapped: 4, bootstrapSamples: 10, truthDraws: 5000 }),
    )
    expect(rows).toHaveLength(12)
    expect(rows.every((row) => row.length === head!.length)).toBe(true)
    for (const first of [0, 4, 8]) {
      const means = rows.slice(first, first + 4).map((row) => Number(row[5]))
      // Confounding raises the crude difference; weights and models bring it down, by about the same.
      expect(means[0]).toBeGreaterThan(means[1]!)
      expect(Math.abs(means[1]! - means[2]!)).toBeLessThan(0.03)
      expect(means[3]).toBe(means[2])
      expect(Math.abs(numbersOf(rows[first + 2]![6]!)[0]!)).toBeLessThan(0.1)
    }
  })

  it('has its plan and result in the documentation', () => {
    expect(hasPage(measuredConfoundingStudy)).toBe(true)
  })
})
