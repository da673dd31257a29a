import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64'
import { uniformInt } from 'pure-rand/distribution/uniformInt'
import { xoroshiro128plusFromState } from 'pure-rand/generator/xoroshiro128plus'

/**
 * Seeded stream of random numbers (xoroshiro128+ of the pure-rand package). The same seed and stream give the
 * same numbers on every machine; streams of one seed start from different states, so that replicate i can be
 * computed by any worker, in any order, with the same answer.
 */
export interface RandomStream {
  /** Uniform on [0, 1), 53 bits. */
  uniform(): number
  /** Uniform on the whole numbers from 0 to below count. */
  index(count: number): number
  /** Standard normal (Box–Muller, the sine half thrown away so that draws do not depend on each other). */
  normal(): number
  /** Exponential with mean 1. */
  exponential(): number
  /** Gamma with the given shape and mean shape (Marsaglia and Tsang 2000). */
  gamma(shape: number): number
}

/**
 * Opens a random stream. The states of two streams differ by no constant, whichever of the two numbers differs: the
 * generator is linear, and would carry a constant difference on into draws that go together.
 *
 * @param seed whole number, printed beside every result that used it
 * @param stream whole number that names the stream, such as the number of a replicate; default 0
 * @example randomStream(1).uniform().toFixed(4) // => "0.3274"
 */
export function randomStream(seed: number, stream = 0): RandomStream {
  return streamOfHashes(absorbed(absorbed(0, seed), stream), absorbed(absorbed(0x5bd1e995, stream), ~seed))
}

/**
 * Opens the stream of two words that were hashed already from everything that tells the stream apart.
 *
 * @param first 32 bits
 * @param second 32 bits, hashed in another way
 */
export function streamOfHashes(first: number, second: number): RandomStream {
  const generator = xoroshiro128plusFromState([
    mixed(first),
    mixed(second),
    mixed(first ^ 0x9e3779b9),
    mixed(second ^ 0x7f4a7c15) | 1,
  ])
  for (let warmUp = 0; warmUp < 16; warmUp++) generator.next()
  const uniform = (): number => uniformFloat64(generator)
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform())
  return {
    uniform,
    index: (count) => uniformInt(generator, 0, count - 1),
    normal,
    exponential: () => -Math.log(1 - uniform()),
    gamma: (shape) => gammaDraw(shape, uniform, normal),
  }
}

/** A hash with one more 32-bit word in it. */
export function absorbed(hash: number, word: number): number {
  return mixed(Math.imul(hash, 0x9e3779b1) ^ word)
}

/** Bijective 32-bit finaliser (MurmurHash3), so that neighbouring seeds start far apart. */
function mixed(value: number): number {
  let bits = value | 0
  bits = Math.imul(bits ^ (bits >>> 16), 0x85ebca6b)
  bits = Math.imul(bits ^ (bits >>> 13), 0xc2b2ae35)
  return bits ^ (bits >>> 16)
}

function gammaDraw(shape: number, uniform: () => number, normal: () => number): number {
  if (shape < 1) return gammaDraw(shape + 1, uniform, normal) * (1 - uniform()) ** (1 / shape)
  const d = shape - 1 / 3
  const c = 1 / Math.sqrt(9 * d)
  for (;;) {
    const x = normal()
    const v = (1 + c * x) ** 3
    if (v <= 0) continue
    if (Math.log(1 - uniform()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v
  }
}
