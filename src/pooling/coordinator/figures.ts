import type { Estimate, Quantity } from '../../core/estimate.js'
import type { CurvePoint, RiskAt } from './curves.js'

/** A year of the printed table, or several put together. */
export interface YearRow {
  readonly fromDay: number
  readonly toDay: number
  readonly atRisk: number
  readonly endpoint: number
  readonly competing: number
  readonly restorationYears: number
  readonly patients: number
  readonly sites: number
}

/** What the group knows of one exposure group, or of both together. */
export interface GroupFigures {
  readonly group: string
  readonly restorations: number
  readonly patients: number
  readonly sites: number
  readonly events: number
  readonly competing: number
  readonly restorationYears: number
  readonly rate: Estimate
  readonly years: readonly YearRow[]
  readonly curve: readonly CurvePoint[]
  readonly risks: readonly RiskAt[]
}

/** Both groups together; without their patients where these would tell how few had restorations of both, or of one. */
export interface BothFigures extends Omit<GroupFigures, 'patients'> {
  readonly patients: Quantity
}

/** A group of which nothing may be printed. */
export interface WithheldGroup {
  readonly group: string
  readonly withheld: 'too-few-patients-or-practices'
}
