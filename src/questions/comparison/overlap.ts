import type { Choice, ChoiceDesigns } from './choice.js'

/** How far both ways were to be had at the same place and time. */
export interface Overlap {
  /** Share of restorations whose operator used the other way within a year of their delivery. */
  readonly withinAYear: number
  /** Mean of 4·e·(1 − e) over all restorations compared: 1 where the choice was a coin's, 0 where it was settled. */
  readonly openChoice: number
  /** Share of restorations whose operator had one way only; they have no weight. */
  readonly oneWayOnly: number
  readonly enough: boolean
}

/** Least share of restorations whose operator used the other way within a year. */
export const leastWithinAYear = 0.5

/** Least openness of the choice. */
export const leastOpenChoice = 0.15

/** Judges overlap by operator and period together, and by how far the choice was foreseeable from all that is allowed for. */
export function overlapOf(designs: ChoiceDesigns, choice: Choice | undefined): Overlap {
  const { compared, operator, years } = designs
  const n = compared.row.length
  const days = new Map<string, [number[], number[]]>()
  for (let i = 0; i < n; i++) {
    const both = days.get(operator[i]!) ?? [[], []]
    if (!Number.isNaN(years[i]!)) both[compared.inGroup[i]!]!.push(years[i]!)
    days.set(operator[i]!, both)
  }
  for (const both of days.values()) for (const one of both) one.sort((left, right) => left - right)
  let near = 0
  for (let i = 0; i < n; i++) {
    const other = days.get(operator[i]!)![1 - compared.inGroup[i]!]!
    if (Number.isNaN(years[i]!) ? other.length > 0 : nearest(other, years[i]!) <= 1) near += 1
  }
  let open = 0
  if (choice !== undefined) {
    for (const { score } of choice.scores) {
      for (const e of score) open += (4 * e * (1 - e)) / choice.scores.length
    }
  }
  const withinAYear = near / n
  const openChoice = open / n
  return {
    withinAYear,
    openChoice,
    oneWayOnly: 1 - (choice?.kept.length ?? 0) / n,
    enough: withinAYear >= leastWithinAYear && openChoice >= leastOpenChoice,
  }
}

/** Distance of a value from the nearest of ascending values. */
function nearest(sorted: readonly number[], value: number): number {
  let low = 0
  let high = sorted.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (sorted[middle]! < value) low = middle + 1
    else high = middle
  }
  const below = low > 0 ? value - sorted[low - 1]! : Number.POSITIVE_INFINITY
  const above = low < sorted.length ? sorted[low]! - value : Number.POSITIVE_INFINITY
  return Math.min(below, above)
}
