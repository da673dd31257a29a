import type { Cohort } from '../../cohort/cohort.js'
import { labelAt, textCovariate } from '../../cohort/covariates.js'
import { exposureGroups } from '../../cohort/definition.js'
import { daysPerYear } from '../../core/calendar.js'
import type { Contrast, TestResult, Warning } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { compareRisksAt } from '../../statistics/curves/riskAtTimes.js'
import { defaultPlan } from '../plan/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, countPatients } from '../rows/cohortRows.js'
import { type ComparedGroups, comparedRows } from '../rows/compared.js'
import { curveTest } from '../rows/curveTest.js'
import { type HazardRatioVariant, hazardRatioVariants } from './hazardRatios.js'

/** Least share of restorations in cells that hold both ways for an adjusted ratio to lead. */
const leastOverlap = 0.5

export type { HazardRatioVariant } from './hazardRatios.js'

/** Contrast of two groups at one horizon. */
export interface HorizonContrast {
  readonly years: number
  /** Risk in the group minus risk in the comparator, as a share. */
  readonly riskDifference: Contrast
  /** Fewer than the least number at risk in either group. */
  readonly thin: boolean
}

/** Answer to "did repeated tightening do better than a single one". */
export interface TighteningComparisonResult {
  readonly kind: 'comparison'
  /** The group asked about, and what it is set against. */
  readonly group: string
  readonly against: string
  readonly restorations: Readonly<Record<string, number>>
  readonly patients: Readonly<Record<string, number>>
  readonly events: Readonly<Record<string, number>>
  readonly horizons: readonly HorizonContrast[]
  /** Test of two curves, patients kept together. */
  readonly curveTest: TestResult
  /** Crude first, then adjusted; the last that could be estimated leads where overlap suffices. */
  readonly hazardRatios: readonly HazardRatioVariant[]
  /** Share of restorations in cells of clinic, operator and year that hold both protocols. */
  readonly overlapShare: number
  /** Whether overlap suffices for an adjusted estimate to lead. */
  readonly adjustedMayLead: boolean
  /** How the groups came about, by reason, counted. */
  readonly reasons: readonly { readonly reason: string; readonly restorations: number }[]
  readonly warnings: readonly Warning[]
  readonly level: number
}

/**
 * Sets the group that the plan asks about (tightened again within the window) against its comparator (tightened once): difference of risks at the
 * horizons, test of the curves, hazard ratios crude and adjusted, and how far the two protocols overlapped.
 *
 * @param cohort restorations with time at risk
 * @param settings level, horizons, least number at risk; default `defaultSettings`
 * @returns undefined where one of the two groups is empty
 * @example contrastTightenings(cohort).events // => {"repeated in the window":22,"single":32}
 */
export function contrastTightenings(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): TighteningComparisonResult | undefined {
  const { group, against } = settings.plan ?? defaultPlan
  const compared = comparedRows(cohort, { group, against })
  if (compared === undefined) return undefined
  const { rows, inGroup, names } = compared
  const groupCode = exposureGroups.indexOf(group)
  const share = overlapShare(cohort, rows.row, (row) => cohort.exposure[row] === groupCode)
  const { variants, warnings } = hazardRatioVariants(cohort, compared, settings)
  return deepFreeze({
    kind: 'comparison' as const,
    ...names,
    ...countsByGroup(cohort, names),
    horizons: horizonContrasts(rows, inGroup, names, settings),
    curveTest: curveTest(cohort, rows, inGroup, settings),
    hazardRatios: variants,
    overlapShare: share,
    adjustedMayLead: share >= leastOverlap,
    reasons: reasonCounts(cohort, rows),
    warnings,
    level: settings.level,
  })
}

function countsByGroup(
  cohort: Cohort,
  names: ComparedGroups,
): Pick<TighteningComparisonResult, 'restorations' | 'patients' | 'events'> {
  const groups = [names.group, names.against].map((name) => {
    const code = exposureGroups.indexOf(name)
    return [name, cohortRows(cohort, (row) => cohort.exposure[row] === code)] as const
  })
  const counted = (count: (rows: CohortRows) => number): Readonly<Record<string, number>> =>
    Object.fromEntries(groups.map(([name, rows]) => [name, count(rows)]))
  return {
    restorations: counted((rows) => rows.n),
    patients: counted(countPatients),
    events: counted((rows) => rows.event.reduce((sum, one) => sum + one, 0)),
  }
}

function horizonContrasts(
  rows: CohortRows,
  inGroup: Uint8Array,
  names: ComparedGroups,
  settings: AnalysisSettings,
): readonly HorizonContrast[] {
  const { level, horizonsYears, leastAtRisk } = settings
  const labels = Array.from(inGroup, (one) => (one === 1 ? names.group : names.against))
  const comparison = compareRisksAt(
    rows.timeDays,
    rows.status,
    labels,
    horizonsYears.map((years) => years * daysPerYear),
    { entry: rows.entryDays, cluster: rows.patient, level, against: names.against },
  )
  const [difference] = comparison.differences
  return horizonsYears.map((years, i) => ({
    years,
    riskDifference: difference!.at[i]!,
    thin: comparison.groups.some(({ risks }) => risks[i]!.atRisk < leastAtRisk),
  }))
}

/** How the groups came about, most frequent reason first. */
function reasonCounts(cohort: Cohort, rows: CohortRows): TighteningComparisonResult['reasons'] {
  const reason = textCovariate(cohort, 'tightening_reason')
  const counts = new Map<string, number>()
  for (const row of rows.row) {
    const name = reason[row] ?? 'unknown'
    counts.set(name, (counts.get(name) ?? 0) + 1)
  }
  return [...counts]
    .sort(([leftName, left], [rightName, right]) => right - left || (leftName < rightName ? -1 : 1))
    .map(([name, restorations]) => ({ reason: name, restorations }))
}

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
function overlapShare(cohort: Cohort, rows: ArrayLike<number>, inGroup: (row: number) => boolean): number {
  return sharedShare(overlapCells(cohort, rows, inGroup))
}
