/** Sensitivity analyses by name. */
export const sensitivityAnalyses = [
  'visit-schedule',
  'last-contact',
  'equal-follow-up',
  'later-tightening',
  'period-categories',
  'first-years-left-out',
  'lost-to-follow-up',
  'missing-exposure',
  'reported-groups-left-out',
  'misclassification',
  'unmeasured-confounding',
  'immortal-time',
  'multiple-imputation',
] as const

/** One sensitivity analysis. */
export type SensitivityAnalysis = (typeof sensitivityAnalyses)[number]

/** Contrasts that a plan may declare primary. */
export const primaryContrasts = ['risk-difference', 'hazard-ratio', 'restricted-mean-difference'] as const

/** The contrast declared primary. */
export type PrimaryContrast = (typeof primaryContrasts)[number]

/** Level that puts together those of which there are few, in a model. */
export const rareLevels = 'rare-levels'

/** Level that gathers the rarest of many, in a description. */
export const allOthers = 'all-others'
