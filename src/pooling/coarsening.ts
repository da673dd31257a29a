import { countKinds, type FineCounts, kindsPerGroup } from './fineCounts.js'

/** What an interval with an endpoint is worth against one without. */
const withEndpoint = 1000

/** Sums over fine intervals from each start, so that any span is a difference. */
interface Running {
  readonly rows: Float64Array
  readonly patients: Float64Array
}

/**
 * The finest grid of a block on which every count has no patient or at least the threshold: as many intervals with an
 * endpoint as can be had, then as many as can be had (dynamic programming over the ends), each with somebody leaving in
 * it, none after the last exit.
 *
 * @param allowed whether a fine interval may end a coarse one; all may by default
 * @returns positions of the ends among the fine intervals, or undefined where not even one interval will do
 */
export function coarsestNeeded(
  counts: FineCounts,
  block: number,
  threshold: number,
  allowed: (end: number) => boolean = () => true,
): readonly number[] | undefined {
  const running = runningSums(counts, block)
  const last = lastExit(counts, block)
  if (last < 0) return []
  const most = new Int32Array(last + 2).fill(-1)
  const from = new Int32Array(last + 2)
  most[0] = 0
  for (let end = 1; end <= last + 1; end++) {
    if (end <= last && !allowed(end - 1)) continue
    for (let start = 0; start < end; start++) {
      const reached = most[start]! + 1 + (hasEndpoint(counts, running, start, end) ? withEndpoint : 0)
      if (most[start]! < 0 || reached <= most[end]!) continue
      if (!spanHolds(counts, block, running, start, end, threshold)) continue
      most[end] = reached
      from[end] = start
    }
  }
  if (most[last + 1]! < 0) return undefined
  const ends: number[] = []
  for (let end = last + 1; end > 0; end = from[end]!) ends.unshift(end - 1)
  return ends
}

function runningSums(counts: FineCounts, block: number): Running {
  const lanes = counts.groups * kindsPerGroup
  const width = counts.intervals + 1
  const sums = (column: Float64Array): Float64Array => {
    const running = new Float64Array(lanes * width)
    for (let lane = 0; lane < lanes; lane++) {
      const base = (block * lanes + lane) * counts.intervals
      for (let j = 0; j < counts.intervals; j++) {
        running[lane * width + j + 1] = running[lane * width + j]! + column[base + j]!
      }
    }
    return running
  }
  return { rows: sums(counts.rows), patients: sums(counts.patients) }
}

function lastExit(counts: FineCounts, block: number): number {
  for (let j = counts.intervals - 1; j >= 0; j--) {
    for (let lane = 0; lane < counts.groups * kindsPerGroup; lane++) {
      if (lane % kindsPerGroup === countKinds.entered) continue
      if (counts.rows[(block * counts.groups * kindsPerGroup + lane) * counts.intervals + j]! > 0) return j
    }
  }
  return -1
}

function hasEndpoint(counts: FineCounts, running: Running, start: number, end: number): boolean {
  const width = counts.intervals + 1
  for (let group = 0; group < counts.groups; group++) {
    const lane = (group * kindsPerGroup + countKinds.endpoint) * width
    if (running.rows[lane + end]! > running.rows[lane + start]!) return true
  }
  return false
}

/** Whether the counts of the fine intervals from start to below end can stand together. */
function spanHolds(
  counts: FineCounts,
  block: number,
  running: Running,
  start: number,
  end: number,
  threshold: number,
): boolean {
  const width = counts.intervals + 1
  const between = (column: Float64Array, lane: number, low: number, high: number): number =>
    column[lane * width + high]! - column[lane * width + low]!
  let exits = 0
  for (let lane = 0; lane < counts.groups * kindsPerGroup; lane++) {
    const rows = between(running.rows, lane, start, end)
    if (rows > 0 && between(running.patients, lane, start, end) < threshold) return false
    if (lane % kindsPerGroup !== countKinds.entered) exits += rows
  }
  if (exits === 0) return false
  for (let group = 0; group < counts.groups; group++) {
    const lane = group * kindsPerGroup
    const entered = between(running.rows, lane + countKinds.entered, 0, counts.intervals)
    if (entered === 0) continue
    // Who is at risk can be had from exits and entries, and with late entries it may be fewer than either.
    let atRisk = entered === 0 ? 0 : -between(running.rows, lane + countKinds.entered, end, counts.intervals)
    for (let kind = 0; kind < countKinds.entered; kind++) {
      atRisk += between(running.rows, lane + kind, start, counts.intervals)
    }
    const least = threshold * counts.mostOfOne[block * counts.groups + group]!
    if (atRisk > 0 && atRisk < least) return false
  }
  return true
}
