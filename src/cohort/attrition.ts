import type { QualityReport, RecordSource } from '../records/dataset.js'

/** One line of the account of rows: how many were left out at this step, and why. */
export interface AttritionStep {
  /** Stable kebab-case code of the reason. */
  readonly code: string
  /** The reason in words, to stand after "left out:". */
  readonly reason: string
  /** Restorations (or rows, for the rows set aside by validation) left out at this step. */
  readonly leftOut: number
  /** Restorations remaining after this step. */
  readonly remaining: number
}

/** Every restoration accounted for, from the rows of the file to the cohort. */
export interface Attrition {
  /** Rows of the restorations table as read. */
  readonly rowsRead: number
  readonly steps: readonly AttritionStep[]
  /** Restorations in the cohort. */
  readonly included: number
}

/** What the cohort hands on about its source, so that nothing above it needs to read records. */
export interface CohortSummary {
  readonly source: RecordSource
  readonly quality: QualityReport
  readonly attrition: Attrition
  readonly patients: number
  readonly clinics: readonly string[]
  readonly operators: number
  /** First and last delivery in the cohort, as years. */
  readonly deliveryYears: { readonly first: number; readonly last: number }
  /** Restorations in the cohort with at least one check of the screw after delivery, or found loose. */
  readonly checked: number
  /** Restorations never checked: no time at risk, left out of proportions and rates, counted. */
  readonly neverChecked: number
  /** Competing events set aside because they came later than the recall interval after the last check. */
  readonly competingBeyondRecall: number
  /** Events on the day of delivery. */
  readonly eventsOnDayZero: number
  /** Restorations by exposure group of the delivery day. */
  readonly exposure: readonly { readonly group: string; readonly restorations: number }[]
  /** Restorations whose reported group disagrees with the tightening events. */
  readonly exposureDisagreements: number
  /** Restorations grouped by the reported group alone, for want of tightening events. */
  readonly exposureFromReportOnly: number
}
