import type { Cohort } from '../cohort/cohort.js'
import type { Contrast, Warning } from '../core/estimate.js'
import type { Compared } from './compared.js'
import { type AnalysisPlan, defaultPlan } from './planFile.js'
import type { AnalysisSettings } from './settings.js'
import { absentContrast, contrastOr } from './variant.js'
import { fewEventsWarning, hazardAdjustment, hazardRatio } from './variants/hazard.js'

/** A hazard ratio together with what was allowed for. */
export interface HazardRatioVariant {
  /** Stable key, such as "crude" or "adjusted". */
  readonly key: string
  /** What it allows for, in words. */
  readonly allowsFor: string
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
      ? absentContrast(compared, level, 'one group has no restoration with every value known')
      : contrastOr(adjustment.compared, level, () =>
          hazardRatio(adjustment.compared, level, {
            covariates: adjustment.covariates,
            strata: adjustment.strata,
          }),
        )
  const words = adjustment?.words ?? []
  return {
    variants: [
      {
        key: 'crude',
        allowsFor: 'follow-up and several restorations in one patient',
        hazardRatio: contrastOr(compared, level, () => hazardRatio(compared, level)),
      },
      {
        key: 'adjusted',
        allowsFor:
          words.length === 0 ? 'nothing more, since nothing is recorded' : `also ${words.join(', ')}`,
        hazardRatio: adjusted,
      },
    ],
    warnings: adjustment === undefined ? [] : [...adjustment.warnings, ...fewEventsWarning(adjustment)],
  }
}
