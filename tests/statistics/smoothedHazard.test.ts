import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import { smoothedHazard } from '../../src/statistics/curves/smoothedHazard.js'

describe('smoothed hazard', () => {
  it('weights the steps of the cumulative hazard, by hand', () => {
    // one step of 1/2 at 5: Epanechnikov 0.75 (1 − z²)/b with z = 1/2, b = 2
    const inside = smoothedHazard([5, 10], [1, 0], { bandwidth: 2, times: [4], end: 10 }).points[0]!
    expect(inside.hazard).toBeCloseTo((0.5 * 0.75 * (1 - 0.25)) / 2, 14)
    expect(inside.standardError).toBeCloseTo((0.5 * 0.75 * (1 - 0.25)) / 2, 14)
    // at 0 the boundary form is 12 (z + 1)(z + 1/2); the step at 1 has z = −1/2
    const edge = smoothedHazard([1, 10], [1, 0], { bandwidth: 2, times: [0, 2], end: 10 })
    expect(edge.points[0]!.hazard).toBe(0)
    expect(edge.points[1]!.hazard).toBeCloseTo((0.5 * 0.75 * (1 - 0.25)) / 2, 14)
  })

  it('has boundary weights of total 1 and no slope: a constant hazard stays constant to the edges', () => {
    const random = randomStream(8)
    const time = Array.from({ length: 40_000 }, () => random.exponential() / 0.3)
    const event = time.map((one) => (one < 3 ? 1 : 0))
    const cut = time.map((one) => Math.min(one, 3))
    const smooth = smoothedHazard(cut, event, { bandwidth: 0.6, end: 3, times: [0, 0.2, 1.5, 2.8, 3] })
    for (const point of smooth.points) {
      expect(Math.abs((point.hazard as number) - 0.3)).toBeLessThan(4 * (point.standardError as number))
      expect(point.standardError as number).toBeLessThan(0.02)
    }
  })

  it('sums over patients where one repeats; pairs of the same times have √2 the error', () => {
    const time = Array.from({ length: 40 }, (_unused, i) => 1 + Math.floor(i / 2) * 0.5)
    const event = time.map(() => 1)
    const pair = time.map((_t, i) => Math.floor(i / 2))
    const options = { bandwidth: 3, times: [5] }
    const own = smoothedHazard(time, event, options).points[0]!
    const paired = smoothedHazard(time, event, { ...options, cluster: pair }).points[0]!
    expect(paired.hazard).toBe(own.hazard)
    const ratio = (paired.standardError as number) / (own.standardError as number)
    expect(ratio).toBeGreaterThan(1.3)
    expect(ratio).toBeLessThan(1.45)
  })

  it('gives nothing outside its range, and refuses a hazard without events', () => {
    const smooth = smoothedHazard([1, 2, 3], [1, 1, 0], { times: [5] })
    expect(smooth.points[0]!.hazard).toEqual({
      state: 'not-estimable',
      reason: 'smoothed-until',
      parameters: { time: 2 },
    })
    expect(() => smoothedHazard([1, 2], [0, 0])).toThrow(
      'no event was observed, so that there is no hazard to smooth. Expected: at least one event. Mend: report the rate with its exact upper limit instead.',
    )
    expect(() => smoothedHazard([1, 2], [1, 0], { bandwidth: 0 })).toThrow(
      'the bandwidth of the smoothed hazard is 0. Expected: a length of time above zero. Mend: give the bandwidth in the unit of the times.',
    )
  })
})
