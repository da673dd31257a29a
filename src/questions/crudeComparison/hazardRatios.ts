import type { Cohort } from '../../cohort/cohort.js'
import { HoldfastError } from '../../core/errors.js'
import {
  type Contrast,
  type NotEstimable,
  noInterval,
  notEstimable,
  refusedBy,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import { type AnalysisPlan, defaultPlan } from '../plan/planFile.js'
import type { AnalysisSettings } from '../plan/settings.js'
import { type AdjustedFor, type Adjustment, adjustmentOf } from '../rows/adjustment.js'
import { timesAtRisk } from '../rows/cohortRows.js'
import { type Compared, countEvents } from '../rows/compared.js'

/** Name of the group's own column in the models. */
const groupColumn = 'tightening'

/** Fewest events per coefficient of a model. */
export const eventsPerCoefficient = 5

/** A hazard ratio together with what was allowed for. */
export interface HazardRatioVariant {
  readonly key: 'crude' | 'adjusted'
  /** What it allows for besides follow-up and several restorations in one patient. */
  readonly allowsFor: readonly AdjustedFor[]
  readonly hazardRatio: Contrast
}

/**
 * Hazard ratio of the group against the comparator: crude, and adjusted for what came before the choice of protocol
 * (as the plan lists it, stratified by clinic, calendar year of delivery linear), each with patient-robust variance.
 */
export function hazardRatioVariants(
  cohort: Cohort,
  compared: Compared,
  settings: AnalysisSettings,
): { readonly variants: readonly HazardRatioVariant[]; readonly warnings: readonly Warning[] } {
  const plan: AnalysisPlan = settings.plan ?? defaultPlan
  const { level } = settings
  const adjustment = hazardAdjustment(cohort, compared, plan)
  const adjusted =
    adjustment === undefined
      ? absentContrast(compared, level, notEstimable('no-complete-row-in-group'))
      : contrastOr(adjustment.compared, level, () =>
          hazardRatio(adjustment.compared, level, {
            covariates: adjustment.covariates,
            strata: adjustment.strata,
          }),
        )
  return {
    variants: [
      {
        key: 'crude',
        allowsFor: [],
        hazardRatio: contrastOr(compared, level, () => hazardRatio(compared, level)),
      },
      {
        key: 'adjusted',
        allowsFor: adjustment?.entered ?? [],
        hazardRatio: adjusted,
      },
    ],
    warnings: adjustment === undefined ? [] : [...adjustment.warnings, ...fewEventsWarning(adjustment)],
  }
}

/** Adjustment of the hazard ratio: clinics as strata, at most one coefficient for every five events. */
export function hazardAdjustment(
  cohort: Cohort,
  compared: Compared,
  plan: AnalysisPlan,
): Adjustment | undefined {
  return adjustmentOf(cohort, compared, {
    keys: plan.adjustFor,
    strata: plan.strata,
    mostCoefficients: (complete) => Math.max(0, Math.floor(countEvents(complete) / eventsPerCoefficient) - 1),
  })
}

/** Hazard ratio of the group in a Cox model, variance summed over clusters. */
function hazardRatio(
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

/** Says so where the events are few for the coefficients. */
export function fewEventsWarning(adjustment: Adjustment): readonly Warning[] {
  const events = countEvents(adjustment.compared)
  const coefficients = adjustment.coefficients + 1
  if (events / coefficients >= eventsPerCoefficient) return []
  return [warning('few-events-per-covariate', { events, coefficients })]
}

/** An estimate, or the reason why the columns give none. */
function contrastOr(compared: Compared, level: number, estimate: () => Contrast): Contrast {
  try {
    return { ...estimate(), comparator: { ...compared.names } }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return absentContrast(compared, level, refusedBy(thrown))
    throw thrown
  }
}

/** A contrast that the data cannot give. */
function absentContrast(compared: Compared, level: number, reason: NotEstimable): Contrast {
  return {
    estimate: reason,
    interval: noInterval(reason),
    level,
    method: methodOf('none'),
    n: compared.rows.n,
    events: countEvents(compared),
    clusters: new Set(compared.rows.patient).size,
    warnings: [],
    reference: 'patient-robust-cox',
    comparator: { ...compared.names },
  }
}
