import type { Cohort } from '../../cohort/cohort.js'
import { regionsOf } from '../../cohort/region.js'
import type { UnknownOutcomes } from '../../cohort/seenDays.js'
import { NumericalError } from '../../core/errors.js'
import { isNumber, type Quantity } from '../../core/estimate.js'
import { labelAt } from '../../records/columns.js'
import { poissonRegression } from '../../statistics/regression/poisson.js'
import {
  type CategoryFieldName,
  covariateOf,
  type NumberFieldName,
  numberKinds,
} from '../../vocabulary/fields.js'
import { bandEnds, type Exposure, type Stretch } from './exposure.js'

/** What the time before the start lets one expect. */
export interface Baseline {
  /** Findings in a restoration-day of a stretch. */
  rateOf(stretch: Pick<Stretch, 'band' | 'row'>): number
  /** Findings expected from one calendar day to below another. */
  expected(from: number, to: number): number
  /** Findings in independent Poisson counts that would leave what is expected of these days as uncertain as it is. */
  effectiveEvents(from: number, to: number): number
  /** What is allowed for, besides the age of the restoration. */
  readonly adjustedFor: readonly string[]
  /** Variance of findings less expected, summed by patients, over what independent findings would have; at least 1. */
  readonly dispersion: number
}

/** Restorations of one age band and one case mix. */
interface Cell {
  readonly band: number
  readonly levels: readonly number[]
  days: number
  findings: number
  rate: number
  /** Positions of the coefficients that make its rate. */
  terms: readonly number[]
}

/**
 * Rates of finding before the start by age band, times those of the case mix where there are findings enough: a Poisson
 * regression of the counts, whose expected findings in the baseline are those that were made.
 */
export function baselineOf(
  cohort: Cohort,
  exposure: Exposure,
  startDay: number,
  adjustFor: readonly string[],
): Baseline {
  return fitted(exposure, startDay, caseMix(cohort, exposure, startDay, adjustFor))
}

/** With as many of the factors, from the first on, as can be told from each other. */
function fitted(exposure: Exposure, startDay: number, factors: readonly CaseMixFactor[]): Baseline {
  try {
    return baselineWith(exposure, startDay, factors)
  } catch (thrown) {
    const alike = thrown instanceof NumericalError && thrown.code === 'collinear-covariate'
    if (!alike || factors.length === 0) throw thrown
    return fitted(exposure, startDay, factors.slice(0, -1))
  }
}

function baselineWith(exposure: Exposure, startDay: number, factors: readonly CaseMixFactor[]): Baseline {
  const cells = new Map<string, Cell>()
  const cellOf = ({ band, row }: Pick<Stretch, 'band' | 'row'>): Cell => {
    const levels = factors.map(({ codes }) => codes[row]!)
    const key = `${band}|${levels.join('|')}`
    const known = cells.get(key)
    if (known !== undefined) return known
    const cell = { band, levels, days: 0, findings: 0, rate: 0, terms: [] }
    cells.set(key, cell)
    return cell
  }
  const placed = exposure.stretches.map((stretch) => ({ ...stretch, cell: cellOf(stretch) }))
  for (const { cell, from, to } of placed) cell.days += Math.max(0, Math.min(to, startDay) - from)
  for (const finding of exposure.findings) if (finding.day < startDay) cellOf(finding).findings += 1
  const covariance = fitCells([...cells.values()], factors)
  const sumsOver = (from: number, to: number) => {
    const gradient = new Float64Array(covariance.length)
    let expected = 0
    for (const one of placed) {
      const own = one.cell.rate * Math.max(0, Math.min(one.to, to) - Math.max(one.from, from))
      if (own === 0) continue
      expected += own
      for (const term of one.cell.terms) gradient[term]! += own
    }
    return { expected, gradient }
  }
  return {
    rateOf: (stretch) => cellOf(stretch).rate,
    expected: (from, to) => sumsOver(from, to).expected,
    effectiveEvents: (from, to) => {
      const { expected, gradient } = sumsOver(from, to)
      let variance = 0
      covariance.forEach((row, i) => {
        row.forEach((one, j) => {
          variance += gradient[i]! * gradient[j]! * one
        })
      })
      return variance > 0 ? expected ** 2 / variance : 0
    },
    adjustedFor: factors.map(({ key }) => key),
    dispersion: dispersionOf(exposure, (stretch) => cellOf(stretch).rate, startDay),
  }
}

/**
 * Fits the rates of the cells, and gives the covariance of the coefficients. An age band without a finding has no rate but
 * nought, of which the regression would know no error.
 */
function fitCells(cells: readonly Cell[], factors: readonly CaseMixFactor[]): readonly (readonly number[])[] {
  const found = bandEnds.map((_end, band) =>
    cells.reduce((sum, cell) => sum + (cell.band === band ? cell.findings : 0), 0),
  )
  const bands = found.flatMap((count, band) => (count > 0 ? [band] : []))
  const used = cells.filter(({ band, days }) => days > 0 && bands.includes(band))
  if (used.length === 0) return []
  const columns = [
    ...(bands.length > 1 ? [{ name: 'band', codeOf: (cell: Cell) => bands.indexOf(cell.band) }] : []),
    ...factors.map(({ key }, at) => ({ name: key, codeOf: (cell: Cell) => cell.levels[at]! })),
  ]
  const { coefficients, covariance } = poissonRegression(
    used.map(({ findings }) => findings),
    Object.fromEntries(columns.map(({ name, codeOf }) => [name, used.map((cell) => String(codeOf(cell)))])),
    {
      exposure: used.map(({ days }) => days),
      baselines: Object.fromEntries(columns.map(({ name }) => [name, '0'])),
    },
  )
  const place = new Map(coefficients.map(({ name }, at) => [name, at]))
  for (const cell of cells) {
    if (!bands.includes(cell.band)) continue
    const terms = columns.map(({ name, codeOf }) => place.get(`${name}=${codeOf(cell)}`))
    cell.terms = [0, ...terms.filter((term) => term !== undefined)]
    cell.rate = Math.exp(cell.terms.reduce((sum, term) => sum + finite(coefficients[term]!.estimate), 0))
  }
  return covariance.map((row) => row.map(finite))
}

function finite(value: Quantity): number {
  return isNumber(value) ? value : 0
}

function dispersionOf(exposure: Exposure, rateOf: (stretch: Stretch) => number, startDay: number): number {
  const excess = new Map<number, number>()
  let expected = 0
  const add = (patient: number, size: number): void => {
    excess.set(patient, (excess.get(patient) ?? 0) + size)
  }
  for (const stretch of exposure.stretches) {
    const own = rateOf(stretch) * Math.max(0, Math.min(stretch.to, startDay) - stretch.from)
    expected += own
    add(stretch.patient, -own)
  }
  for (const { patient, day } of exposure.findings) if (day < startDay) add(patient, 1)
  let squares = 0
  for (const one of excess.values()) squares += one * one
  return expected > 0 ? Math.max(1, squares / expected) : 1
}

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
