import type { Cohort } from '../../cohort/cohort.js'
import { exposureGroups } from '../../cohort/definition.js'
import { isNumber, type Quantity } from '../../core/estimate.js'
import type { ImputationColumn } from '../../statistics/imputation/predictors.js'
import { imputeChained } from '../../statistics/imputation.js'
import { coxRegression } from '../../statistics/regression/cox.js'
import { poolEstimates } from '../../statistics/rubinsRules.js'
import { labelOfRow, readAdjustment } from '../adjustmentFields.js'
import { cohortRows, timesAtRisk } from '../cohortRows.js'
import type { Compared } from '../compared.js'
import type { FairSetting } from '../fairSetting.js'
import { type ComparisonVariant, variantOf } from '../variant.js'

/** Tables that are completed. */
const imputations = 20

/**
 * Adjusted hazard ratio with what is missing filled in twenty times over by chained equations, exposure among it, the
 * endpoint and its cumulative hazard among the predictors, pooled by Rubin's rules. Restorations of unknown exposure
 * are taken for one of the two groups.
 */
export function imputedVariants(
  cohort: Cohort,
  compared: Compared,
  setting: FairSetting,
): readonly ComparisonVariant[] {
  const codes = [compared.names.group, compared.names.against, 'unknown' as const].map((group) =>
    exposureGroups.indexOf(group),
  )
  const rows = cohortRows(cohort, (row) => codes.includes(cohort.exposure[row]!))
  const tightening = Float64Array.from(rows.exposure, (code) =>
    code === codes[0] ? 1 : code === codes[1] ? 0 : Number.NaN,
  )
  const columns = imputationColumns(cohort, rows.row, setting)
  const incomplete = [tightening, ...Object.values(columns).map(({ values }) => values)].some((values) =>
    Array.from(values as ArrayLike<number | string>).some((value) => value === '' || Number.isNaN(value)),
  )
  if (!incomplete) return []
  const known = Object.keys(columns).map(
    (key) => readAdjustment(cohort, rows.row.subarray(0, 0), key as never).words,
  )
  return [
    variantOf(
      {
        key: 'multiple-imputation',
        role: 'sensitivity',
        scale: 'hazard-ratio',
        population: 'compared',
        adjustedFor: [...known, 'clinic'],
        assumes: ['alike-given-adjustment', 'proportional-hazards', 'exposure-known', 'losses-alike'],
      },
      compared,
      setting.level,
      () => {
        const tables = imputeChained(
          { tightening: { kind: 'binary', values: tightening }, ...columns },
          {
            seed: setting.seed,
            imputations,
            outcome: { timeDays: rows.timeDays, eventObserved: rows.event },
          },
        )
        const strata = Array.from(rows.row, (row) => labelOfRow(cohort.clinic, row) ?? 'unknown')
        const fits = tables.tables.map((table) => {
          const fit = coxRegression(timesAtRisk(rows), varying(table), { strata, clusters: rows.patient })
          return fit.hazardRatios.find(({ name }) => name === 'tightening')!
        })
        const pooled = poolEstimates(
          fits.map((one) => one.logHazardRatio),
          fits.map((one) => one.robustStandardError ?? one.modelStandardError),
          { level: setting.level },
        )
        const { n, events, clusters, comparator } = fits[0]!
        return {
          n,
          events,
          clusters,
          comparator,
          estimate: exponential(pooled.estimate),
          interval: { lower: exponential(pooled.interval.lower), upper: exponential(pooled.interval.upper) },
          level: setting.level,
          method: `${tables.method}; ${pooled.method}`,
          ...(isNumber(pooled.standardError)
            ? { standardError: { value: pooled.standardError, scale: 'log hazard ratio' } }
            : {}),
          warnings: tables.warnings,
          reference: 'multiple-imputation',
        }
      },
    ),
  ]
}

/** Columns that are known in some restorations and vary among these. */
function imputationColumns(
  cohort: Cohort,
  rows: Int32Array,
  { plan }: FairSetting,
): Readonly<Record<string, ImputationColumn>> {
  return Object.fromEntries(
    plan.adjustFor.flatMap((key): [string, ImputationColumn][] => {
      const { values } = readAdjustment(cohort, rows, key)
      const known = values.filter((value) => value !== undefined)
      if (new Set(known).size < 2) return []
      return typeof known[0] === 'string'
        ? [[key, { kind: 'categorical', values: values.map((value) => String(value ?? '')) }]]
        : [[key, { kind: 'numeric', values: values.map((value) => Number(value ?? Number.NaN)) }]]
    }),
  )
}

function varying(
  table: Readonly<Record<string, readonly number[] | readonly string[]>>,
): Readonly<Record<string, readonly number[] | readonly string[]>> {
  return Object.fromEntries(
    Object.entries(table).filter(([, column]) => new Set<number | string>(column).size > 1),
  )
}

function exponential(quantity: Quantity): Quantity {
  return isNumber(quantity) ? Math.exp(quantity) : quantity
}
