import type { Cohort } from '../cohort/cohort.js'
import { regions, type TextCovariate, textCovariate } from '../cohort/covariates.js'
import type { ExposureGroup } from '../cohort/definition.js'
import { HoldfastError } from '../core/errors.js'
import { type Contrast, noInterval, notEstimable, type Warning, warning } from '../core/estimate.js'
import { coxRegression } from '../statistics/regression/cox.js'
import type { CovariateColumn } from '../statistics/regression/design.js'
import { type CohortRows, timesAtRisk } from './cohortRows.js'
import type { AnalysisSettings } from './settings.js'

/** Names of the two groups compared. */
export interface ComparedGroups {
  readonly group: ExposureGroup
  readonly against: ExposureGroup
}

/** A hazard ratio together with what was allowed for. */
export interface HazardRatioVariant {
  /** Stable key, such as "crude" or "adjusted". */
  readonly key: string
  /** What it allows for, in words. */
  readonly allowsFor: string
  readonly hazardRatio: Contrast
}

/** Name of the group's own column in the models. */
const groupColumn = 'tightening'

/** Covariates that came before the choice of protocol, with the words in which the report names them. */
const adjustmentFields: readonly {
  readonly words: string
  readonly read: (cohort: Cohort) => TextCovariate
}[] = [
  { words: 'region of the mouth', read: regions },
  { words: 'connection', read: (cohort) => textCovariate(cohort, 'connection') },
  { words: 'bruxism', read: (cohort) => textCovariate(cohort, 'bruxism') },
]

/** Least share of known values for a covariate to enter. */
const leastKnown = 0.8

/** Fewest events per coefficient below which an adjusted estimate carries a warning. */
const eventsPerCoefficient = 5

/**
 * Hazard ratio of the group against the comparator: crude, and adjusted for what came before the choice of protocol
 * (stratified by clinic, calendar year of delivery linear), each with patient-robust variance.
 */
export function hazardRatioVariants(
  cohort: Cohort,
  rows: CohortRows,
  inGroup: Uint8Array,
  names: ComparedGroups,
  settings: AnalysisSettings,
): { readonly variants: readonly HazardRatioVariant[]; readonly warnings: readonly Warning[] } {
  const crude = fitted(rows, inGroup, {}, {}, names, settings)
  const adjustment = adjustmentOf(cohort, rows)
  const adjusted = fitted(
    adjustment.rows,
    adjustment.kept.map((i) => inGroup[i]!),
    adjustment.covariates,
    adjustment.strata === undefined ? {} : { strata: adjustment.strata },
    names,
    settings,
  )
  return {
    variants: [
      { key: 'crude', allowsFor: 'follow-up and several restorations in one patient', hazardRatio: crude },
      {
        key: 'adjusted',
        allowsFor: `also ${adjustment.words.join(', ')}`,
        hazardRatio: adjusted,
      },
    ],
    warnings: [...adjustment.warnings, ...fewEvents(adjustment)],
  }
}

interface Adjustment {
  /** Rows with every covariate known. */
  readonly rows: CohortRows
  /** Positions of these among the rows given. */
  readonly kept: readonly number[]
  readonly covariates: Readonly<Record<string, CovariateColumn>>
  readonly coefficients: number
  readonly strata: Int32Array | undefined
  readonly words: readonly string[]
  readonly warnings: readonly Warning[]
}

function adjustmentOf(cohort: Cohort, rows: CohortRows): Adjustment {
  const read = adjustmentFields.map(({ words, read }) => {
    const all = read(cohort)
    return { words, values: Array.from(rows.row, (row) => all[row]) }
  })
  const enough = read.filter(({ values }) => knownShare(values) >= leastKnown)
  const left = read.filter((one) => !enough.includes(one))
  const kept = Array.from({ length: rows.n }, (_one, i) => i).filter((i) =>
    enough.every(({ values }) => values[i] !== undefined),
  )
  const covariates: Record<string, CovariateColumn> = {}
  const words: string[] = []
  let coefficients = 0
  for (const { words: name, values } of enough) {
    const column = kept.map((i) => values[i]!)
    const levels = new Set(column).size
    if (levels < 2) continue
    covariates[name] = column
    words.push(name)
    coefficients += levels - 1
  }
  const years = kept.map((i) => cohort.deliveryYear[rows.row[i]!]!)
  if (new Set(years).size > 1) {
    covariates.year = years
    words.push('year of delivery')
    coefficients += 1
  }
  const strata = Int32Array.from(kept, (i) => cohort.clinic.codes[rows.row[i]!]!)
  const stratified = new Set(strata).size > 1
  return {
    rows: subset(rows, kept),
    kept,
    covariates,
    coefficients,
    strata: stratified ? strata : undefined,
    words: stratified ? [...words, 'clinic'] : words,
    warnings: [
      ...(kept.length < rows.n
        ? [
            warning(
              'incomplete-rows',
              `${rows.n - kept.length} of ${rows.n} restorations lack a value that the adjusted estimate needs and are left out of it.`,
            ),
          ]
        : []),
      ...left.map(({ words: name }) =>
        warning('covariate-left-out', `${name} is known in too few restorations to be allowed for.`),
      ),
    ],
  }
}

function knownShare(values: TextCovariate): number {
  return values.length === 0 ? 0 : values.filter((value) => value !== undefined).length / values.length
}

function subset(rows: CohortRows, kept: readonly number[]): CohortRows {
  const doubles = (column: Float64Array): Float64Array => Float64Array.from(kept, (i) => column[i]!)
  return {
    n: kept.length,
    timeDays: doubles(rows.timeDays),
    timeYears: doubles(rows.timeYears),
    entryDays: rows.entryDays === undefined ? undefined : doubles(rows.entryDays),
    yearsAtRisk: doubles(rows.yearsAtRisk),
    event: Uint8Array.from(kept, (i) => rows.event[i]!),
    status: Uint8Array.from(kept, (i) => rows.status[i]!),
    patient: Int32Array.from(kept, (i) => rows.patient[i]!),
    exposure: Uint8Array.from(kept, (i) => rows.exposure[i]!),
    row: Int32Array.from(kept, (i) => rows.row[i]!),
  }
}

function fewEvents(adjustment: Adjustment): readonly Warning[] {
  const events = adjustment.rows.event.reduce((sum, one) => sum + one, 0)
  const perCoefficient = events / (adjustment.coefficients + 1)
  if (perCoefficient >= eventsPerCoefficient) return []
  return [
    warning(
      'few-events-per-covariate',
      `The adjusted estimate rests on ${events} events for ${adjustment.coefficients + 1} coefficients: it is unstable.`,
    ),
  ]
}

function fitted(
  rows: CohortRows,
  inGroup: ArrayLike<number>,
  covariates: Readonly<Record<string, CovariateColumn>>,
  strata: { readonly strata?: Int32Array },
  names: ComparedGroups,
  settings: AnalysisSettings,
): Contrast {
  try {
    const fit = coxRegression(
      timesAtRisk(rows),
      { [groupColumn]: inGroup, ...covariates },
      { ...strata, clusters: rows.patient, level: settings.level },
    )
    const [ratio] = fit.hazardRatios
    return { ...ratio!, comparator: { ...names } }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return absent(rows, names, thrown.problem, settings)
    throw thrown
  }
}

/** A hazard ratio that the data cannot give, with the reason. */
function absent(
  rows: CohortRows,
  names: ComparedGroups,
  reason: string,
  settings: AnalysisSettings,
): Contrast {
  return {
    estimate: notEstimable(reason),
    interval: noInterval(reason),
    level: settings.level,
    method: 'Cox regression',
    n: rows.n,
    events: rows.event.reduce((sum, one) => sum + one, 0),
    clusters: new Set(rows.patient).size,
    warnings: [],
    reference: 'patient-robust-cox',
    comparator: { ...names },
  }
}
