import type { CohortSummary } from '../../cohort/attrition.js'
import type { CohortDefinition } from '../../cohort/definition.js'
import { type Estimate, type Interval, isNumber } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import type { ComparisonResult } from '../comparison/answer.js'
import { comparisonPart } from '../comparison/answerPart.js'
import type { HowOften, OtherReading } from '../howOften/answer.js'
import type { IncidenceResult } from '../incidence/answer.js'
import {
  type Answer,
  type AnswerEstimate,
  type AnswerHowOften,
  type AnswerRange,
  type AnswerRestorations,
  answerSchema,
} from './shape.js'

/** As much of an audit as its answer is made of. */
export interface AnswerParts {
  readonly definition: CohortDefinition
  readonly summary: CohortSummary
  readonly howOften: HowOften
  readonly incidence: IncidenceResult
  /** Absent where one of the two ways of tightening was not used. */
  readonly tightening?: ComparisonResult | undefined
}

/** The answer as the result of a question; `answer.json` has it without its kind. */
export interface AnswerResult extends Answer {
  readonly kind: 'answer'
}

/**
 * The answer of an audit, as machines read it and as the first page states it. It computes nothing: every number is one
 * of the results.
 *
 * @param audit as much of an audit as the answer is made of
 */
export function answerOf(audit: AnswerParts): Answer {
  const { definition, summary, howOften, incidence, tightening } = audit
  return deepFreeze({
    schema: answerSchema,
    endpoint: definition.endpoint,
    restorations: restorationsOf(audit),
    howOften: howOftenOf(howOften, incidence.overall.ratePer100Years),
    ...(tightening === undefined ? {} : { comparison: comparisonPart(tightening) }),
    ...unknownOf(summary),
  })
}

/** What a visit says of the restoration, of what was done and of the patient: an empty cell hides a removal or a death. */
const statusOfVisit: ReadonlySet<string> = new Set([
  'restoration_status',
  'action_taken',
  'removal_reason',
  'patient_status',
])

/** Fields of which an empty cell decides who is counted, how long, or in which group. */
const decisive: ReadonlySet<string> = new Set([
  'restoration_type',
  'retention_mode',
  'connection',
  'observation_start_date',
  'tightenings_at_delivery',
  'first_loosening_date',
  'removed_date',
  'deceased_date',
  'last_check_date',
  'last_check_before_loosening_date',
  'sequence',
  'minutes_since_first',
  'context',
  'action',
  'visit_type',
  'screw_checked',
  'finding',
  ...statusOfVisit,
])

/** Fields without which what ends the time at risk is not seen, by the form of the records. */
const endings = {
  'three-tables': [['visits', 'patient_status']],
  'one-sheet': [
    ['restorations', 'removed_date'],
    ['restorations', 'deceased_date'],
  ],
} as const

/** Fields of what ends the time at risk that the records have no column for. */
export function endingsWithoutColumn({
  quality: { completeness },
  source,
}: Pick<CohortSummary, 'quality' | 'source'>): readonly (readonly ['restorations' | 'visits', string])[] {
  return endings[source.form === 'one-sheet' ? 'one-sheet' : 'three-tables'].filter(
    ([, field]) => completeness.length > 0 && !completeness.some((one) => one.field === field),
  )
}

/** What stands empty in the records, field by field, and what ends the time at risk and has no column at all. */
function unknownOf({ quality, source }: CohortSummary): Pick<Answer, 'unknown'> {
  const { completeness } = quality
  const oneSheet = source.form === 'one-sheet'
  const empty = completeness
    .filter((one) => one.unknown > 0 && decisive.has(one.field))
    // Status and reason of a visit are no columns of one sheet but made of its dates.
    .filter((one) => !(oneSheet && one.table === 'visits' && statusOfVisit.has(one.field)))
    .map(({ table, field, known, unknown: missing }) => ({
      table,
      field,
      unknown: missing,
      rows: known + missing,
    }))
  const absent = endingsWithoutColumn({ quality, source }).map(([table, field]) => {
    const { read, setAside } = quality.rows[table]
    return { table, field, unknown: read - setAside, rows: read - setAside }
  })
  const unknown = [...empty, ...absent]
  return unknown.length === 0 ? {} : { unknown }
}

function restorationsOf({
  summary,
  howOften,
}: Pick<AnswerParts, 'summary' | 'howOften'>): AnswerRestorations {
  const { eligible, outcomeUnreadable } = summary.looks
  const before = summary.attrition.steps.find(({ code }) => code === 'no-time-at-risk')?.leftOut ?? 0
  return {
    inRecords: summary.attrition.rowsRead,
    eligible,
    analysed: howOften.restorations,
    neverChecked: summary.neverChecked,
    ...(outcomeUnreadable === 0 ? {} : { outcomeUnreadable }),
    ...(before === 0 ? {} : { lastLookBeforeRecording: before }),
  }
}

function howOftenOf(result: HowOften, rate: Estimate): AnswerHowOften {
  const { verdict, reason, years, horizon, events, restorationYears, leftOut, bounds } = result
  const risk = verdict === 'withheld' || horizon === undefined ? undefined : estimateOf(horizon.risk)
  const range = risk === undefined ? undefined : rangeOf(horizon!.betweenLooks.range)
  // A rate over those seen says as little of those left out as the risk does.
  const ratePer100Years = reason === 'left-out' ? undefined : estimateOf(rate)
  return {
    ...(years === undefined ? {} : { years }),
    verdict,
    ...(reason === undefined ? {} : { reason }),
    ...(risk === undefined ? {} : { risk }),
    ...(range === undefined ? {} : { betweenLooks: range }),
    ...(ratePer100Years === undefined ? {} : { ratePer100Years }),
    events,
    restorationYears,
    ...(leftOut.stated ? { leftOutShare: leftOut.share } : {}),
    ...(reason === 'left-out' && bounds !== undefined ? { bounds } : {}),
    ...besideIt('ticksOnly', result.ticksOnly, verdict),
    ...besideIt('nextLook', result.nextLook, verdict),
  }
}

/** The risk under another reading, where the answer states it beside its own. */
function besideIt(
  name: 'ticksOnly' | 'nextLook',
  reading: OtherReading | undefined,
  verdict: HowOften['verdict'],
): Partial<AnswerHowOften> {
  if (reading?.stated !== true || verdict === 'withheld' || reading.horizon === undefined) return {}
  const risk = estimateOf(reading.horizon.risk)
  return risk === undefined ? {} : { [name]: risk }
}

/** An estimate with the limits that it has; undefined where there is none. */
export function estimateOf({
  estimate,
  interval,
}: Pick<Estimate, 'estimate' | 'interval'>): AnswerEstimate | undefined {
  if (!isNumber(estimate)) return undefined
  return {
    estimate,
    ...(isNumber(interval.lower) ? { lower: interval.lower } : {}),
    ...(isNumber(interval.upper) ? { upper: interval.upper } : {}),
  }
}

function rangeOf({ lower, upper }: Interval): AnswerRange | undefined {
  return isNumber(lower) && isNumber(upper) ? { lower, upper } : undefined
}

/** The same as the result of a question; undefined where what it rests on was not asked. */
export function answerResult(results: Partial<AnswerParts>): AnswerResult | undefined {
  const { definition, summary, howOften, incidence } = results
  if (definition === undefined || summary === undefined) return undefined
  if (howOften === undefined || incidence === undefined) return undefined
  const parts = { ...results, definition, summary, howOften, incidence }
  return deepFreeze({ ...answerOf(parts), kind: 'answer' as const })
}
