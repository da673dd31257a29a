import type { Contrast, TestResult, Warning } from '../core/estimate.js'

/** Contrast of two groups at one horizon. */
export interface HorizonContrast {
  readonly years: number
  /** Risk in the group minus risk in the comparator, as a share. */
  readonly riskDifference: Contrast
  /** Fewer than the least number at risk in either group. */
  readonly thin: boolean
}

/** A hazard ratio together with what was allowed for. */
export interface HazardRatioVariant {
  /** Stable key, such as "crude" or "adjusted". */
  readonly key: string
  /** What it allows for, in words. */
  readonly allowsFor: string
  readonly hazardRatio: Contrast
}

/** Answer to "did repeated tightening do better than a single one". */
export interface TighteningComparisonResult {
  /** The group asked about, and what it is set against. */
  readonly group: string
  readonly against: string
  readonly restorations: Readonly<Record<string, number>>
  readonly patients: Readonly<Record<string, number>>
  readonly events: Readonly<Record<string, number>>
  readonly horizons: readonly HorizonContrast[]
  /** Test of two curves, patients kept together. */
  readonly curveTest: TestResult
  /** Crude first, then adjusted; the last that could be estimated leads. */
  readonly hazardRatios: readonly HazardRatioVariant[]
  /** Share of restorations in cells of clinic, operator and year that hold both protocols. */
  readonly overlapShare: number
  /** Whether overlap suffices for an adjusted estimate to lead. */
  readonly adjustedMayLead: boolean
  /** How the groups came about, by reason, counted. */
  readonly reasons: readonly { readonly reason: string; readonly restorations: number }[]
  readonly warnings: readonly Warning[]
  readonly level: number
}
