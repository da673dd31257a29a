import { codesOfRows, rowsWhere } from '../core/columns.js'
import { codeOf, missingDay, unknownCode } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import type { Attrition, AttritionStep, ExclusionCode } from './attrition.js'
import type { CohortDefinition } from './definition.js'
import type { RestorationHistory } from './endpoint.js'
import type { TimeOrigin } from './timeOrigin.js'

/** Status of a restoration at the end of its time at risk. */
export const restorationStatus = { censored: 0, endpoint: 1, competing: 2 } as const

/** Restorations that enter, and the account of those left out. */
export interface Selection {
  readonly rows: Int32Array
  readonly attrition: Attrition
  readonly neverChecked: number
  /** Of the eligible, those looked at on the day of delivery only. */
  readonly deliveryDayOnly: number
  /** Of the eligible, those of whose outcome nothing is known. */
  readonly nothingKnown: number
  /** Left out though eligible, since nothing is known of them: positions in the restorations table. */
  readonly unknownRows: Int32Array
  /** Code of the reason for which a row of the restorations table was left out; undefined where it entered. */
  readonly leftOutFor: (row: number) => string | undefined
}

/** Codes of the steps of the account, in the order in which they are applied, with the mend of each. */
const exclusions = [
  { code: 'not-asked-for', mend: 'choose more.' },
  { code: 'other-type', mend: 'define the cohort for the types of restoration that you have.' },
  {
    code: 'type-unknown',
    mend: 'record restoration_type, such as single_crown, or answer in holdfast map of what type the restorations are.',
  },
  { code: 'screwless', mend: 'choose an endpoint other than the screw for screwless connections.' },
  { code: 'event-before-recording', mend: 'check observation_start_date against the dates of the findings.' },
  { code: 'outcome-unreadable', mend: 'mend the values that check lists.' },
  { code: 'never-checked', mend: 'record visits with screw_checked = yes.' },
  { code: 'no-time-at-risk', mend: 'check observation_start_date against the dates of the visits.' },
] as const satisfies readonly { readonly code: ExclusionCode; readonly mend: string }[]

/** Reasons for which an eligible restoration is left out because its outcome is not known. */
const unknownOutcome: readonly ExclusionCode[] = ['outcome-unreadable', 'never-checked', 'no-time-at-risk']

/** What becomes of a row, by its code in a column: nothing stands for those that enter. */
const places: readonly (ExclusionCode | undefined)[] = [undefined, ...exclusions.map(({ code }) => code)]
const isUnknown: readonly boolean[] = places.map(
  (code) => code !== undefined && unknownOutcome.includes(code),
)

/** Chooses the restorations with time at risk, and accounts for every other row of the table. */
export function selectRestorations(
  records: RecordSet,
  definition: CohortDefinition,
  origins: TimeOrigin,
  history: RestorationHistory,
  asked?: Uint8Array,
): Selection {
  const exclusion = exclusionReader(records, definition, origins, history, asked)
  const count = records.restorations.rowCount
  // Position of the reason among all, counted from 1; 0 where a row enters.
  const reasons = codesOfRows(count, (row) => places.indexOf(exclusion(row)))
  const enters = (row: number): boolean => reasons[row] === 0
  const unseen = rowsWhere(count, (row) => enters(row) && !seenLater(history, row))
  // Where nobody else is left they stay, so that the answer can say that nothing can be said.
  const stay = unseen.length === rowsWhere(count, enters).length
  if (!stay) for (const row of unseen) reasons[row] = places.indexOf('never-checked')
  const leftOut = new Map<ExclusionCode, number>(exclusions.map(({ code }) => [code, 0]))
  for (const reason of reasons) {
    const code = places[reason]
    if (code !== undefined) leftOut.set(code, leftOut.get(code)! + 1)
  }
  const unknownRows = rowsWhere(count, (row) => isUnknown[reasons[row]!]!)
  return {
    rows: rowsWhere(count, enters),
    attrition: accountOfRows(records, leftOut),
    neverChecked: leftOut.get('never-checked')!,
    deliveryDayOnly: unseen.length,
    nothingKnown: unknownRows.length + (stay ? unseen.length : 0),
    unknownRows,
    leftOutFor: (row) => places[reasons[row]!],
  }
}

/** Whether a restoration was looked at after the day of delivery, or had the event. */
function seenLater({ eventDay, lastLookDay }: RestorationHistory, row: number): boolean {
  return eventDay[row] !== missingDay || lastLookDay[row]! > 0
}

function exclusionReader(
  records: RecordSet,
  definition: CohortDefinition,
  origins: TimeOrigin,
  history: RestorationHistory,
  asked: Uint8Array | undefined,
): (row: number) => ExclusionCode | undefined {
  const type = records.restorations.category('restoration_type')
  const wanted = new Set(definition.restorationTypes.map((label) => codeOf(type, label)))
  const connection = records.restorations.category('connection')
  const screwless = codeOf(connection, 'screwless')
  return (row) => {
    if (asked?.[row] === 0) return 'not-asked-for'
    if (type.codes[row] === unknownCode) return 'type-unknown'
    if (!wanted.has(type.codes[row]!)) return 'other-type'
    if (screwless >= 0 && connection.codes[row] === screwless) return 'screwless'
    const entry = origins.entryDay[row]!
    const event = history.eventDay[row]!
    if (event !== missingDay && entry > 0 && event <= entry) return 'event-before-recording'
    if (records.unreadableOutcome?.[row] === 1) return 'outcome-unreadable'
    if (history.lastLookDay[row] === missingDay) return 'never-checked'
    if (entry > 0 && endOfRisk(history, row, definition.recallIntervalDays).day <= entry)
      return 'no-time-at-risk'
    return undefined
  }
}

function accountOfRows(records: RecordSet, leftOut: ReadonlyMap<ExclusionCode, number>): Attrition {
  const { read, setAside } = records.quality.rows.restorations
  const steps: AttritionStep[] = []
  let remaining = read
  const step = (code: AttritionStep['code'], count: number): void => {
    remaining -= count
    steps.push({ code, leftOut: count, remaining })
  }
  const merged = read - setAside - records.restorations.rowCount
  if (merged > 0) step('identical-rows', merged)
  step('set-aside', setAside)
  for (const { code } of exclusions) {
    if (code === 'not-asked-for' && leftOut.get(code) === 0) continue
    step(code, leftOut.get(code)!)
  }
  return { rowsRead: read, steps, included: remaining }
}

/** End of the time at risk of one restoration. */
export interface EndOfRisk {
  readonly day: number
  readonly status: number
  /** A competing event came too long after the last look to be counted. */
  readonly beyondRecall: boolean
}

/** Day and status at the end of the time at risk: the event, a competing event within recall, or the last look. */
export function endOfRisk(history: RestorationHistory, row: number, recallIntervalDays: number): EndOfRisk {
  const event = history.eventDay[row]!
  const competing = history.competingDay[row]!
  const looked = history.lastLookDay[row]!
  if (event !== missingDay && (competing === missingDay || event <= competing)) {
    return { day: event, status: restorationStatus.endpoint, beyondRecall: false }
  }
  if (competing !== missingDay) {
    const lastLook = Math.min(looked, competing)
    if (competing - lastLook <= recallIntervalDays) {
      return { day: competing, status: restorationStatus.competing, beyondRecall: false }
    }
    return { day: lastLook, status: restorationStatus.censored, beyondRecall: true }
  }
  return { day: looked, status: restorationStatus.censored, beyondRecall: false }
}

/** Ends of the time at risk of some restorations, in columns. */
export function endsOfRisk(
  history: RestorationHistory,
  rows: Int32Array,
  recallIntervalDays: number,
): { readonly day: Float64Array; readonly status: Uint8Array; readonly beyondRecall: number } {
  const day = new Float64Array(rows.length)
  const status = new Uint8Array(rows.length)
  let beyondRecall = 0
  for (let i = 0; i < rows.length; i++) {
    const end = endOfRisk(history, rows[i]!, recallIntervalDays)
    day[i] = end.day
    status[i] = end.status
    if (end.beyondRecall) beyondRecall++
  }
  return { day, status, beyondRecall }
}

/** Restorations that enter, then those that were left out since nothing is known of their outcome. */
export function eligibleRows({ rows, unknownRows }: Selection): Int32Array {
  const all = new Int32Array(rows.length + unknownRows.length)
  all.set(rows)
  all.set(unknownRows, rows.length)
  return all
}

/** What would mend an empty cohort: the mend of the reason for which most were left out. */
export function mendOfEmpty(attrition: Attrition): string {
  const counts = new Map(attrition.steps.map((step) => [step.code, step.leftOut]))
  const [most] = [...exclusions].sort(
    (left, right) => (counts.get(right.code) ?? 0) - (counts.get(left.code) ?? 0),
  )
  return most!.mend
}
