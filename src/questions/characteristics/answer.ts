import type { Cohort } from '../../cohort/cohort.js'
import { exposureGroups } from '../../cohort/definition.js'
import {
  allRows,
  codesOfRows,
  numbersOfRows,
  rowsWhere,
  takenIntegers,
  takenRows,
} from '../../core/columns.js'
import { notEstimable, type Quantity } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { summariseColumn } from '../../statistics/means/summary.js'
import { covariateBalance } from '../../statistics/weighting/balance.js'
import { allOthers } from '../../vocabulary/analyses.js'
import { defaultPlan } from '../plan/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { presentGroups } from '../rows/cohortRows.js'
import { type CategoryTrait, type NumberTrait, traits } from './traits.js'

/** Counts of one category in one group. */
export interface CategoryOfGroup {
  readonly group: string
  readonly known: number
  readonly unknown: number
  /** Restorations with each level, in the order of the levels. */
  readonly counts: readonly number[]
  /** The same as shares of those known. */
  readonly shares: readonly Quantity[]
}

/** Summary of one number in one group. */
export interface NumberOfGroup {
  readonly group: string
  readonly known: number
  readonly unknown: number
  readonly mean: Quantity
  readonly standardDeviation: Quantity
  readonly lowerQuartile: Quantity
  readonly median: Quantity
  readonly upperQuartile: Quantity
}

/** A category, by group. */
export interface CategoryCharacteristic {
  readonly kind: 'category'
  readonly field: string
  /** Codes of the levels; of many the rarest are gathered as the last, `all-others`. */
  readonly levels: readonly string[]
  /** All restorations first. */
  readonly byGroup: readonly CategoryOfGroup[]
  /** Standardised difference of each level between the groups compared, those known only; absent without a comparison. */
  readonly standardisedDifferences?: readonly Quantity[]
}

/** A number, by group. */
export interface NumberCharacteristic {
  readonly kind: 'number'
  readonly field: string
  readonly unit: string
  readonly byGroup: readonly NumberOfGroup[]
  readonly standardisedDifference?: Quantity
}

/** Answer to "what are these restorations like". */
export interface Characteristics {
  readonly kind: 'characteristics'
  /** "all", then every exposure group that there is. */
  readonly groups: readonly {
    readonly group: string
    readonly restorations: number
    readonly patients: number
  }[]
  /** The two groups between which differences are standardised; absent where one is empty. */
  readonly compared?: { readonly group: string; readonly against: string }
  readonly traits: readonly (CategoryCharacteristic | NumberCharacteristic)[]
}

/** More levels than these are gathered, the rarest first. */
const mostLevels = 12

/**
 * Describes the restorations of a cohort, all together and by exposure group: counts and shares of categories, mean,
 * spread and quartiles of numbers, how many are not known, and standardised differences between the two groups that are
 * compared (difference of means over the root of the mean variance, Austin 2009). Traits that the source does not have
 * are left out. The unit is the restoration: a patient with several counts as often.
 *
 * @param cohort restorations with time at risk
 * @param settings plan with the two groups compared; default `defaultSettings`
 * @example characteristics(cohort).groups[0] // => {"group":"all","restorations":960,"patients":625}
 */
export function characteristics(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): Characteristics {
  const { group, against } = settings.plan ?? defaultPlan
  const present = presentGroups(cohort)
  const groups = ['all', ...present].map((name) => ({ name, rows: rowsOf(cohort, name) }))
  const both = present.includes(group) && present.includes(against)
  const compared = both ? { group: rowsOf(cohort, group), against: rowsOf(cohort, against) } : undefined
  return deepFreeze({
    kind: 'characteristics' as const,
    groups: groups.map(({ name, rows }) => ({
      group: name,
      restorations: rows.length,
      patients: new Set(takenIntegers(cohort.patient, rows)).size,
    })),
    ...(both ? { compared: { group, against } } : {}),
    traits: traits.flatMap((trait) => {
      const found =
        trait.kind === 'number'
          ? describedNumber(trait, trait.read(cohort), groups, compared)
          : describedCategory(trait, trait.read(cohort), groups, compared)
      return found === undefined ? [] : [found]
    }),
  })
}

interface GroupRows {
  readonly name: string
  readonly rows: Int32Array
}

interface ComparedRowNumbers {
  readonly group: Int32Array
  readonly against: Int32Array
}

function rowsOf(cohort: Cohort, name: string): Int32Array {
  const code = (exposureGroups as readonly string[]).indexOf(name)
  return name === 'all' ? allRows(cohort.n) : rowsWhere(cohort.n, (row) => cohort.exposure[row] === code)
}

function describedNumber(
  { field, unit }: NumberTrait,
  values: Float64Array,
  groups: readonly GroupRows[],
  compared: ComparedRowNumbers | undefined,
): NumberCharacteristic | undefined {
  const knownIn = (rows: Int32Array): Int32Array => rowsAmong(rows, (row) => !Number.isNaN(values[row]!))
  if (knownIn(groups[0]!.rows).length === 0) return undefined
  return {
    kind: 'number',
    field,
    unit,
    byGroup: groups.map(({ name, rows }) => {
      const known = knownIn(rows)
      const { mean, standardDeviation, lowerQuartile, median, upperQuartile } = summariseColumn(
        takenRows(values, known),
      )
      return {
        group: name,
        known: known.length,
        unknown: rows.length - known.length,
        mean,
        standardDeviation,
        lowerQuartile,
        median,
        upperQuartile,
      }
    }),
    ...(compared === undefined
      ? {}
      : {
          standardisedDifference: standardised(
            knownIn(compared.group),
            knownIn(compared.against),
            (row) => values[row]!,
          ),
        }),
  }
}

function describedCategory(
  { field }: CategoryTrait,
  texts: readonly (string | undefined)[],
  groups: readonly GroupRows[],
  compared: ComparedRowNumbers | undefined,
): CategoryCharacteristic | undefined {
  const { kept, levelOf } = levelsOf(texts)
  if (kept.length === 0) return undefined
  const known = (rows: Int32Array): Int32Array => rowsAmong(rows, (row) => levelOf[row]! < kept.length)
  return {
    kind: 'category',
    field,
    levels: kept,
    byGroup: groups.map(({ name, rows }) => {
      const own = known(rows)
      const counts = kept.map(() => 0)
      for (let i = 0; i < own.length; i++) counts[levelOf[own[i]!]!]! += 1
      const shares = counts.map(
        (count): Quantity => (own.length === 0 ? notEstimable('not-known-in-group') : count / own.length),
      )
      return { group: name, known: own.length, unknown: rows.length - own.length, counts, shares }
    }),
    ...(compared === undefined
      ? {}
      : {
          standardisedDifferences: kept.map((_level, level) =>
            standardised(known(compared.group), known(compared.against), (row) =>
              levelOf[row] === level ? 1 : 0,
            ),
          ),
        }),
  }
}

/** Those of some rows that are kept, in their order. */
function rowsAmong(rows: Int32Array, keep: (row: number) => boolean): Int32Array {
  return takenIntegers(
    rows,
    rowsWhere(rows.length, (i) => keep(rows[i]!)),
  )
}

/**
 * Levels in order, the rarest gathered where there are many; and the position of the level of each restoration among them, their
 * number where it is not known.
 */
function levelsOf(texts: readonly (string | undefined)[]): {
  readonly kept: readonly string[]
  readonly levelOf: Uint8Array
} {
  const counts = new Map<string, number>()
  for (const text of texts) if (text !== undefined) counts.set(text, (counts.get(text) ?? 0) + 1)
  const byCount = [...counts.keys()].sort(
    (left, right) => counts.get(right)! - counts.get(left)! || (left < right ? -1 : 1),
  )
  const many = byCount.length > mostLevels
  const common = new Set(many ? byCount.slice(0, mostLevels - 1) : byCount)
  const kept = [...[...common].sort(), ...(many ? [allOthers] : [])]
  const position = new Map(kept.map((level, at) => [level, at]))
  const levelOf = codesOfRows(texts.length, (row) => {
    const text = texts[row]
    return text === undefined ? kept.length : (position.get(text) ?? kept.length - 1)
  })
  return { kept, levelOf }
}

function standardised(group: Int32Array, against: Int32Array, readRow: (row: number) => number): Quantity {
  if (group.length === 0 || against.length === 0) {
    return notEstimable('not-known-in-one-group')
  }
  const n = group.length + against.length
  const inGroup = new Uint8Array(n).fill(1, 0, group.length)
  const value = numbersOfRows(n, (i) => readRow(i < group.length ? group[i]! : against[i - group.length]!))
  const { before } = covariateBalance(inGroup, { value }).rows[0]!
  return before.standardisedDifference
}
