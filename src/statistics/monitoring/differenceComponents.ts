import type { CodeColumn } from '../kernel/codes.js'
/** Bias and spread of differences that may share clusters. */
export interface Components {
  readonly bias: number
  readonly standardError: number
  /** Standard deviation of a single difference. */
  readonly deviation: number
  readonly between: number
  readonly within: number
  /** Mean squares whose weighted sum is the variance of a single difference. */
  readonly meanSquares: readonly {
    readonly weight: number
    readonly meanSquare: number
    readonly freedom: number
  }[]
  readonly clusters: number
  /** Pairs that the clustered ones are worth for a share. */
  readonly effectiveSize: number
}

/**
 * Components of variance of differences by the one-way analysis of variance (Bland and Altman 2007); differences
 * without clusters have one component, their variance.
 */
export function componentsOf(differences: Float64Array, cluster: CodeColumn | undefined): Components {
  const n = differences.length
  const bias = differences.reduce((a, b) => a + b, 0) / n
  const groups = new Map<number | string, { sum: number; count: number }>()
  differences.forEach((difference, i) => {
    const key = cluster?.[i] ?? i
    const group = groups.get(key) ?? { sum: 0, count: 0 }
    groups.set(key, { sum: group.sum + difference, count: group.count + 1 })
  })
  const m = groups.size
  let betweenSquares = 0
  let sizeSquares = 0
  for (const { sum, count } of groups.values()) {
    betweenSquares += count * (sum / count - bias) ** 2
    sizeSquares += count * count
  }
  const total = differences.reduce((sum, one) => sum + (one - bias) ** 2, 0)
  if (m === n) {
    const variance = total / (n - 1)
    return {
      bias,
      standardError: Math.sqrt(variance / n),
      deviation: Math.sqrt(variance),
      between: 0,
      within: variance,
      meanSquares: [{ weight: 1, meanSquare: variance, freedom: n - 1 }],
      clusters: n,
      effectiveSize: n,
    }
  }
  const betweenMean = betweenSquares / (m - 1)
  const withinMean = Math.max(0, total - betweenSquares) / (n - m)
  const typical = (n - sizeSquares / n) / (m - 1)
  const between = Math.max(0, (betweenMean - withinMean) / typical)
  const share = between === 0 ? 0 : 1 / typical
  const variance = between + withinMean
  // Variance of the overall mean when clusters differ: Σ mᵢ² σb² / n² + σw² / n.
  const meanVariance = (sizeSquares * between) / n ** 2 + withinMean / n
  return {
    bias,
    standardError: Math.sqrt(meanVariance),
    deviation: Math.sqrt(variance),
    between,
    within: withinMean,
    meanSquares: [
      { weight: share, meanSquare: betweenMean, freedom: m - 1 },
      { weight: 1 - share, meanSquare: withinMean, freedom: n - m },
    ],
    clusters: m,
    effectiveSize: variance === 0 ? m : variance / meanVariance,
  }
}
