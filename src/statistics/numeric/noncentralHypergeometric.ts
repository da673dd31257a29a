/**
 * Fisher's noncentral hypergeometric distribution: events of the first group, given the total of events, when the
 * odds ratio is exp(log odds ratio). Everything is computed by ratios of neighbouring terms outward from the mode,
 * so that sizes of 10⁷ cost no digits and far tails do not underflow. Fisher 1935; Liao and Rosen 2001.
 */
export interface EventTable {
  /** Units of the first group. */
  readonly n1: number
  /** Units of the second group. */
  readonly n2: number
  /** Events of both groups together. */
  readonly total: number
}

/** Fewest and most events that the first group can have. */
export function supportOf({ n1, n2, total }: EventTable): readonly [least: number, most: number] {
  return [Math.max(0, total - n2), Math.min(n1, total)]
}

/** Logarithms of the probabilities of fewer, of exactly and of more than x events in the first group. */
export interface LogTails {
  readonly fewer: number
  readonly exactly: number
  readonly more: number
}

/** Log probability of fewer than, exactly, and more than x events. */
export function logTails(table: EventTable, x: number, logOddsRatio: number): LogTails {
  const mode = modeOf(table, logOddsRatio)
  const up = (k: number): number => ratioUp(table, k, logOddsRatio)
  const down = (k: number): number => 1 / ratioUp(table, k - 1, logOddsRatio)
  const [least, most] = supportOf(table)
  const [ahead, behind] = x >= mode ? [up, down] : [down, up]
  const [direction, farEnd, nearEnd] = x >= mode ? ([1, most, least] as const) : ([-1, least, most] as const)
  const { logTerm, passed } = walk(mode, x, ahead, direction)
  const near = passed + sumBeyond(mode, nearEnd, behind, direction === 1 ? -1 : 1)
  const far = sumBeyond(x, farEnd, ahead, direction)
  const logAll = Math.log(near + Math.exp(logTerm) * (1 + far))
  const nearSide = Math.log(near) - logAll
  const farSide = logTerm + Math.log(far) - logAll
  const exactly = logTerm - logAll
  return x >= mode ? { fewer: nearSide, exactly, more: farSide } : { fewer: farSide, exactly, more: nearSide }
}

/** Mean number of events of the first group. */
export function meanEvents(table: EventTable, logOddsRatio: number): number {
  const mode = modeOf(table, logOddsRatio)
  const [least, most] = supportOf(table)
  let mass = 1
  let shift = 0
  const collect = (end: number, direction: 1 | -1): void => {
    let term = 1
    for (let k = mode; k !== end; k += direction) {
      term *= direction === 1 ? ratioUp(table, k, logOddsRatio) : 1 / ratioUp(table, k - 1, logOddsRatio)
      mass += term
      shift += (k + direction - mode) * term
      if (term < mass * 1e-20) break
    }
  }
  collect(most, 1)
  collect(least, -1)
  return mode + shift / mass
}

/**
 * Two-sided P value at an odds ratio of 1 as the sum over all tables no more probable than the one observed, with a
 * relative slack of 1e-7 for ties.
 */
export function minimumLikelihoodP(table: EventTable, x: number): number {
  const [least, most] = supportOf(table)
  const mode = modeOf(table, 0)
  const up = (k: number): number => ratioUp(table, k, 0)
  const down = (k: number): number => 1 / ratioUp(table, k - 1, 0)
  const observed = x >= mode ? walk(mode, x, up, 1).logTerm : walk(mode, x, down, -1).logTerm
  const threshold = observed + 1e-7
  const right = firstBelow(mode, most, up, 1, threshold)
  const left = firstBelow(mode, least, down, -1, threshold)
  if (right <= left + 1) return 1
  const tailRight = right > most ? 0 : atLeast(table, right)
  const tailLeft = left < least ? 0 : atMost(table, left)
  return Math.min(1, tailRight + tailLeft)
}

function atLeast(table: EventTable, x: number): number {
  const tails = logTails(table, x, 0)
  return Math.exp(tails.exactly) + Math.exp(tails.more)
}

function atMost(table: EventTable, x: number): number {
  const tails = logTails(table, x, 0)
  return Math.exp(tails.exactly) + Math.exp(tails.fewer)
}

/** First point, going from the mode, whose log term relative to the mode lies at or below a threshold. */
function firstBelow(
  mode: number,
  end: number,
  ratio: (k: number) => number,
  direction: 1 | -1,
  threshold: number,
): number {
  let logTerm = 0
  for (let k = mode; ; k += direction) {
    if (logTerm <= threshold) return k
    if (k === end) return k + direction
    logTerm += Math.log(ratio(k))
  }
}

/** Probability of k + 1 events over that of k. */
function ratioUp({ n1, n2, total }: EventTable, k: number, logOddsRatio: number): number {
  return (((n1 - k) / (k + 1)) * (total - k) * Math.exp(logOddsRatio)) / (n2 - total + k + 1)
}

/** Most probable number of events: the floor of the root of ratio(k − 1) = 1. */
function modeOf(table: EventTable, logOddsRatio: number): number {
  const [least, most] = supportOf(table)
  let low = least
  let high = most
  while (low < high) {
    const middle = Math.floor((low + high) / 2)
    if (ratioUp(table, middle, logOddsRatio) >= 1) low = middle + 1
    else high = middle
  }
  return low
}

/** Log term at the end of a walk from the mode (whose log term is 0), and the sum of the terms before that end. */
function walk(
  mode: number,
  x: number,
  ratio: (k: number) => number,
  direction: 1 | -1,
): { readonly logTerm: number; readonly passed: number } {
  let term = 1
  let offset = 0
  let passed = 0
  for (let k = mode; k !== x; k += direction) {
    if (offset === 0) passed += term
    term *= ratio(k)
    if (term < 1e-200) {
      offset += Math.log(term)
      term = 1
    }
  }
  return { logTerm: offset + Math.log(term), passed }
}

/** Sum of the terms beyond a point, relative to the term at that point. */
function sumBeyond(start: number, end: number, ratio: (k: number) => number, direction: 1 | -1): number {
  let term = 1
  let sum = 0
  for (let k = start; k !== end; k += direction) {
    term *= ratio(k)
    sum += term
    if (term < sum * 1e-20) break
  }
  return sum
}
