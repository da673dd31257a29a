import type { EndpointName } from '../../cohort/definition.js'

/** Names the shape of `answer.json`; a change that readers would notice gets another number. */
export const answerSchema = 'holdfast-answer-1'

/** An estimate as a share, a rate or a difference of shares, with the limits of its interval that there are. */
export interface AnswerEstimate {
  readonly estimate: number
  readonly lower?: number
  readonly upper?: number
}

/** Two ends without an estimate between them. */
export interface AnswerRange {
  readonly lower: number
  readonly upper: number
}

/**
 * The answer of one audit, for machines and for the first page: shares between 0 and 1, times in years, codes instead of
 * words. What cannot be said is absent, never null.
 */
export interface Answer {
  readonly schema: typeof answerSchema
  readonly endpoint: EndpointName
  readonly restorations: AnswerRestorations
  readonly howOften: AnswerHowOften
  /** Absent where one of the two ways of tightening was not used. */
  readonly comparison?: AnswerComparison
  /**
   * Fields by which outcome, exposure and time at risk go and that are empty in some rows, dates of events among them, where
   * an empty cell says that nothing happened; absent where none is.
   */
  readonly unknown?: readonly AnswerUnknown[]
}

/** How many rows of a table have no known value of a field. */
export interface AnswerUnknown {
  readonly table: string
  readonly field: string
  readonly unknown: number
  readonly rows: number
}

/** Whom the answer is about. */
export interface AnswerRestorations {
  /** Rows of the restorations table as read. */
  readonly inRecords: number
  /** Of the types asked for, with a screw to loosen, and at risk when recording began. */
  readonly eligible: number
  /** Eligible, with a look after delivery or an event. */
  readonly analysed: number
  /** Eligible, without any look after delivery. */
  readonly neverChecked: number
  /** Eligible, with something recorded that may be a finding and cannot be read; absent where there is none. */
  readonly outcomeUnreadable?: number
  /**
   * Eligible, with a last look no later than the day from which findings were recorded; absent where there is none. With
   * the analysed, the never checked and the unreadable these are the eligible.
   */
  readonly lastLookBeforeRecording?: number
}

/** How often the endpoint came. */
export interface AnswerHowOften {
  /** Horizon of the risk in years; absent where no horizon has enough at risk. */
  readonly years?: number
  readonly verdict: 'estimate' | 'none-seen' | 'withheld'
  /** Why it was withheld, or why there is no horizon: `left-out`, `few-at-risk` or `no-time-at-risk`. */
  readonly reason?: 'left-out' | 'few-at-risk' | 'no-time-at-risk'
  /** Cumulative incidence with competing events, each event halfway between its last clean look and its finding. */
  readonly risk?: AnswerEstimate
  /** The risk with each event right after its last clean look and at its finding, as one range with sampling limits. */
  readonly betweenLooks?: AnswerRange
  readonly ratePer100Years?: AnswerEstimate
  readonly events: number
  readonly restorationYears: number
  /** Share of the eligible that was left out; present from the least share that is stated. */
  readonly leftOutShare?: number
  /** Where the risk is withheld: what it would be if none of those left out had it, as those seen, or all. */
  readonly bounds?: { readonly none: number; readonly asSeen: number; readonly all: number }
  /** The risk with ticked visits only as looks; present where it differs by more than a point. */
  readonly ticksOnly?: AnswerEstimate
  /** The risk with findings at visits that are no look at the next look; present from a share of such events. */
  readonly nextLook?: AnswerEstimate
}

/** The verdict of the comparison of the two ways of tightening. */
export type ComparisonVerdict = 'lower' | 'higher' | 'open' | 'cannot-be-compared' | 'cannot-be-known'

/** What a challenge does to the estimate. */
export type ObjectionEffect = 'agrees' | 'weakens' | 'contradicts' | 'context'

/** One challenge to the comparison. */
export interface AnswerObjection {
  readonly code: string
  readonly effect: ObjectionEffect
  readonly estimate?: number
  readonly lower?: number
  readonly upper?: number
}

/** Repeated against single tightening. */
export interface AnswerComparison {
  readonly verdict: ComparisonVerdict
  /** Codes of the two groups; differences are group minus against. */
  readonly group: string
  readonly against: string
  readonly years?: number
  /** Difference of the risks by the horizon, each event halfway between its last clean look and its finding. */
  readonly difference?: AnswerEstimate
  readonly risks?: { readonly group: AnswerEstimate; readonly against: AnswerEstimate }
  readonly restorations: { readonly group: number; readonly against: number }
  readonly events: { readonly group: number; readonly against: number }
  /** Share of the compared restorations whose exposure was measured, not only charted. */
  readonly exposure?: { readonly measuredShare: number }
  /** The difference with each event at its finding, and right after its last clean look. */
  readonly betweenLooks?: { readonly found: AnswerEstimate; readonly afterLastLook: AnswerEstimate }
  /** Code of the reason for the verdict. */
  readonly reason?: string
  readonly objections: readonly AnswerObjection[]
}
