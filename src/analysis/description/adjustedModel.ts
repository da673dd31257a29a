import type { Cohort } from '../../cohort/cohort.js'
import { HoldfastError } from '../../core/errors.js'
import { type Contrast, isNumber, type Warning } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { type CoxFit, coxRegression, type HazardRatio } from '../../statistics/regression/cox.js'
import { orderedLevels } from '../../statistics/regression/design.js'
import type { Adjustment } from '../adjustment.js'
import { columnWords } from '../adjustmentFields.js'
import { timesAtRisk } from '../cohortRows.js'
import { comparedRows, countEvents } from '../compared.js'
import { fewEventsWarning, hazardAdjustment } from '../hazardRatios.js'
import { defaultPlan } from '../planFile.js'
import { type AnalysisSettings, defaultSettings } from '../settings.js'

/** One coefficient of the model, as hazard ratio. */
export interface ModelTerm {
  /** "tightening", or what is adjusted for. */
  readonly name: string
  readonly words: string
  /** Field of a covariate, and its level where it is a category; absent in the coefficient of the group. */
  readonly field?: string
  readonly fieldLevel?: string
  /** Level that a category is compared with; absent for numbers, which are per unit. */
  readonly baseline?: string
  /** The same as the code of the records. */
  readonly baselineLevel?: string
  readonly hazardRatio: Contrast
}

/** The adjusted model of the hazard, coefficient by coefficient. */
export interface AdjustedModel {
  readonly group: string
  readonly against: string
  readonly terms: readonly ModelTerm[]
  /** What forms strata, whose hazards are left free. */
  readonly strata: readonly ('clinic' | 'operator')[]
  readonly restorations: number
  readonly events: number
  /** Restorations compared but left out for want of a value. */
  readonly incomplete: number
  readonly warnings: readonly Warning[]
  readonly level: number
}

/** Name of the group's own column. */
const groupColumn = 'tightening'

/**
 * The adjusted hazard model with all of its coefficients, as hazard ratios with patient-robust intervals (Cox 1972; Lin
 * and Wei 1989). Only the first is the question; the others are there so that a reader can see the model, and are not
 * to be read as effects of their own.
 *
 * @returns undefined where one group is empty, or the model cannot be estimated
 */
export function adjustedModel(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): AdjustedModel | undefined {
  const plan = settings.plan ?? defaultPlan
  const compared = comparedRows(cohort, { group: plan.group, against: plan.against })
  const adjustment = compared === undefined ? undefined : hazardAdjustment(cohort, compared, plan)
  if (compared === undefined || adjustment === undefined) return undefined
  const fit = fitted(adjustment, settings.level)
  if (fit === undefined || !isNumber(fit.hazardRatios[0]!.estimate)) return undefined
  const names = { group: plan.group, against: plan.against }
  return deepFreeze({
    ...names,
    terms: fit.hazardRatios.map((ratio) => termOf(ratio, names, adjustment.covariates)),
    strata: adjustment.strata === undefined ? [] : [...plan.strata],
    restorations: adjustment.compared.rows.n,
    events: countEvents(adjustment.compared),
    incomplete: adjustment.incomplete,
    warnings: [...adjustment.warnings, ...fewEventsWarning(adjustment)],
    level: settings.level,
  })
}

/** The fit, or undefined where the columns give none. */
function fitted({ compared, covariates, strata }: Adjustment, level: number): CoxFit | undefined {
  try {
    return coxRegression(
      timesAtRisk(compared.rows),
      { [groupColumn]: compared.inGroup, ...covariates },
      {
        cluster: compared.rows.patient,
        level,
        baselines: baselinesOf(covariates),
        ...(strata === undefined ? {} : { strata }),
      },
    )
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return undefined
    throw thrown
  }
}

/** Each category is compared with its most frequent level. */
function baselinesOf(covariates: Adjustment['covariates']): Readonly<Record<string, string>> {
  return Object.fromEntries(
    Object.entries(covariates).flatMap(([key, column]) => {
      const baseline = baselineOf(column)
      return baseline === undefined ? [] : [[key, baseline]]
    }),
  )
}

function baselineOf(column: readonly number[] | readonly string[]): string | undefined {
  if (typeof column[0] !== 'string') return undefined
  const levels = column as readonly string[]
  const counts = new Map<string, number>()
  for (const level of levels) counts.set(level, (counts.get(level) ?? 0) + 1)
  return orderedLevels(levels).reduce((best, level) =>
    counts.get(level)! > counts.get(best)! ? level : best,
  )
}

function termOf(
  ratio: HazardRatio,
  comparator: { readonly group: string; readonly against: string },
  covariates: Adjustment['covariates'],
): ModelTerm {
  const { estimate, interval, level, method, n, events, clusters, warnings, reference } = ratio
  const [key = '', ...levels] = ratio.name.split('=')
  const compared = covariates[key] === undefined ? undefined : baselineOf(covariates[key])
  const baseline =
    compared === undefined ? undefined : columnWords(`${key}=${compared}`).replace(/^.*?: /, '')
  return {
    name: ratio.name,
    words:
      ratio.name === groupColumn
        ? `${comparator.group} against ${comparator.against}`
        : columnWords(ratio.name),
    ...(ratio.name === groupColumn ? {} : { field: key }),
    ...(levels.length === 0 ? {} : { fieldLevel: levels.join('=') }),
    ...(baseline === undefined ? {} : { baseline, baselineLevel: compared! }),
    hazardRatio: {
      estimate,
      interval,
      level,
      method,
      n,
      events,
      clusters,
      warnings,
      reference,
      comparator: ratio.name === groupColumn ? { ...comparator } : { ...ratio.comparator },
    },
  }
}
