import type { RandomStream } from '../core/random.js'
import type { Weights } from './scenario.js'

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
