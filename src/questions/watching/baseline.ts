import type { Cohort } from '../../cohort/cohort.js'
import { NumericalError } from '../../core/errors.js'
import { isNumber, type Quantity } from '../../core/estimate.js'
import { poissonRegression } from '../../statistics/regression/poisson.js'
import { type CaseMixFactor, caseMix } from './caseMix.js'
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
