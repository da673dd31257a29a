import type { AnalysisPlan } from './planFile.js'

/** Settings of the analysis; the report prints them. */
export interface AnalysisSettings {
  /** Confidence level; default 0.95. */
  readonly level: number
  /** Horizons of the cumulative incidence in years; default 1, 3 and 5. */
  readonly horizonsYears: readonly number[]
  /** Curves are cut, and horizons flagged, where fewer are at risk; default 10. */
  readonly leastAtRisk: number
  /** Seed of whatever is resampled; default 20250101. */
  readonly seed: number
  /** What was decided before results; default `defaultPlan`, which is nobody's own. */
  readonly plan?: AnalysisPlan
  /**
   * `standard` (default) leaves out what takes long: the frailty model, and the penalised model where events suffice
   * without it; `full` computes them. The patient bootstrap is `bootstrappedLead`, which takes longer still.
   */
  readonly detail?: 'standard' | 'full'
}

/**
 * The settings that are used where nothing else is asked for.
 *
 * @example defaultSettings.level // => 0.95
 */
export const defaultSettings: AnalysisSettings = Object.freeze({
  level: 0.95,
  horizonsYears: Object.freeze([1, 3, 5]),
  leastAtRisk: 10,
  seed: 20250101,
})

/**
 * Settings that a plan asks for: its level and horizons, the rest by default.
 *
 * @example plannedSettings(parsePlan('{ "written": "2026-01-05" }')).horizonsYears // => [1,3,5]
 */
export function plannedSettings(plan: AnalysisPlan): AnalysisSettings {
  return Object.freeze({
    ...defaultSettings,
    level: plan.level,
    horizonsYears: Object.freeze([...plan.horizonsYears]),
    plan,
  })
}
