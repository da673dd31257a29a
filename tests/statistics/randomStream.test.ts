import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'

/** Correlation of the first draws of two streams over many values of what they share. */
function correlation(pair: (shared: number) => readonly [number, number]): number {
  const pairs = Array.from({ length: 4000 }, (_, shared) => pair(shared))
  const mean = (of: (one: readonly [number, number]) => number): number =>
    pairs.reduce((sum, one) => sum + of(one), 0) / pairs.length
  const [x, y] = [mean(([one]) => one), mean(([, other]) => other)]
  const product = mean(([one, other]) => (one - x) * (other - y))
  return product / Math.sqrt(mean(([one]) => (one - x) ** 2) * mean(([, other]) => (other - y) ** 2))
}

describe('random streams', () => {
  // The standard error of a correlation of 4,000 independent pairs is 0.016; over these 56 pairs five of them are rare.
  it('of one seed do not go together over the seeds, nor those of one number over the numbers', () => {
    for (let a = 0; a < 8; a++) {
      for (let b = a + 1; b < 8; b++) {
        const overSeeds = correlation((seed) => [
          randomStream(seed, a).uniform(),
          randomStream(seed, b).uniform(),
        ])
        const overStreams = correlation((stream) => [
          randomStream(a, stream).uniform(),
          randomStream(b, stream).uniform(),
        ])
        expect(Math.abs(overSeeds), `streams ${a} and ${b}`).toBeLessThan(0.08)
        expect(Math.abs(overStreams), `seeds ${a} and ${b}`).toBeLessThan(0.08)
      }
    }
  })

  it('are the same for the same two numbers, and others for others', () => {
    const draws = (seed: number, stream: number): readonly number[] => {
      const random = randomStream(seed, stream)
      return Array.from({ length: 5 }, () => random.uniform())
    }
    expect(draws(4, 7)).toEqual(draws(4, 7))
    expect(draws(4, 7)).not.toEqual(draws(7, 4))
  })
})
