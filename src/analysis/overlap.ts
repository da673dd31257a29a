import type { Cohort } from '../cohort/cohort.js'

/**
 * Share of restorations in cells of clinic, operator and year of delivery that hold both groups: where it is small,
 * the groups were hardly ever to be had at the same place and time, and adjustment has nothing to compare.
 *
 * @param rows positions in the cohort of the restorations compared
 * @param inGroup whether a restoration belongs to the group asked about; the others belong to the comparator
 */
export function overlapShare(
  cohort: Cohort,
  rows: ArrayLike<number>,
  inGroup: (row: number) => boolean,
): number {
  const cells = new Map<string, { group: number; against: number }>()
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!
    const key = `${cohort.clinic.codes[row]}|${cohort.operator.codes[row]}|${cohort.deliveryYear[row]}`
    const cell = cells.get(key) ?? { group: 0, against: 0 }
    if (inGroup(row)) cell.group += 1
    else cell.against += 1
    cells.set(key, cell)
  }
  let shared = 0
  for (const { group, against } of cells.values()) if (group > 0 && against > 0) shared += group + against
  return rows.length === 0 ? 0 : shared / rows.length
}
