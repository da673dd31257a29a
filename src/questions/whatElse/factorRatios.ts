import { NumericalError } from '../../core/errors.js'
import { type Contrast, isNumber, type NotEstimable, noInterval, refusedBy } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import { firthCoxRegression } from '../../statistics/hazardModels/firth.js'
import { countPatients, countStatus, timesAtRisk } from '../rows/cohortRows.js'
import type { Factor, FactorColumns } from './factorColumns.js'

type RatioByName = ReadonlyMap<string, Contrast>

/** Hazard ratios of all factors together, by the name of the coefficient; penalised where ordinary ones ran away. */
export function adjustedRatios(
  columns: FactorColumns,
  level: number,
): { readonly ratios: RatioByName; readonly penalised: boolean } {
  const lines = columns.factors.flatMap(({ lines }) => lines)
  if (lines.length === 0) return { ratios: new Map(), penalised: false }
  const covariates = Object.assign({}, ...columns.factors.map(enteredColumns)) as Record<string, Float64Array>
  const ordinary = fitted(columns, covariates, level, columns.strata)
  if ([...ordinary.values()].every(({ estimate }) => isNumber(estimate))) {
    return { ratios: ordinary, penalised: false }
  }
  const penalised = penalisedFit(columns, covariates, level)
  return penalised === undefined
    ? { ratios: ordinary, penalised: false }
    : { ratios: penalised, penalised: true }
}

/** Hazard ratios of one factor by itself. */
export function ratioAlone(factor: Factor, columns: FactorColumns, level: number): RatioByName {
  return fitted(columns, enteredColumns(factor), level, undefined)
}

function enteredColumns(factor: Factor): Record<string, Float64Array> {
  return Object.fromEntries(factor.lines.map(({ name }) => [name, factor.columns[name]!]))
}

function fitted(
  columns: FactorColumns,
  covariates: Readonly<Record<string, Float64Array>>,
  level: number,
  strata: readonly string[] | undefined,
): RatioByName {
  try {
    const fit = coxRegression(timesAtRisk(columns.rows), covariates, {
      cluster: columns.rows.patient,
      level,
      ...(strata === undefined ? {} : { strata }),
    })
    return new Map(fit.hazardRatios.map((ratio) => [ratio.name, ratio]))
  } catch (thrown) {
    if (!(thrown instanceof NumericalError)) throw thrown
    return absent(columns, Object.keys(covariates), level, refusedBy(thrown))
  }
}

function penalisedFit(
  columns: FactorColumns,
  covariates: Readonly<Record<string, Float64Array>>,
  level: number,
): RatioByName | undefined {
  try {
    const fit = firthCoxRegression(timesAtRisk(columns.rows), covariates, {
      cluster: columns.rows.patient,
      level,
      ...(columns.strata === undefined ? {} : { strata: columns.strata }),
    })
    return new Map(fit.hazardRatios.map((ratio) => [ratio.name, ratio]))
  } catch (thrown) {
    if (thrown instanceof NumericalError) return undefined
    throw thrown
  }
}

function absent(
  columns: FactorColumns,
  names: readonly string[],
  level: number,
  reason: NotEstimable,
): RatioByName {
  const { rows } = columns
  return new Map(
    names.map((name) => [
      name,
      {
        estimate: reason,
        interval: noInterval(reason),
        level,
        method: methodOf('cox-regression'),
        n: rows.n,
        events: countStatus(rows, 1),
        clusters: countPatients(rows),
        warnings: [],
        reference: 'patient-robust-cox',
        comparator: { group: name, against: 'baseline' },
      },
    ]),
  )
}
