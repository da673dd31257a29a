import type { Cohort } from '../../cohort/cohort.js'
import { HoldfastError } from '../../core/errors.js'
import { type Contrast, isNumber, type Warning } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { type CoxFit, coxRegression, type HazardRatio } from '../../statistics/hazardModels/cox.js'
import { orderedLevels } from '../../statistics/regression/design.js'
import { fewEventsWarning, hazardAdjustment } from '../crudeComparison/hazardRatios.js'
import { defaultPlan } from '../plan/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import type { Adjustment } from '../rows/adjustment.js'
import { timesAtRisk } from '../rows/cohortRows.js'
import { comparedRows, countEvents } from '../rows/compared.js'

/** One coefficient of the model, as hazard ratio. */
export interface ModelTerm {
  /** Name of the coefficient: "tightening", a number that is adjusted for, or a category with its level. */
  readonly name: string
  /** What is adjusted for, or "tightening". */
  readonly key: string
  /** Level of a category. */
  readonly level?: string
  /** Level that a category is compared with; absent for numbers, which are per unit. */
  readonly baseline?: string
  /** The same as the code of the records. */
  readonly baselineLevel?: string
  readonly hazardRatio: Contrast
}

/** The adjusted model of the hazard, coefficient by coefficient. */
export interface AdjustedModel {
  readonly kind: 'model'
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
    kind: 'model' as const,
    ...names,
    terms: termsOf(fit.hazardRatios, names, adjustment),
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

type TermNames = Pick<ModelTerm, 'key' | 'level' | 'baseline'>

/** What each coefficient is of, by its name. */
function namesOfTerms({ covariates, levels }: Adjustment): ReadonlyMap<string, TermNames> {
  const named = Object.entries(covariates).flatMap(([key, column]): (readonly [string, TermNames])[] => {
    const baseline = baselineOf(column)
    if (baseline === undefined) return [[key, levels[key] ?? { key }]]
    return [...new Set(column as readonly string[])].map((level) => [
      `${key}=${level}`,
      { key, level, baseline },
    ])
  })
  return new Map(named)
}

function termsOf(
  ratios: readonly HazardRatio[],
  comparator: { readonly group: string; readonly against: string },
  adjustment: Adjustment,
): readonly ModelTerm[] {
  const names = namesOfTerms(adjustment)
  return ratios.map((ratio) => termOf(ratio, comparator, names.get(ratio.name) ?? { key: ratio.name }))
}

function termOf(
  ratio: HazardRatio,
  comparator: { readonly group: string; readonly against: string },
  names: TermNames,
): ModelTerm {
  const { estimate, interval, level, method, n, events, clusters, warnings, reference } = ratio
  return {
    name: ratio.name,
    ...names,
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
