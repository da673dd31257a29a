import {
  type CumulativeIncidence,
  cumulativeIncidenceByGroup,
  type IncidenceRow,
} from '../../statistics/curves/competingRisks.js'
import type { IncidenceVariance } from '../../statistics/curves/incidenceColumns.js'
import { grayTest } from '../../statistics/groupTests/grayTest.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import { type FineGrayFit, fineGrayRegression } from '../../statistics/hazardModels/fineGray.js'
import type { ReferenceCase, ReferenceMethod, ReferenceTable } from '../referenceCase.js'
import { labelsOf } from './columnRoles.js'

interface CompetingData {
  readonly time: Float64Array
  readonly cause: Float64Array
  readonly group: readonly string[] | Float64Array
  readonly times: readonly number[]
}

function competingRisks(reference: ReferenceCase): unknown {
  const table = reference.table()
  const named = (option: string, usual: string): string => {
    const given = reference.options[option]
    return typeof given === 'string' ? given : usual
  }
  const data: CompetingData = {
    time: table.numbers(named('time', 'time')),
    cause: table.numbers(named('cause', 'cause')),
    group: groupOf(table, reference.options.group),
    times: Array.isArray(reference.options.times) ? reference.options.times.map(Number) : [],
  }
  const covariates = namedCovariates(reference)
  return {
    groups: incidencesByGroup(data),
    gray: grayTests(data, Number(/rho\s*=\s*([\d.]+)/.exec(String(reference.options.gray ?? ''))?.[1] ?? 0)),
    ...(covariates.length === 0 ? {} : regressions(data, covariates, table)),
  }
}

/** The case's groups; one group where it names none. */
function groupOf(table: ReferenceTable, name: unknown): readonly string[] | Float64Array {
  if (typeof name === 'string') return labelsOf(table, name)
  return table.names.includes('group') ? labelsOf(table, 'group') : new Float64Array(table.rowCount).fill(1)
}

/** A curve read at the case's times, the last value carried on past the end of follow-up. */
function readAt(
  rows: readonly IncidenceRow[],
  times: readonly number[],
  field: 'incidence' | 'standardError',
) {
  return times.map((time) => rows.reduce((value, row) => (row.time <= time ? row[field] : value), 0))
}

function incidencesByGroup({ time, cause, group, times }: CompetingData): Record<string, unknown> {
  const causes = Math.max(2, ...cause)
  const by = (variance: IncidenceVariance): readonly CumulativeIncidence[] =>
    cumulativeIncidenceByGroup(time, cause, group, { variance, causes })
  const [aalen, jackknife, greenwood] = [by('aalen'), by('robust'), by('greenwood')]
  return Object.fromEntries(
    greenwood.map((curve, g) => {
      const errors = (all: readonly CumulativeIncidence[], k: number): number[] =>
        readAt(all[g]!.causes[k]!.rows, times, 'standardError')
      // the source of this column stops at the last follow-up
      const within = (values: readonly number[]): (number | null)[] =>
        values.map((value, at) => (times[at]! > curve.lastTime ? null : value))
      const perCause = curve.causes.flatMap((one, k) => [
        [`cif${k + 1}`, readAt(one.rows, times, 'incidence')],
        [`se${k + 1}_aalen_delta`, within(errors(aalen, k))],
        [`se${k + 1}_infinitesimal_jackknife`, errors(jackknife, k)],
        [`se${k + 1}_greenwood_type`, errors(greenwood, k)],
      ])
      return [curve.group, { n: curve.n, times, ...Object.fromEntries(perCause) }]
    }),
  )
}

function grayTests({ time, cause, group }: CompetingData, rho: number): Record<string, unknown> {
  const causes = [...new Set(cause)].filter((one) => one > 0).sort((a, b) => a - b)
  const tests = causes.map((one) => grayTest(time, cause, group, { cause: one, rho }))
  return {
    cause: causes,
    statistic: tests.map((test) => test.statistic),
    df: tests.map((test) => test.degreesOfFreedom),
    p: tests.map((test) => test.pValue),
  }
}

/**
 * Names of the covariates, from the options where they give them. These cases write the names beside the coefficients
 * instead of under the options; only the names are read there.
 */
function namedCovariates(reference: ReferenceCase): readonly string[] {
  const { model, covariates } = reference.options
  const beside = (reference.expected as { fine_gray?: { covariates?: unknown } }).fine_gray?.covariates
  const given = [(model as { covariates?: unknown } | undefined)?.covariates, covariates, beside]
  const found = given.find(Array.isArray)
  return found === undefined ? [] : found.map(String)
}

function regressions(
  { time, cause }: CompetingData,
  names: readonly string[],
  table: ReferenceTable,
): Record<string, unknown> {
  const covariates = Object.fromEntries(names.map((name) => [name, labelsOf(table, name)]))
  const fitted = fineGrayRegression(time, cause, covariates)
  const events = { censoringTies: 'events-first' } as const
  const breslow = fineGrayRegression(time, cause, covariates, { ...events, variance: 'weights-known' })
  const naive = fineGrayRegression(time, cause, covariates, { ...events, variance: 'model' })
  const efron = fineGrayRegression(time, cause, covariates, { ...events, ties: 'efron' })
  const cox = coxRegression({ time, event: cause.map((one) => (one === 1 ? 1 : 0)) }, covariates)
  return {
    fine_gray: {
      covariates: names,
      ...coefficientsOf(fitted),
      pseudo_loglik: fitted.logLikelihood,
      pseudo_loglik_null: fitted.logLikelihoodAtZero,
    },
    fine_gray_weighted_breslow: {
      coef: coefficientsOf(breslow).coef,
      se_robust: coefficientsOf(breslow).se,
      se_naive: coefficientsOf(naive).se,
    },
    fine_gray_weighted_efron: { coef: coefficientsOf(efron).coef, se_robust: coefficientsOf(efron).se },
    cause_specific_cox_efron: {
      coef: cox.hazardRatios.map((ratio) => ratio.logHazardRatio),
      se: cox.hazardRatios.map((ratio) => ratio.modelStandardError),
    },
  }
}

function coefficientsOf(fit: FineGrayFit): {
  readonly coef: readonly unknown[]
  readonly se: readonly unknown[]
} {
  return {
    coef: fit.coefficients.map((one) => one.estimate),
    se: fit.coefficients.map((one) => one.standardError),
  }
}

/** Kinds of competing.json. */
export const competingMethods: Readonly<Record<string, ReferenceMethod>> = {
  'competing.risks': competingRisks,
}
