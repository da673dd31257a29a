import { nodesOf } from '../protocol/layout.js'
import type { Protocol } from '../protocol/protocol.js'

/** A function on the interval of the nodes. */
export type Along = (logHazardRatio: number) => number

/** The polynomial through values at Chebyshev nodes, by the second barycentric formula (Berrut and Trefethen 2004). */
export function through(values: ArrayLike<number>, protocol: Pick<Protocol, 'nodes'>): Along {
  const nodes = nodesOf(protocol)
  const { count } = protocol.nodes
  const weights = nodes.map(
    (_node, j) => (j % 2 === 0 ? 1 : -1) * Math.sin(((2 * j + 1) * Math.PI) / (2 * count)),
  )
  return (x) => {
    let above = 0
    let below = 0
    for (let j = 0; j < count; j++) {
      const apart = x - nodes[j]!
      if (apart === 0) return values[j]!
      above += (weights[j]! / apart) * values[j]!
      below += weights[j]! / apart
    }
    return above / below
  }
}

/**
 * The polynomial through values and slopes at Chebyshev nodes (Hermite). The score's slope is the information with the
 * other sign, so that both together give it to twice the number of nodes.
 */
export function throughWithSlopes(
  values: ArrayLike<number>,
  slopes: ArrayLike<number>,
  protocol: Pick<Protocol, 'nodes'>,
): Along {
  const { count, largest } = protocol.nodes
  const nodes = nodesOf(protocol).map((node) => node / largest)
  return (x) => {
    const at = x / largest
    let sum = 0
    for (let j = 0; j < count; j++) {
      const apart = at - nodes[j]!
      const cardinal = cardinalAt(at, j, nodes, count)
      const bend = nodes[j]! / (1 - nodes[j]! * nodes[j]!)
      sum += cardinal * cardinal * ((1 - bend * apart) * values[j]! + apart * largest * slopes[j]!)
    }
    return sum
  }
}

/** The polynomial that is 1 at one node and 0 at the others. */
function cardinalAt(at: number, j: number, nodes: readonly number[], count: number): number {
  const apart = at - nodes[j]!
  if (Math.abs(apart) < 1e-12) return 1
  const angle = Math.acos(Math.max(-1, Math.min(1, at)))
  const weight = (j % 2 === 0 ? 1 : -1) * Math.sin(((2 * j + 1) * Math.PI) / (2 * count))
  return (Math.cos(count * angle) * weight) / (count * apart)
}

/** Where a falling function crosses 0 on the interval of the nodes; undefined where it does not. */
export function crossing(score: Along, { nodes: { largest } }: Pick<Protocol, 'nodes'>): number | undefined {
  let [low, high] = [-largest, largest]
  if (!(score(low) > 0 && score(high) < 0)) return undefined
  for (let step = 0; step < 80; step++) {
    const middle = (low + high) / 2
    if (score(middle) > 0) low = middle
    else high = middle
  }
  return (low + high) / 2
}
