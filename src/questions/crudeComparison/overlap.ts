import type { Cohort } from '../../cohort/cohort.js'
import { labelAt } from '../../cohort/covariates.js'

/** Restorations of both groups in one cell of clinic, operator and year of delivery. */
export interface OverlapCell {
  readonly clinic: string
  readonly operator: string
  /** Year of delivery; 0 where unknown. */
  readonly year: number
  readonly group: number
  readonly against: number
}

/**
 * Cells of clinic, operator and year of delivery with the restorations of both groups in each, in the order of clinic,
 * operator and year.
 *
 * @param rows positions in the cohort of the restorations compared
 * @param inGroup whether a restoration belongs to the group asked about; the others belong to the comparator
 */
function overlapCells(
  cohort: Cohort,
  rows: ArrayLike<number>,
  inGroup: (row: number) => boolean,
): readonly OverlapCell[] {
  const cells = new Map<string, { row: number; group: number; against: number }>()
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!
    const key = `${cohort.clinic.codes[row]}|${cohort.operator.codes[row]}|${cohort.deliveryYear[row]}`
    const cell = cells.get(key) ?? { row, group: 0, against: 0 }
    if (inGroup(row)) cell.group += 1
    else cell.against += 1
    cells.set(key, cell)
  }
  return [...cells.values()]
    .map(({ row, group, against }) => ({
      clinic: labelAt(cohort.clinic, row) ?? 'unknown',
      operator: labelAt(cohort.operator, row) ?? 'unknown',
      year: cohort.deliveryYear[row]!,
      group,
      against,
    }))
    .sort((left, right) => compareCells(left, right))
}

function compareCells(left: OverlapCell, right: OverlapCell): number {
  if (left.clinic !== right.clinic) return left.clinic < right.clinic ? -1 : 1
  if (left.operator !== right.operator) return left.operator < right.operator ? -1 : 1
  return left.year - right.year
}

/** Share of restorations in cells that hold both groups. */
function sharedShare(cells: readonly OverlapCell[]): number {
  let all = 0
  let shared = 0
  for (const { group, against } of cells) {
    all += group + against
    if (group > 0 && against > 0) shared += group + against
  }
  return all === 0 ? 0 : shared / all
}

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
  return sharedShare(overlapCells(cohort, rows, inGroup))
}
