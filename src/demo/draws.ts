import { absorbed, type RandomStream, streamOfHashes } from '../core/random.js'
import type { Field } from '../vocabulary/fields.js'
import type { Weights } from './scenario.js'

/**
 * Opens the random stream of one purpose for one patient; keys tell apart what there is several of (the number of a
 * restoration, the day of a visit). No draw of one purpose moves a draw of another, so that a new field or endpoint
 * leaves every other column as it was.
 */
export type Draws = (purpose: string, ...keys: readonly number[]) => RandomStream

/**
 * The streams of one patient of a seed. Both numbers that a stream starts from are hashed from everything that tells it
 * apart: streams that differ in one of them alone start from states of a constant difference in all patients, which the
 * linear generator carries on into draws that go together.
 */
export function drawsOf(seed: number, patient: number): Draws {
  const first = absorbed(seed, patient)
  const second = absorbed(seed ^ 0x5bd1e995, ~patient)
  return (purpose, ...keys) => {
    const words = [hashOf(purpose), ...keys]
    return streamOfHashes(words.reduce(absorbed, first) >>> 0, words.reduceRight(absorbed, second) >>> 0)
  }
}

const hashes = new Map<string, number>()

/** FNV-1a, 32 bits (Fowler, Noll and Vo 1991), of a purpose. */
function hashOf(purpose: string): number {
  const known = hashes.get(purpose)
  if (known !== undefined) return known
  let hash = 0x811c9dc5
  for (let place = 0; place < purpose.length; place++) {
    hash = Math.imul(hash ^ purpose.charCodeAt(place), 0x01000193)
  }
  hashes.set(purpose, hash)
  return hash
}

/** Share of cells left empty in a column that nothing but the vocabulary describes. */
const emptyByDefault = 0.05

/** A value of a field that nothing in the generator decides: its codes as the vocabulary weighs them, or its range. */
export function drawnField(random: RandomStream, field: Field): string | number | undefined {
  if (happens(random, emptyByDefault)) return undefined
  if (field.codes !== undefined) {
    const even = Object.fromEntries(field.codes.map((code) => [code, 1]))
    return drawLabel(random, field.demo === undefined || field.demo === false ? even : field.demo)
  }
  if (field.range === undefined) return undefined
  const { min, max } = field.range
  return field.kind === 'whole'
    ? drawWhole(random, min, max)
    : Number((min + random.uniform() * (max - min)).toFixed(1))
}

/** Draws a label in proportion to its weight. */
export function drawLabel<Label extends string>(
  random: RandomStream,
  weights: Readonly<Record<Label, number>>,
): Label {
  const labels = Object.keys(weights) as Label[]
  return labels[drawPosition(random, Object.values<number>(weights))]!
}

/** Draws one of several things that carry a weight. */
export function drawWeighted<Thing extends { readonly weight: number }>(
  random: RandomStream,
  things: readonly Thing[],
): Thing {
  return things[
    drawPosition(
      random,
      things.map((thing) => thing.weight),
    )
  ]!
}

function drawPosition(random: RandomStream, weights: readonly number[]): number {
  let left = random.uniform() * weights.reduce((sum, weight) => sum + weight, 0)
  for (let position = 0; position < weights.length - 1; position++) {
    left -= weights[position]!
    if (left < 0) return position
  }
  return weights.length - 1
}

/** Whether something of the given probability happens. */
export function happens(random: RandomStream, probability: number): boolean {
  return random.uniform() < probability
}

/** Whole number from `from` to `to`, both included. */
export function drawWhole(random: RandomStream, from: number, to: number): number {
  return from + random.index(to - from + 1)
}

/** Normal draw kept within limits and rounded to a number of decimals. */
export function drawNormal(
  random: RandomStream,
  mean: number,
  deviation: number,
  limits: readonly [number, number],
  decimals: number,
): number {
  const value = Math.min(limits[1], Math.max(limits[0], mean + deviation * random.normal()))
  return Number(value.toFixed(decimals))
}

/** A label as it was written down: undefined where the field was left empty. */
export function written<Value>(random: RandomStream, value: Value, emptyShare: number): Value | undefined {
  return happens(random, emptyShare) ? undefined : value
}

/** Probability whose odds are those of `probability` times `oddsRatio`. */
export function timesOdds(probability: number, oddsRatio: number): number {
  const odds = (probability / (1 - probability)) * oddsRatio
  return odds / (1 + odds)
}

/** Weight of a label, refused where the scenario forgot it. */
export function weightOf(weights: Weights, label: string): number {
  const weight = weights[label]
  if (weight === undefined) throw new RangeError(`the demo scenario has no entry for ${label}`)
  return weight
}
