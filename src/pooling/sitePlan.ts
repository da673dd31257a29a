import { DisclosureError } from '../core/errors.js'
import { deepFreeze } from '../core/plain.js'
import { coarsestNeeded } from './coarsening.js'
import { countKinds, type FineCounts, finestGrouping, type Grouping, kindsPerGroup } from './fineCounts.js'
import type { Protocol } from './protocol.js'
import { stratumLevels } from './siteRows.js'

/** What a clinic shares: which strata stand together, and where the intervals of each block end. */
export interface SitePlan {
  readonly grouping: Grouping
  /** Positions among the days of the protocol's grid at which the intervals of each block end. */
  readonly ends: readonly (readonly number[])[]
}

/** Counts rows put together in a given way; the only way in which the plan sees the data. */
export type Counting = (grouping: Grouping) => FineCounts | Promise<FineCounts>

/**
 * Finds what a clinic can share: every count none or at least the threshold of patients. Competing events are counted
 * as censored if too few patients had one, then groups are put together if one is too small, then rare strata, and
 * each block gets the finest grid that holds.
 *
 * @throws DisclosureError `threshold-not-met` where even everything in one interval falls short
 */
export async function planSite(protocol: Protocol, count: Counting): Promise<SitePlan> {
  const { threshold } = protocol
  const levels = stratumLevels(protocol).length
  const coarse = await settledCauses(protocol, count, levels)
  let grouping: Grouping = { ...finestGrouping(levels), ...coarse }
  for (;;) {
    const counts = await count(grouping)
    const ends = Array.from({ length: counts.blocks }, (_one, b) => coarsestNeeded(counts, b, threshold))
    const failed = ends.flatMap((found, b) => (found === undefined ? [b] : []))
    if (failed.length === 0) return deepFreeze({ grouping, ends: ends as readonly (readonly number[])[] })
    if (grouping.blocks === 1) throw tooFew(threshold)
    grouping = mergedSmallest(grouping, counts, failed)
  }
}

/** Settles, with all strata together, whether competing events and groups can stand apart. */
async function settledCauses(
  protocol: Protocol,
  count: Counting,
  levels: number,
): Promise<Pick<Grouping, 'foldCompeting' | 'mergeGroups'>> {
  const together = { blockOf: new Array<number>(levels).fill(0), blocks: 1 }
  for (const mergeGroups of [false, true]) {
    for (const foldCompeting of [false, true]) {
      const counts = await count({ ...together, foldCompeting, mergeGroups })
      if (coarsestNeeded(counts, 0, protocol.threshold) !== undefined) {
        if (lanesEmpty(counts)) continue
        return { foldCompeting, mergeGroups }
      }
    }
  }
  throw tooFew(protocol.threshold)
}

function lanesEmpty(counts: FineCounts): boolean {
  return counts.rows.every((rows) => rows === 0)
}

/** Puts the failing block with fewest restorations together with the smallest other one that is not empty. */
function mergedSmallest(grouping: Grouping, counts: FineCounts, failed: readonly number[]): Grouping {
  const sizes = Array.from({ length: counts.blocks }, (_one, b) => rowsOfBlock(counts, b))
  const bySize = (left: number, right: number): number => sizes[left]! - sizes[right]! || left - right
  const smallest = [...failed].sort(bySize)[0]!
  const others = sizes.flatMap((_size, b) => (b === smallest ? [] : [b])).sort(bySize)
  const other = others.find((b) => sizes[b]! > 0) ?? others[0]!
  const [low, high] = [Math.min(smallest, other), Math.max(smallest, other)]
  return {
    ...grouping,
    blocks: grouping.blocks - 1,
    blockOf: grouping.blockOf.map((b) => (b === high ? low : b > high ? b - 1 : b)),
  }
}

function rowsOfBlock(counts: FineCounts, block: number): number {
  let sum = 0
  const lanes = counts.groups * kindsPerGroup
  for (let lane = 0; lane < lanes; lane++) {
    if (lane % kindsPerGroup === countKinds.entered) continue
    for (let j = 0; j < counts.intervals; j++)
      sum += counts.rows[(block * lanes + lane) * counts.intervals + j]!
  }
  return sum
}

/** The refusal where no coarser counts are left to try. */
export function tooFew(threshold: number): DisclosureError {
  return new DisclosureError({
    code: 'threshold-not-met',
    problem: `even with all groups, strata and times put together, some count rests on fewer than ${threshold} patients.`,
    expected: `no patient, or at least ${threshold} patients, behind every count that leaves the practice.`,
    mend: 'wait until more patients have been seen, or join records with another clinic before sharing.',
  })
}
