/**
 * Follow-up as whole ranks in which an event comes just before a censoring of the same time, and the rank at which
 * each row's status at the horizon is settled.
 */
export interface CensoringTimes {
  /** Rank at which follow-up ended: even for events, odd for censorings. */
  readonly rank: Float64Array
  /** 1 where follow-up was censored. */
  readonly censored: Uint8Array
  /** 1 where the status at the horizon is known. */
  readonly known: Uint8Array
  /** Rank before which a censoring would have hidden the status. */
  readonly settled: Float64Array
  readonly ranks: number
}

/** Ranks follow-up for the censoring distribution up to a horizon. */
export function censoringSteps(
  time: ArrayLike<number>,
  event: ArrayLike<number>,
  horizon: number,
): CensoringTimes {
  const n = time.length
  const order = Float64Array.from(time).sort()
  const distinct: number[] = []
  for (const one of order) if (one !== distinct[distinct.length - 1]) distinct.push(one)
  const position = new Map(distinct.map((one, k) => [one, k]))
  // Everything at or past the horizon is settled just before the first time that is not before it.
  const firstAfter = distinct.findIndex((one) => one >= horizon)
  const end = 2 * (firstAfter < 0 ? distinct.length : firstAfter)
  const rank = new Float64Array(n)
  const censored = new Uint8Array(n)
  const known = new Uint8Array(n)
  const settled = new Float64Array(n)
  for (let row = 0; row < n; row++) {
    const at = 2 * position.get(time[row]!)!
    const had = event[row]! > 0
    rank[row] = had ? at : at + 1
    censored[row] = had ? 0 : 1
    known[row] = (had && time[row]! <= horizon) || time[row]! >= horizon ? 1 : 0
    settled[row] = Math.min(at, end)
  }
  return { rank, censored, known, settled, ranks: 2 * distinct.length }
}

/**
 * Probability of each row that its status was not hidden by a censoring: product-limit by group, or from Breslow's
 * baseline under relative hazards of censoring.
 *
 * @param counts how often each row counts; default once
 * @param relative relative hazard of censoring of each row; default all alike, by the product limit
 */
export function uncensoredProbability(
  times: CensoringTimes,
  group: ArrayLike<number>,
  groups: number,
  counts?: ArrayLike<number>,
  relative?: ArrayLike<number>,
): Float64Array {
  const { rank, censored, settled, ranks } = times
  const leaving = new Float64Array(groups * ranks)
  const censorings = new Float64Array(groups * ranks)
  for (let row = 0; row < rank.length; row++) {
    const count = counts === undefined ? 1 : counts[row]!
    const cell = group[row]! * ranks + rank[row]!
    leaving[cell]! += count * (relative === undefined ? 1 : relative[row]!)
    censorings[cell]! += count * censored[row]!
  }
  // At each rank: the logarithm of the probability of passing all ranks before it, for a relative hazard of 1.
  const passed = new Float64Array(groups * (ranks + 1))
  for (let g = 0; g < groups; g++) {
    let atRisk = 0
    const atRiskAt = new Float64Array(ranks)
    for (let r = ranks - 1; r >= 0; r--) {
      atRisk += leaving[g * ranks + r]!
      atRiskAt[r] = atRisk
    }
    for (let r = 0; r < ranks; r++) {
      const share = censorings[g * ranks + r]! === 0 ? 0 : censorings[g * ranks + r]! / atRiskAt[r]!
      const step = relative === undefined ? Math.log1p(-Math.min(1, share)) : -share
      passed[g * (ranks + 1) + r + 1] = passed[g * (ranks + 1) + r]! + step
    }
  }
  return Float64Array.from(settled, (upTo, row) => {
    const logarithm = passed[group[row]! * (ranks + 1) + upTo]!
    return Math.exp(relative === undefined ? logarithm : logarithm * relative[row]!)
  })
}
