import type { Cohort } from '../../cohort/cohort.js'
import { covariateValues, labelsTogether } from '../../cohort/covariates.js'
import { type Warning, warning } from '../../core/estimate.js'
import { rareLevels } from '../../vocabulary/analyses.js'
import type { AdjustmentKey } from '../plan/planFile.js'
import { columnSpace } from './columnSpace.js'
import { type Compared, subsetCompared } from './compared.js'
import { knownInEnough, type LeftOut, reasonNotToEnter } from './knownInEnough.js'

/** What is adjusted for: a covariate, or what forms strata. */
export type AdjustedFor = AdjustmentKey | 'clinic'

/** What the restorations compared are made alike in. */
export interface Adjustment {
  /** Restorations with every value known. */
  readonly compared: Compared
  /** Columns by key; texts are categories. */
  readonly covariates: Readonly<Record<string, readonly number[] | readonly string[]>>
  /** Columns that are one level of a category of which other levels do not enter. */
  readonly levels: Readonly<Record<string, { readonly key: AdjustmentKey; readonly level: string }>>
  /** What is adjusted for, strata last. */
  readonly entered: readonly AdjustedFor[]
  /** Coefficients besides the one of the group. */
  readonly coefficients: number
  /** Stratum of each restoration, where there is more than one. */
  readonly strata: readonly string[] | undefined
  readonly leftOut: readonly LeftOut[]
  /** Restorations left out for want of a value. */
  readonly incomplete: number
  readonly warnings: readonly Warning[]
}

/** How an adjustment is made. */
export interface AdjustmentOptions {
  /** What to adjust for, most important first. */
  readonly keys: readonly AdjustmentKey[]
  /** What forms strata. */
  readonly strata: readonly ('clinic' | 'operator')[]
  /** Most coefficients, without that of the group, that these restorations bear; what comes last is left out first. */
  readonly mostCoefficients: (complete: Compared) => number
}

/** Levels held by fewer restorations than this are put together. */
const rareLevel = 10

/**
 * Prepares what came before the choice of protocol for a model: values known in too few are left out, restorations
 * without a value too, rare levels are put together, and what would need more coefficients than the data bear is left
 * out from the end of the list; all of it is said. Undefined where one group is left empty.
 */
export function adjustmentOf(
  cohort: Cohort,
  compared: Compared,
  options: AdjustmentOptions,
): Adjustment | undefined {
  const { rows } = compared
  const leftOut: LeftOut[] = []
  const read = options.keys.map((key) => ({ key, values: covariateValues(cohort, rows.row, key) }))
  const { known, complete: kept } = knownInEnough(read, rows.n, leftOut)
  const left = subsetCompared(compared, kept)
  if (left === undefined) return undefined
  const strata = stratumLabels(cohort, left, options.strata)
  const space = columnSpace(left.rows.n)
  const covariates: Record<string, readonly number[] | readonly string[]> = {}
  const levelColumns: Record<string, { key: AdjustmentKey; level: string }> = {}
  const entered: AdjustedFor[] = []
  const most = options.mostCoefficients(left)
  let coefficients = 0
  const enter = (key: AdjustmentKey, column: readonly number[] | readonly string[]): void => {
    const levels = new Set<number | string>(column).size
    const fresh = levels < 2 ? [] : space.fresh(key, column)
    const alike = levels < 2 ? 'all-alike' : undefined
    const reason = reasonNotToEnter(alike, fresh.length, { taken: coefficients, most })
    if (reason !== undefined) {
      leftOut.push({ key, reason })
      return
    }
    space.take(fresh)
    // Where some levels follow from what is there already, those that do not enter on their own.
    if (fresh.length === (typeof column[0] === 'string' ? levels - 1 : 1)) covariates[key] = column
    else
      for (const one of fresh) {
        covariates[one.name] = Array.from(one.values)
        const level = column.find((value) => `${key}=${value}` === one.name)
        levelColumns[one.name] = { key, level: String(level) }
      }
    entered.push(key)
    coefficients += fresh.length
  }
  for (const { key, values } of known) {
    const column = kept.map((i) => values[i]!)
    enter(key, isTexts(column) ? commonLevels(column) : (column as number[]))
  }
  return {
    compared: left,
    covariates,
    levels: levelColumns,
    entered: strata === undefined ? entered : [...entered, ...options.strata],
    coefficients,
    strata: strata?.labels,
    leftOut,
    incomplete: rows.n - kept.length,
    warnings: adjustmentWarnings(rows.n, kept.length, leftOut),
  }
}

/** Combination of clinic and operator of each restoration; undefined where there is only one. */
function stratumLabels(
  cohort: Cohort,
  { rows }: Compared,
  strata: readonly ('clinic' | 'operator')[],
): { readonly labels: readonly string[] } | undefined {
  if (strata.length === 0) return undefined
  const labels = labelsTogether(
    strata.map((one) => cohort[one]),
    rows.row,
  )
  return new Set(labels).size > 1 ? { labels } : undefined
}

/** Rare levels put together; where they are few even so, they join the commonest level. What is unknown, '', stays so. */
export function commonLevels(column: readonly string[]): readonly string[] {
  const counts = new Map<string, number>()
  for (const level of column) if (level !== '') counts.set(level, (counts.get(level) ?? 0) + 1)
  const rare = new Set([...counts].filter(([, count]) => count < rareLevel).map(([level]) => level))
  if (rare.size === 0 || rare.size === counts.size) return column
  const [commonest] = [...counts].sort(
    ([leftLevel, left], [rightLevel, right]) => right - left || (leftLevel < rightLevel ? -1 : 1),
  )[0]!
  const together = [...rare].reduce((sum, level) => sum + counts.get(level)!, 0)
  const name = together < rareLevel ? commonest : rareLevels
  return column.map((level) => (rare.has(level) ? name : level))
}

function isTexts(column: readonly (number | string)[]): column is readonly string[] {
  return typeof column[0] === 'string'
}

/** What is left out and would have been allowed for; what is alike in all, or told by the others, changes nothing. */
const leftOutCodes = {
  'not-recorded': 'covariate-not-recorded',
  'too-incomplete': 'covariate-too-incomplete',
  'too-few-events': 'covariate-of-too-few-events',
} as const

function adjustmentWarnings(all: number, kept: number, leftOut: Adjustment['leftOut']): readonly Warning[] {
  const warnings = (Object.keys(leftOutCodes) as (keyof typeof leftOutCodes)[]).flatMap((why) => {
    const field = leftOut.filter(({ reason }) => reason === why).map(({ key }) => key)
    return field.length === 0 ? [] : [warning(leftOutCodes[why], { field })]
  })
  if (kept === all) return warnings
  return [warning('incomplete-rows', { left: all - kept, restorations: all }), ...warnings]
}
