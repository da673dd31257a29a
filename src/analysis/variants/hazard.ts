import type { Cohort } from '../../cohort/cohort.js'
import { type Contrast, type Warning, warning } from '../../core/estimate.js'
import { coxRegression } from '../../statistics/regression/cox.js'
import { firthCoxRegression } from '../../statistics/regression/firth.js'
import { frailtyRegression } from '../../statistics/regression/frailty.js'
import { type Adjustment, adjustmentOf } from '../adjustment.js'
import { labelOfRow } from '../adjustmentFields.js'
import { timesAtRisk } from '../cohortRows.js'
import { type Compared, countEvents } from '../compared.js'
import type { AnalysisPlan } from '../planFile.js'
import { absentContrast, type ComparisonVariant, variantOf, withWarnings } from '../variant.js'

/** Name of the group's own column in the models. */
const groupColumn = 'tightening'

/** Fewest events per coefficient of a model. */
export const eventsPerCoefficient = 5

/** Operators below which their spread cannot be estimated. */
const leastOperators = 10

/** Adjustment of the hazard ratio: clinics as strata, at most one coefficient for every five events. */
export function hazardAdjustment(
  cohort: Cohort,
  compared: Compared,
  plan: AnalysisPlan,
): Adjustment | undefined {
  return adjustmentOf(cohort, compared, {
    keys: plan.adjustFor,
    strata: plan.strata,
    strataAs: 'strata',
    mostCoefficients: (complete) => Math.max(0, Math.floor(countEvents(complete) / eventsPerCoefficient) - 1),
  })
}

/** Hazard ratio of the group in a Cox model, variance summed over clusters. */
export function hazardRatio(
  compared: Compared,
  level: number,
  options: {
    readonly covariates?: Adjustment['covariates']
    readonly strata?: readonly string[] | undefined
    readonly clusters?: ArrayLike<number> | readonly string[]
    readonly weights?: ArrayLike<number>
  } = {},
): Contrast {
  const { covariates = {}, strata, clusters = compared.rows.patient, weights } = options
  const fit = coxRegression(
    timesAtRisk(compared.rows),
    { [groupColumn]: compared.inGroup, ...covariates },
    {
      cluster: clusters as readonly string[],
      level,
      ...(strata === undefined ? {} : { strata }),
      ...(weights === undefined ? {} : { weights }),
    },
  )
  return fit.hazardRatios[0]!
}

/** Hazard ratios: crude, stratified, adjusted, penalised, with frailty, and clustered by operator. */
export function hazardVariants(
  cohort: Cohort,
  compared: Compared,
  adjustment: Adjustment | undefined,
  level: number,
): readonly ComparisonVariant[] {
  const crude = variantOf(
    {
      key: 'hazard-ratio-crude',
      role: 'crude',
      scale: 'hazard-ratio',
      population: 'compared',
      adjustedFor: [],
      assumes: ['groups-alike', 'proportional-hazards', 'losses-alike', 'found-when-it-came'],
    },
    compared,
    level,
    () => hazardRatio(compared, level),
  )
  const stratified = (['clinic', 'clinic and operator'] as const).map((by) =>
    stratifiedVariant(cohort, compared, by, level),
  )
  if (adjustment === undefined) return [crude, ...stratified]
  return [crude, ...stratified, ...adjustedVariants(cohort, adjustment, level)]
}

function stratifiedVariant(
  cohort: Cohort,
  compared: Compared,
  by: 'clinic' | 'clinic and operator',
  level: number,
): ComparisonVariant {
  const columns = by === 'clinic' ? [cohort.clinic] : [cohort.clinic, cohort.operator]
  const strata = Array.from(compared.rows.row, (row) =>
    columns.map((column) => labelOfRow(column, row) ?? 'unknown').join(' · '),
  )
  return variantOf(
    {
      key: by === 'clinic' ? 'hazard-ratio-by-clinic' : 'hazard-ratio-by-operator',
      role: 'adjusted',
      scale: 'hazard-ratio',
      population: 'compared',
      adjustedFor: by === 'clinic' ? ['clinic'] : ['clinic', 'operator'],
      assumes: ['alike-given-adjustment', 'proportional-hazards', 'losses-alike', 'found-when-it-came'],
    },
    compared,
    level,
    () => hazardRatio(compared, level, { strata }),
  )
}

function adjustedVariants(
  cohort: Cohort,
  adjustment: Adjustment,
  level: number,
): readonly ComparisonVariant[] {
  const { compared, covariates, strata, words, warnings } = adjustment
  const frame = {
    role: 'adjusted',
    scale: 'hazard-ratio',
    population: 'compared',
    adjustedFor: words,
    assumes: ['alike-given-adjustment', 'proportional-hazards', 'losses-alike', 'found-when-it-came'],
  } as const
  const adjusted = variantOf({ ...frame, key: 'hazard-ratio-adjusted' }, compared, level, () =>
    withWarnings(hazardRatio(compared, level, { covariates, strata }), [
      ...warnings,
      ...fewEventsWarning(adjustment),
    ]),
  )
  return [adjusted, byOperator(cohort, adjustment, level)]
}

/** Whether a penalised estimate is called for: few events for each coefficient, or an estimate that ran away. */
export function isSparse(adjustment: Adjustment, adjusted: Contrast): boolean {
  const perCoefficient = countEvents(adjustment.compared) / (adjustment.coefficients + 1)
  return perCoefficient < eventsPerCoefficient || typeof adjusted.estimate !== 'number'
}

/** Penalised hazard ratio: finite where one group has no event. */
export function penalisedVariant(adjustment: Adjustment, level: number): ComparisonVariant {
  const { compared, covariates, strata, words, warnings } = adjustment
  return variantOf(
    {
      key: 'hazard-ratio-penalised',
      role: 'sensitivity',
      scale: 'hazard-ratio',
      population: 'compared',
      adjustedFor: words,
      assumes: ['alike-given-adjustment', 'proportional-hazards', 'losses-alike', 'found-when-it-came'],
    },
    compared,
    level,
    () => {
      const fit = firthCoxRegression(
        timesAtRisk(compared.rows),
        { [groupColumn]: compared.inGroup, ...covariates },
        { level, cluster: compared.rows.patient, ...(strata === undefined ? {} : { strata }) },
      )
      return withWarnings(fit.hazardRatios[0]!, warnings)
    },
  )
}

/** Hazard ratio between two restorations of one patient: frailty shared within a patient. */
export function frailtyVariant(adjustment: Adjustment, level: number): ComparisonVariant {
  const { compared, covariates, strata, words, warnings } = adjustment
  return variantOf(
    {
      key: 'hazard-ratio-frailty',
      role: 'sensitivity',
      scale: 'hazard-ratio',
      population: 'compared',
      adjustedFor: words,
      assumes: ['alike-given-adjustment', 'proportional-hazards', 'frailty-shared', 'losses-alike'],
    },
    compared,
    level,
    () => {
      const fit = frailtyRegression(
        timesAtRisk(compared.rows),
        { [groupColumn]: compared.inGroup, ...covariates },
        compared.rows.patient,
        { level, ...(strata === undefined ? {} : { strata }) },
      )
      return withWarnings(fit.hazardRatios[0]!, warnings)
    },
  )
}

/** The adjusted hazard ratio with the variance summed over operators, who may share more than patients explain. */
function byOperator(cohort: Cohort, adjustment: Adjustment, level: number): ComparisonVariant {
  const { compared, covariates, strata, words, warnings } = adjustment
  const operators = Array.from(compared.rows.row, (row, i) => {
    const label = labelOfRow(cohort.operator, row)
    return label === undefined ? `patient ${compared.rows.patient[i]}` : `operator ${label}`
  })
  const known = new Set(operators.filter((label) => label.startsWith('operator '))).size
  const frame = {
    key: 'hazard-ratio-clustered-by-operator',
    role: 'sensitivity',
    scale: 'hazard-ratio',
    population: 'compared',
    adjustedFor: words,
    assumes: ['alike-given-adjustment', 'proportional-hazards', 'operators-independent', 'losses-alike'],
  } as const
  if (known < leastOperators) {
    const reason = `${known} ${known === 1 ? 'operator' : 'operators'}: below ${leastOperators}, the spread between operators cannot be estimated`
    return { ...frame, contrast: absentContrast(compared, level, reason) }
  }
  return variantOf(frame, compared, level, () =>
    withWarnings(hazardRatio(compared, level, { covariates, strata, clusters: operators }), warnings),
  )
}

/** Says so where the events are few for the coefficients. */
export function fewEventsWarning(adjustment: Adjustment): readonly Warning[] {
  const events = countEvents(adjustment.compared)
  const coefficients = adjustment.coefficients + 1
  if (events / coefficients >= eventsPerCoefficient) return []
  return [
    warning(
      'few-events-per-covariate',
      `The adjusted estimate rests on too few events (${events}) for its coefficients (${coefficients}): it is unstable.`,
    ),
  ]
}
