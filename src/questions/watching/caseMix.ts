import type { Cohort } from '../../cohort/cohort.js'
import { regionsOf } from '../../cohort/region.js'
import type { UnknownOutcomes } from '../../cohort/seenDays.js'
import { labelAt } from '../../records/columns.js'
import {
  type CategoryFieldName,
  covariateOf,
  type NumberFieldName,
  numberKinds,
} from '../../vocabulary/fields.js'
import type { Exposure } from './exposure.js'

/** Something that the expectation allows for, by the rows of the exposure. */
export interface CaseMixFactor {
  readonly key: string
  /** Level of each restoration; 0 is the one that the others are set against. */
  readonly codes: Int32Array
  readonly levels: number
}

/** Findings of the baseline for each coefficient, and the fewest of one level; common practice, no source. */
const findingsPerCoefficient = 10
const fewestOfLevel = 5

/** Parts of equal size into which a number is cut. */
const partsOfNumber = 3

type Value = string | number | undefined

/**
 * What the expectation may allow for: of what is asked for, in that order, as much as there are ten findings of the baseline
 * for each coefficient. Levels with fewer than five are put together, and join the commonest level where they have too few even so; so
 * do levels that are new since the start, of which no rate is known. The day of delivery never enters: time is what is watched.
 */
export function caseMix(
  cohort: Cohort,
  exposure: Exposure,
  startDay: number,
  keys: readonly string[],
): readonly CaseMixFactor[] {
  const before = exposure.findings.filter(({ day }) => day < startDay).map(({ row }) => row)
  const rows = [...new Set(exposure.stretches.flatMap(({ row, from }) => (from < startDay ? [row] : [])))]
  const unknown = cohort.unknownOutcomes()
  let left = Math.floor(before.length / findingsPerCoefficient)
  return keys.flatMap((key) => {
    if (key === 'delivery_day' || key === 'delivery_year') return []
    const values = [...valuesOf(cohort, key), ...valuesOf(unknown, key)]
    const factor = factorOf(key, asTexts(values, rows), rows, before)
    if (factor.levels < 2 || factor.levels - 1 > left) return []
    left -= factor.levels - 1
    return [factor]
  })
}

function valuesOf(
  of: Pick<Cohort | UnknownOutcomes, 'n' | 'clinic' | 'operator' | 'category' | 'number'>,
  key: string,
): readonly Value[] {
  const each = (read: (row: number) => Value): readonly Value[] =>
    Array.from({ length: of.n }, (_one, row) => read(row))
  if (key === 'operator') {
    // Two operators of one name in two clinics are two.
    return each((row) => {
      const operator = labelAt(of.operator, row)
      return operator === undefined ? undefined : JSON.stringify([labelAt(of.clinic, row) ?? '', operator])
    })
  }
  const { name, field } = covariateOf(key)
  if (name === 'region') return regionsOf(of)
  if (numberKinds.includes(field.kind)) {
    const numbers = of.number(field.name as NumberFieldName)
    return each((row) => (Number.isNaN(numbers[row]!) ? undefined : numbers[row]!))
  }
  const column = of.category(field.name as CategoryFieldName)
  return each((row) => labelAt(column, row))
}

/** Levels as texts, '' where unknown; numbers cut into parts of equal size among the rows of the baseline. */
function asTexts(values: readonly Value[], rows: readonly number[]): readonly string[] {
  const numbers = rows
    .map((row) => values[row])
    .filter((one) => typeof one === 'number')
    .sort((one, two) => one - two)
  const cuts = Array.from(
    { length: partsOfNumber - 1 },
    (_one, part) => numbers[Math.floor(((part + 1) * numbers.length) / partsOfNumber)],
  )
  return values.map((value) => {
    if (typeof value === 'number')
      return `part ${cuts.filter((cut) => cut !== undefined && value >= cut).length}`
    return value === undefined || value === 'unknown' ? '' : value
  })
}

function factorOf(
  key: string,
  texts: readonly string[],
  rows: readonly number[],
  findings: readonly number[],
): CaseMixFactor {
  const found = counted(findings.map((row) => texts[row]!))
  const held = counted(rows.map((row) => texts[row]!))
  const kept = [...held.keys()]
    .filter((level) => level !== '' && (found.get(level) ?? 0) >= fewestOfLevel)
    .sort((one, two) => held.get(two)! - held.get(one)! || (one < two ? -1 : 1))
  const together = findings.length - kept.reduce((sum, level) => sum + found.get(level)!, 0)
  const rest = together >= fewestOfLevel ? kept.length : 0
  return {
    key,
    codes: Int32Array.from(texts, (text) => {
      const at = kept.indexOf(text)
      if (at >= 0) return at
      return held.has(text) ? rest : 0
    }),
    levels: kept.length === 0 ? 1 : kept.length + (rest > 0 ? 1 : 0),
  }
}

function counted(texts: readonly string[]): ReadonlyMap<string, number> {
  const counts = new Map<string, number>()
  for (const one of texts) counts.set(one, (counts.get(one) ?? 0) + 1)
  return counts
}
