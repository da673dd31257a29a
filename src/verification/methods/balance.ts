import { survivalAt } from '../../statistics/curves/survivalAt.js'
import { eValue, type RatioScale } from '../../statistics/sensitivity/index.js'
import {
  type BalanceRow,
  covariateBalance,
  type GroupWeights,
  type PropensityWeightOptions,
  propensityScores,
  propensityWeights,
  weightedCurves,
  weightedHazardRatio,
} from '../../statistics/weighting/index.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { numberOf } from './columns.js'

export const balanceMethods: Readonly<Record<string, ReferenceMethod>> = {
  'sensitivity.e_value': confounding,
  'weighting.propensity': weighting,
}

/** Scales of ratios by the names that the reference files use. */
const scales: Readonly<Record<string, RatioScale>> = {
  RR: 'risk-ratio',
  IRR: 'rate-ratio',
  OR: 'odds-ratio-rare',
  OR_rare: 'odds-ratio-rare',
  OR_common: 'odds-ratio-common',
  HR: 'hazard-ratio-rare',
  HR_rare: 'hazard-ratio-rare',
  HR_common: 'hazard-ratio-common',
}

function confounding(reference: ReferenceCase): unknown {
  const type = String(reference.data.type ?? reference.options.type ?? 'RR')
  const answer = eValue(numberOf(reference, 'est'), {
    scale: scales[type] ?? 'risk-ratio',
    lower: numberOf(reference, 'lo'),
    upper: numberOf(reference, 'hi'),
  })
  return { rr_scale: answer.riskRatio, e_value: answer.eValue, e_value_ci: answer.eValueOfLimit }
}

/** Weightings by the names that the reference files use. */
const weightings: Readonly<Record<string, PropensityWeightOptions>> = {
  ate: { target: 'average' },
  ate_stabilised: { target: 'average', stabilised: true },
  att: { target: 'treated' },
  atc: { target: 'untreated' },
  overlap: { target: 'overlap' },
}

interface Cohort {
  readonly treated: Float64Array
  readonly time: Float64Array
  readonly status: Float64Array
  readonly covariates: Readonly<Record<string, Float64Array | readonly string[]>>
}

function weighting(reference: ReferenceCase): unknown {
  const cohort = completeCohort(reference)
  const { treated, covariates } = cohort
  const fit = propensityScores(treated, covariates)
  const times = chosenTimes(reference, cohort.time)
  const names: Readonly<Record<string, string>> = { intercept: '(Intercept)' }
  return {
    ps_coef: Object.fromEntries(fit.coefficients.map((one) => [names[one.name] ?? one.name, one.estimate])),
    ps_first10: fit.scores.slice(0, 10),
    ps_sum: fit.scores.reduce((sum, score) => sum + score, 0),
    c_statistic: fit.concordance,
    unweighted_smd: byCovariate(
      covariateBalance(treated, covariates).rows,
      (row) => row.before.standardisedDifference,
    ),
    ...Object.fromEntries(
      Object.entries(weightings).map(([name, options]) => [
        name,
        weighted(cohort, fit.scores, options, times),
      ]),
    ),
  }
}

function weighted(
  cohort: Cohort,
  scores: readonly number[],
  options: PropensityWeightOptions,
  times: readonly number[],
): unknown {
  const { treated, time, status, covariates } = cohort
  const answer = propensityWeights(treated, scores, options)
  const { rows } = covariateBalance(treated, covariates, answer.weights)
  const ratio = weightedHazardRatio(time, status, treated, answer.weights)
  const curves = weightedCurves(time, status, treated, answer.weights)
  const read = curves.map((curve) => survivalAt(curve, times, { beforeEvents: 'curve' }))
  const groups: readonly [GroupWeights, GroupWeights] = [answer.treated, answer.untreated]
  return {
    sum_w1: groups[0].sum,
    sum_w0: groups[1].sum,
    max_w: Math.max(groups[0].largest, groups[1].largest),
    ess1: groups[0].effectiveSize,
    ess0: groups[1].effectiveSize,
    smd_denominator_unweighted: byCovariate(rows, (row) => row.after.standardisedDifference),
    weighted_mean1: byCovariate(rows, (row) => row.after.meanTreated),
    weighted_mean0: byCovariate(rows, (row) => row.after.meanUntreated),
    cox_log_hr: ratio.logHazardRatio,
    cox_robust_se: ratio.robustStandardError,
    cox_naive_se: ratio.modelStandardError,
    km_times: times,
    km_surv: read.map((row) => row.map((at) => at.survival)),
    km_se_robust: read.map((row) => row.map((at) => at.standardError)),
  }
}

function byCovariate<T>(
  rows: readonly BalanceRow[],
  read: (row: BalanceRow) => T,
): Readonly<Record<string, T>> {
  return Object.fromEntries(rows.map((row) => [row.name, read(row)]))
}

/** Rows with all that the case names; columns that are not numeric stay texts. */
function completeCohort(reference: ReferenceCase): Cohort {
  const table = reference.table()
  const { options } = reference
  const names = Array.isArray(options.covariates) ? options.covariates.map(String) : []
  const numeric = [String(options.treatment), String(options.time), String(options.status)]
  const numbers = [...numeric, ...names.filter((name) => table.isNumeric(name))].map((name) =>
    table.numbers(name),
  )
  const texts = names.filter((name) => !table.isNumeric(name)).map((name) => table.texts(name))
  const kept = Array.from({ length: table.rowCount }, (_, row) => row).filter(
    (row) =>
      numbers.every((column) => !Number.isNaN(column[row])) && texts.every((column) => column[row] !== ''),
  )
  const some = (name: string): Float64Array => {
    const column = table.numbers(name)
    return Float64Array.from(kept, (row) => column[row] ?? Number.NaN)
  }
  return {
    treated: some(numeric[0]!),
    time: some(numeric[1]!),
    status: some(numeric[2]!),
    covariates: Object.fromEntries(
      names.map((name) => [
        name,
        table.isNumeric(name) ? some(name) : kept.map((row) => table.texts(name)[row] ?? ''),
      ]),
    ),
  }
}

/** Times that the case names, else the quartiles of follow-up. */
function chosenTimes(reference: ReferenceCase, time: Float64Array): readonly number[] {
  const { times, km_times: named } = reference.options
  const given = named ?? times
  if (Array.isArray(given)) return given.map(Number)
  const sorted = Float64Array.from(time).sort()
  return [0.25, 0.5, 0.75].map((share) => {
    const at = share * (sorted.length - 1)
    const below = Math.floor(at)
    const above = Math.min(below + 1, sorted.length - 1)
    return sorted[below]! + (at - below) * (sorted[above]! - sorted[below]!)
  })
}
