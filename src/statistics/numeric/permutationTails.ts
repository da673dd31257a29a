/** Largest number of elementary steps for which an exact distribution is computed. */
export const mostExactSteps = 1e9

/**
 * Exact two-sided P value of the sum of `size` scores drawn without replacement: the share of draws whose sum lies at
 * least as far from its mean as the observed one. Scores are whole numbers (doubled midranks). Undefined where the
 * work would exceed `mostExactSteps`. Streitberg and Röhmel 1986.
 */
export function drawnSumP(doubled: ArrayLike<number>, size: number, doubledSum: number): number | undefined {
  const { scores, observed } = inLowestUnits(doubled, doubledSum)
  const count = scores.length
  const all = sumOf(scores)
  const draws = Math.min(size, count - size)
  const drawn = draws === size ? observed : all - observed
  const most = largestSum(scores, draws)
  if (count * draws * most > mostExactSteps || count > 1000) return undefined
  // ways[j][s]: draws of j scores with sum s; a double holds every such number to 53 bits, and never overflows.
  const ways = Array.from({ length: draws + 1 }, () => new Float64Array(most + 1))
  ways[0]![0] = 1
  let reached = 0
  for (let i = 0; i < count; i++) {
    const score = scores[i]!
    reached = Math.min(most, reached + score)
    for (let j = Math.min(i + 1, draws); j >= 1; j--) {
      const from = ways[j - 1]!
      const to = ways[j]!
      for (let sum = reached; sum >= score; sum--) to[sum]! += from[sum - score]!
    }
  }
  const final = ways[draws]!
  const distance = Math.abs(count * drawn - draws * all)
  return shareFarOff(final, (sum) => Math.abs(count * sum - draws * all) >= distance)
}

/**
 * Exact two-sided P value of the sum of the scores whose signs are positive, each sign a fair coin. Scores are whole
 * numbers. Undefined where the work would exceed `mostExactSteps`.
 */
export function signedSumP(doubled: ArrayLike<number>, doubledSum: number): number | undefined {
  const { scores, observed } = inLowestUnits(doubled, doubledSum)
  const all = sumOf(scores)
  if (scores.length * all > mostExactSteps) return undefined
  const chance = new Float64Array(all + 1)
  chance[0] = 1
  let reached = 0
  for (let i = 0; i < scores.length; i++) {
    const score = scores[i]!
    reached += score
    for (let sum = reached; sum >= 0; sum--) {
      chance[sum] = 0.5 * (chance[sum]! + (sum >= score ? chance[sum - score]! : 0))
    }
  }
  const distance = Math.abs(2 * observed - all)
  return shareFarOff(chance, (sum) => Math.abs(2 * sum - all) >= distance)
}

/** Without odd scores, as where there are no ties, half of every score tells the same in half the work. */
function inLowestUnits(
  doubled: ArrayLike<number>,
  doubledSum: number,
): { readonly scores: ArrayLike<number>; readonly observed: number } {
  const all = Array.from(doubled)
  if (all.some((score) => score % 2 !== 0)) return { scores: doubled, observed: doubledSum }
  return { scores: all.map((score) => score / 2), observed: doubledSum / 2 }
}

function shareFarOff(ways: Float64Array, isFar: (sum: number) => boolean): number {
  let far = 0
  let total = 0
  for (let sum = 0; sum < ways.length; sum++) {
    total += ways[sum]!
    if (isFar(sum)) far += ways[sum]!
  }
  return Math.min(1, far / total)
}

function sumOf(scores: ArrayLike<number>): number {
  let sum = 0
  for (let i = 0; i < scores.length; i++) sum += scores[i]!
  return sum
}

function largestSum(scores: ArrayLike<number>, draws: number): number {
  return sumOf(
    Array.from(scores)
      .sort((a, b) => b - a)
      .slice(0, draws),
  )
}
