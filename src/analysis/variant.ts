import { HoldfastError } from '../core/errors.js'
import { type Contrast, noInterval, notEstimable, type Warning } from '../core/estimate.js'
import { type Compared, countEvents } from './compared.js'

/** Scale on which two groups are set against each other. */
export type EstimandScale =
  | 'risk-difference'
  | 'hazard-ratio'
  | 'subdistribution-hazard-ratio'
  | 'restricted-mean-difference'
  | 'time-lost-difference'
  | 'rate-ratio'

/** What an estimate takes for granted; the report words each. */
export type AssumptionKey =
  /** The groups were alike in everything that matters. */
  | 'groups-alike'
  /** They were alike given what was adjusted for. */
  | 'alike-given-adjustment'
  | 'proportional-hazards'
  | 'constant-rate'
  /** Those lost would have fared like those followed. */
  | 'losses-alike'
  /** The same given what was adjusted for. */
  | 'losses-alike-given-adjustment'
  /** Loosening came on the day on which it was found. */
  | 'found-when-it-came'
  /** Loosening came between the last clear look and the one that found it, at a time of a Weibull distribution. */
  | 'weibull-between-looks'
  /** Visits came whether or not the screw was loose. */
  | 'visits-by-schedule'
  | 'model-of-choice'
  | 'model-of-choice-or-outcome'
  | 'frailty-shared'
  | 'operators-independent'
  | 'exchange-within-strata'
  | 'exposure-known'
  | 'deliberately-wrong'

/** What part a row of the table of variants plays. */
export type VariantRole = 'crude' | 'adjusted' | 'sensitivity' | 'secondary' | 'wrong-on-purpose'

/** In whom the effect is. */
export type VariantPopulation = 'compared' | 'average' | 'overlap'

/** One way of setting the two groups against each other: a row of the table of variants. */
export interface ComparisonVariant {
  /** Stable kebab-case key, which the report words. */
  readonly key: string
  readonly role: VariantRole
  readonly scale: EstimandScale
  /** Horizon in years, where the scale has one. */
  readonly horizonYears?: number
  /** Estimate, interval, n, events, patients, warnings. */
  readonly contrast: Contrast
  readonly population: VariantPopulation
  /** What it allows for, in words. */
  readonly adjustedFor: readonly string[]
  readonly assumes: readonly AssumptionKey[]
}

/** Fields of a variant besides its estimate. */
export type VariantFrame = Omit<ComparisonVariant, 'contrast'>

/** A variant with its estimate, or with the reason why the data give none. */
export function variantOf(
  frame: VariantFrame,
  compared: Compared,
  level: number,
  estimate: () => Contrast,
): ComparisonVariant {
  return { ...frame, contrast: contrastOr(compared, level, estimate) }
}

/** An estimate, or the reason why the columns give none. */
export function contrastOr(compared: Compared, level: number, estimate: () => Contrast): Contrast {
  try {
    return { ...estimate(), comparator: { ...compared.names } }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return absentContrast(compared, level, thrown.problem)
    throw thrown
  }
}

/** A contrast that the data cannot give. */
export function absentContrast(
  compared: Compared,
  level: number,
  reason: string,
  warnings: readonly Warning[] = [],
): Contrast {
  return {
    estimate: notEstimable(reason),
    interval: noInterval(reason),
    level,
    method: 'none',
    n: compared.rows.n,
    events: countEvents(compared),
    clusters: new Set(compared.rows.patient).size,
    warnings,
    reference: 'patient-robust-cox',
    comparator: { ...compared.names },
  }
}

/** The same contrast with more warnings. */
export function withWarnings(contrast: Contrast, warnings: readonly Warning[]): Contrast {
  return warnings.length === 0 ? contrast : { ...contrast, warnings: [...contrast.warnings, ...warnings] }
}
