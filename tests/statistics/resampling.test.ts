import { describe, expect, it } from 'vitest'
import { randomStream } from '../../dist/core/random.js'
import { coxBootstrapTask } from '../../dist/statistics/hazardModels/coxReplicator.js'
import { percentileInterval } from '../../dist/statistics/index.js'
import { replicateTask } from '../../dist/statistics/resampling/resampling.js'
import { inWords } from '../../src/messages/speaker.js'
import { drawClusterWeights } from '../../src/statistics/resampling/resampling.js'

/** Rows of 60 patients with one to three restorations each. */
function rows() {
  const stream = randomStream(3)
  const patient: number[] = []
  for (let p = 0; p < 60; p++) for (let k = 0; k <= p % 3; k++) patient.push(p)
  const group = patient.map((p) => p % 2)
  const time = patient.map(() => 1 + stream.index(900))
  const event = patient.map(() => (stream.uniform() < 0.4 ? 1 : 0))
  return { times: { time, event }, covariates: { group }, cluster: patient }
}

describe('replicateTask', () => {
  it('gives the same answer for any number of threads', async () => {
    const task = coxBootstrapTask(rows())
    const runs = await Promise.all(
      [0, 1, 3].map((threads) => replicateTask(task, 1, { replicates: 50, seed: 9, threads })),
    )
    expect(runs[1]).toEqual(runs[0])
    expect(runs[2]).toEqual(runs[0])
    expect(new Set(runs[0]).size).toBeGreaterThan(40)
  })

  it('gives another answer for another seed', async () => {
    const task = coxBootstrapTask(rows())
    const [one, two] = await Promise.all(
      [1, 2].map((seed) => replicateTask(task, 1, { replicates: 10, seed, threads: 0 })),
    )
    expect(one).not.toEqual(two)
  })

  it('refuses a number of replicates that makes no sense', async () => {
    await expect(replicateTask(coxBootstrapTask(rows()), 1, { replicates: 0 })).rejects.toThrow(
      'the number of replicates is 0. Expected: a whole number from 1 on. Mend: ask for 2000, say.',
    )
  })
})

describe('drawClusterWeights', () => {
  it('draws as many clusters as there are, each as likely as another', () => {
    const weights = new Float64Array(5)
    const sums = new Float64Array(5)
    const draws = 20_000
    for (let i = 0; i < draws; i++) {
      drawClusterWeights(randomStream(1, i), weights)
      expect(weights.reduce((sum, one) => sum + one, 0)).toBe(5)
      weights.forEach((one, c) => {
        sums[c]! += one
      })
    }
    // Each mean is 1 with standard error sqrt(0.8 / draws) = 0.0063.
    for (const sum of sums) expect(Math.abs(sum / draws - 1)).toBeLessThan(0.03)
  })
})

describe('percentileInterval', () => {
  it('takes the ordered replicates at the stated positions', () => {
    const replicates = Float64Array.from({ length: 999 }, (_one, i) => 999 - i)
    const { interval, standardError } = percentileInterval(replicates)
    // Hand-worked: positions 0.025 · 1000 and 0.975 · 1000 of 1 … 999.
    expect(interval.lower).toBeCloseTo(25, 9)
    expect(interval.upper).toBeCloseTo(975, 9)
    expect(standardError).toBeCloseTo(Math.sqrt((999 * 1000) / 12), 6)
  })

  it('leaves failed replicates out, counts them, and warns where they are many', () => {
    const summary = percentileInterval([1, 2, 3, Number.NaN])
    expect(summary).toMatchObject({ computed: 3, failed: 1 })
    expect(inWords(summary.warnings[0]!)).toBe('1 of 4 bootstrap samples gave no estimate.')
  })

  it('has no interval from fewer than two', () => {
    expect(percentileInterval([1]).interval.lower).toEqual({
      state: 'not-estimable',
      reason: 'too-few-samples',
    })
  })
})
