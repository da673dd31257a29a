import type { QualityReport, RecordSource } from '../records/dataset.js'

/** Why a restoration is left out. */
export type ExclusionCode =
  | 'not-asked-for'
  | 'other-type'
  | 'type-unknown'
  | 'screwless'
  | 'event-before-recording'
  | 'outcome-unreadable'
  | 'never-checked'
  | 'no-time-at-risk'

/** One line of the account of rows: how many were left out at this step, and why. */
export interface AttritionStep {
  /** Why: a code, worded under `left-out.<code>` in the messages. */
  readonly code: 'identical-rows' | 'set-aside' | ExclusionCode
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

/** What the time at risk and the events rest on. */
export interface LooksAccount {
  readonly events: number
  /** Events with a clean look after delivery before them; the others lie between delivery and their finding. */
  readonly eventsWithCleanLook: number
  /** Events that were found at a visit marked "no", whether they count on that day or at the next look. */
  readonly foundAtVisitMarkedNo: number
  /** Events that were found at another visit that is no look: by telephone, from the records, or without a tick. */
  readonly foundOutsideLook: number
  /** Findings that wait for a next look that never came, and so do not count. */
  readonly findingsNotCounted: number
  /** Eligible restorations that were looked at on the day of delivery only, and so never after it: no time at risk. */
  readonly deliveryDayOnly: number
  /** Restorations in the cohort and those left out because nothing is known of their outcome. */
  readonly eligible: number
  /** Eligible restorations of which something that may be a finding cannot be read. */
  readonly outcomeUnreadable: number
  /** Eligible restorations without any look after delivery while findings were recorded, or of unreadable outcome. */
  readonly leftOut: number
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
  readonly looks: LooksAccount
  /** Events on the day of delivery. */
  readonly eventsOnDayZero: number
  /** Restorations by exposure group of the delivery day. */
  readonly exposure: readonly { readonly group: string; readonly restorations: number }[]
  /** Restorations whose reported group disagrees with the tightening events. */
  readonly exposureDisagreements: number
  /** Restorations grouped by the reported group alone, for want of tightening events. */
  readonly exposureFromReportOnly: number
}
