import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import { deviceAgreement } from '../../src/statistics/monitoring/index.js'

describe('deviceAgreement', () => {
  // Bland and Altman (1986) Lancet i:307–310: peak flow by two meters; printed: mean difference −2.1, standard
  // deviation 38.8, standard error 9.4, interval −22.0 to 17.8. Readings typed from memory, checked by those figures.
  const wright = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
  const mini = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]

  it('agrees with Bland and Altman’s figures', () => {
    const { bias, standardDeviation, lowerLimit, upperLimit } = deviceAgreement(wright, mini)
    expect(bias.estimate).toBeCloseTo(-2.1, 1)
    expect(standardDeviation).toBeCloseTo(38.8, 1)
    expect(bias.standardError?.value).toBeCloseTo(9.4, 1)
    expect(bias.interval.lower).toBeCloseTo(-22, 0)
    expect(bias.interval.upper).toBeCloseTo(17.8, 1)
    // −2.117647 ± 1.959964 · 38.76513
    expect(lowerLimit.estimate).toBeCloseTo(-78.0959, 3)
    expect(upperLimit.estimate).toBeCloseTo(73.8606, 3)
    // Zou's limits (2013) written out in R 4.2.2.
    expect(lowerLimit.interval.lower).toBeCloseTo(-122.4782377053, 8)
    expect(lowerLimit.interval.upper).toBeCloseTo(-50.2876364676, 8)
    expect(upperLimit.interval.lower).toBeCloseTo(46.05234235, 8)
    expect(upperLimit.interval.upper).toBeCloseTo(118.2429435876, 8)
  })

  it('separates components of variance where devices are read twice', () => {
    // Differences 1, 3 | 5, 7 | 9, 11: between mean square 32, within 2, variance between (32 − 2)/2 = 15.
    const device = [1, 3, 5, 7, 9, 11]
    const zero = [0, 0, 0, 0, 0, 0]
    const fit = deviceAgreement(device, zero, { cluster: ['a', 'a', 'b', 'b', 'c', 'c'], tolerance: 6 })
    expect(fit.standardDeviation).toBeCloseTo(Math.sqrt(17), 12)
    expect(fit.bias.standardError?.value).toBeCloseTo(Math.sqrt(15 / 3 + 2 / 6), 12)
    expect(fit.bias).toMatchObject({ n: 6, clusters: 3 })
    expect(fit.withinTolerance?.estimate).toBe(0.5)
    const alone = deviceAgreement(device, zero, { tolerance: 6 })
    expect(fit.withinTolerance?.interval.lower).toBeLessThan(alone.withinTolerance?.interval.lower as number)
  })

  it('covers the true limit about as often as it says', () => {
    let covered = 0
    const runs = 1500
    for (let run = 0; run < runs; run++) {
      const random = randomStream(21, run)
      const device = Array.from({ length: 20 }, () => 35 + 2 * random.normal())
      const { upperLimit } = deviceAgreement(
        device,
        device.map(() => 35),
      )
      const truth = 1.959963984540054 * 2
      if ((upperLimit.interval.lower as number) <= truth && truth <= (upperLimit.interval.upper as number))
        covered++
    }
    expect(covered / runs).toBeGreaterThan(0.93)
    expect(covered / runs).toBeLessThan(0.97)
  })

  it('takes perfect agreement', () => {
    const same = deviceAgreement([35, 36, 37], [35, 36, 37], { tolerance: 1 })
    expect(same.bias).toMatchObject({ estimate: 0, interval: { lower: 0, upper: 0 } })
    expect(same.withinTolerance?.estimate).toBe(1)
    expect(same.proportionalBias.estimate).toBe(0)
    const flat = deviceAgreement([35, 35], [35, 35])
    expect(flat.proportionalBias.estimate).toEqual({ state: 'not-estimable', reason: 'means-equal' })
    expect(flat.warnings[0]?.code).toBe('few-pairs')
  })

  it('finds a difference that grows with the mean', () => {
    const reference = [20, 25, 30, 35, 40, 45]
    const { proportionalBias } = deviceAgreement(
      reference.map((x, i) => 1.1 * x + (i % 2) * 0.01),
      reference,
    )
    expect(proportionalBias.estimate).toBeCloseTo(0.1 / 1.05, 3)
  })

  it('refuses what cannot be compared', () => {
    expect(() => deviceAgreement([1], [1])).toThrow(
      'there are 1 pairs of readings from 1 clusters. Expected: at least two independent pairs. Mend: read more objects with both devices.',
    )
    expect(() => deviceAgreement([1, 2], [1, 2], { cluster: [1, 1] })).toThrow('there are 2 pairs')
    expect(() => deviceAgreement([1, 2], [1, 2], { tolerance: 0 })).toThrow(
      'the tolerance is 0. Expected: a difference above 0 in the unit of the readings. Mend: give the largest difference that is still acceptable.',
    )
    expect(() => deviceAgreement([1, 2], [1, Number.NaN])).toThrow('column referenceReadings holds a missing')
  })
})
