import type { Protocol } from './protocol.js'

/** Counts of one field of the balance: of group g and level l (the unknown last) at g · levels + l. */
export interface LevelCounts {
  readonly rows: Float64Array
  readonly patients: Float64Array
}

/** How the levels of one field are shared; undefined where the field is withheld. */
export type LevelGroups = readonly (readonly number[])[] | undefined

/**
 * Puts rare levels of each field together until every group has none or at least the threshold of patients in each; a
 * field of which nothing but the whole would be left is withheld.
 */
export function planBalance(
  protocol: Protocol,
  counts: readonly LevelCounts[],
  groups: number,
): readonly LevelGroups[] {
  return protocol.balance.map(({ levels }, f) =>
    groupedLevels(counts[f]!, groups, levels.length + 1, protocol.threshold),
  )
}

function groupedLevels(counts: LevelCounts, groups: number, levels: number, threshold: number): LevelGroups {
  let parts = Array.from({ length: levels }, (_one, level) => [level])
  const rows = (part: readonly number[]): number => summed(counts.rows, groups, levels, part)
  for (;;) {
    const failing = parts.filter((part) => !holds(counts, groups, levels, part, threshold))
    if (failing.length === 0) break
    if (parts.length <= 2) return undefined
    const bySize = (left: number[], right: number[]): number =>
      rows(left) - rows(right) || left[0]! - right[0]!
    const smallest = failing.sort(bySize)[0]!
    const others = parts.filter((part) => part !== smallest).sort(bySize)
    const other = others.find((part) => rows(part) > 0) ?? others[0]!
    parts = [...parts.filter((part) => part !== smallest && part !== other), [...other, ...smallest].sort()]
  }
  return parts.map((part) => part.sort((a, b) => a - b)).sort((left, right) => left[0]! - right[0]!)
}

/** Patients of levels put together are at least those of the largest: nobody is counted twice. */
function holds(
  counts: LevelCounts,
  groups: number,
  levels: number,
  part: readonly number[],
  threshold: number,
): boolean {
  for (let g = 0; g < groups; g++) {
    const rows = part.reduce((sum, level) => sum + counts.rows[g * levels + level]!, 0)
    const patients = Math.max(...part.map((level) => counts.patients[g * levels + level]!))
    if (rows > 0 && patients < threshold) return false
  }
  return true
}

function summed(column: Float64Array, groups: number, levels: number, part: readonly number[]): number {
  let sum = 0
  for (let g = 0; g < groups; g++) for (const level of part) sum += column[g * levels + level]!
  return sum
}
