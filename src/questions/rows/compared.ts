import type { Cohort } from '../../cohort/cohort.js'
import { type ExposureGroup, exposureGroups } from '../../cohort/definition.js'
import { codesOfRows, takenCodes } from '../../core/columns.js'
import { type CohortRows, cohortRows, subsetRows } from './cohortRows.js'

/** Names of the two groups compared. */
export interface ComparedGroups {
  readonly group: ExposureGroup
  readonly against: ExposureGroup
}

/** The restorations of two groups, in the order of the cohort. */
export interface Compared {
  readonly rows: CohortRows
  /** 1 in the group asked about, 0 in the comparator. */
  readonly inGroup: Uint8Array
  readonly names: ComparedGroups
}

/** Takes the restorations of two groups; undefined where one of them is empty. */
export function comparedRows(
  cohort: Cohort,
  names: ComparedGroups,
  exposure: ArrayLike<number> = cohort.exposure,
): Compared | undefined {
  const group = exposureGroups.indexOf(names.group)
  const against = exposureGroups.indexOf(names.against)
  const rows = cohortRows(cohort, (row) => exposure[row] === group || exposure[row] === against)
  const inGroup = codesOfRows(rows.n, (i) => (exposure[rows.row[i]!] === group ? 1 : 0))
  return hasBoth(inGroup) ? { rows, inGroup, names } : undefined
}

/** Some of the restorations compared; undefined where one group is left empty. */
export function subsetCompared(compared: Compared, kept: readonly number[]): Compared | undefined {
  const inGroup = takenCodes(compared.inGroup, kept)
  if (!hasBoth(inGroup)) return undefined
  return { rows: subsetRows(compared.rows, kept), inGroup, names: compared.names }
}

/** Number of restorations with the endpoint. */
export function countEvents({ rows }: Compared): number {
  return rows.event.reduce((sum, one) => sum + one, 0)
}

function hasBoth(inGroup: Uint8Array): boolean {
  return inGroup.includes(1) && inGroup.includes(0)
}
