import type { Cohort } from '../../cohort/cohort.js'
import { type CovariateValues, covariateValues, labelsTogether } from '../../cohort/covariates.js'
import { restorationStatus } from '../../cohort/selection.js'
import { listOfRows, numbersOfRows } from '../../core/columns.js'
import { UsageError } from '../../core/errors.js'
import { isNameOf, unknownName } from '../../core/names.js'
import { covariateNames, covariateOf, defaultCovariates, numberKinds } from '../../vocabulary/fields.js'
import { commonLevels } from '../rows/adjustment.js'

/** One thing that the groups are made alike in, by rows compared. */
export interface Confounder {
  readonly key: string
  readonly kind: 'number' | 'category'
  /** Numbers, NaN where unknown; empty for a category. */
  readonly numbers: Float64Array
  /** Texts, '' where unknown; empty for a number. */
  readonly texts: readonly string[]
  /** The known texts, each once, in order; empty for a number. */
  readonly levels: readonly string[]
  /** Share of rows without a value. */
  readonly missingShare: number
}

/** Why something is not allowed for. */
export type LeftOutReason = 'not-recorded' | 'all-alike' | 'what-is-compared' | 'too-few-restorations'

/** Something that is not allowed for, and why. */
export interface LeftOut {
  readonly key: string
  readonly reason: LeftOutReason
}

/** What is allowed for where nothing else is planned, in the order in which it enters; the last is dropped first. */
export const defaultConfounders: readonly string[] = defaultCovariates

/** Unknown above this share is too much to impute. */
const mostMissing = 0.6

/** Operator within clinic of each row: two operators of one name in two clinics are two. */
export function operatorLabels(cohort: Cohort, rows: Int32Array): readonly string[] {
  return labelsTogether([cohort.clinic, cohort.operator], rows)
}

/** Day of delivery of each row in years; NaN where not even the year is known. */
export function deliveryYears(cohort: Cohort, rows: Int32Array): Float64Array {
  return numbersOf(covariateValues(cohort, rows, 'delivery_day'))
}

function numbersOf(values: CovariateValues): Float64Array {
  return numbersOfRows(values.length, (i) => {
    const value = values[i]
    return typeof value === 'number' ? value : Number.NaN
  })
}

/**
 * What a covariate, or a column of the user's own, says of each row, in a form that can be imputed; the operator is no such
 * covariate.
 *
 * @throws UsageError `unknown-name` where there is neither of that name; `mixed-column`, `not-finite-column`,
 *   `tells-the-outcome` of a column of the user's own
 */
export function readConfounder(cohort: Cohort, rows: Int32Array, name: string): Confounder {
  const own = ownColumnValues(cohort, rows, name)
  if (own !== undefined) {
    return own.some((value) => typeof value === 'number')
      ? numberConfounder(name, numbersOf(own))
      : categoryConfounder(
          name,
          own.map((value) => (value === undefined ? '' : String(value))),
        )
  }
  const asked = name === 'delivery_year' ? 'delivery_day' : name
  if (!isNameOf(covariateNames, asked)) {
    throw unknownName('covariate', name, [...cohort.ownColumns, ...covariateNames])
  }
  const { name: key, field } = covariateOf(asked)
  const values = covariateValues(cohort, rows, key)
  if (key === 'delivery_day' || numberKinds.includes(field.kind))
    return numberConfounder(key, numbersOf(values))
  return categoryConfounder(
    key,
    values.map((value) => (value === undefined || value === 'unknown' ? '' : String(value))),
  )
}

/** Keeps what is recorded and differs; what does not is listed with the reason. */
export function usableConfounders(
  cohort: Cohort,
  rows: Int32Array,
  keys: readonly string[],
  comparedBy: string,
): { readonly usable: readonly Confounder[]; readonly leftOut: readonly LeftOut[] } {
  const usable: Confounder[] = []
  const leftOut: LeftOut[] = []
  const seen = new Set<string>()
  for (const key of keys) {
    if (key === 'operator') continue
    const one = readConfounder(cohort, rows, key)
    if (seen.has(one.key)) continue
    seen.add(one.key)
    const levels = new Set<number | string>(one.kind === 'number' ? one.numbers : one.texts)
    levels.delete('')
    levels.delete(Number.NaN)
    if (one.key === comparedBy) leftOut.push({ key: one.key, reason: 'what-is-compared' })
    else if (one.missingShare > mostMissing) leftOut.push({ key: one.key, reason: 'not-recorded' })
    else if (levels.size < 2) leftOut.push({ key: one.key, reason: 'all-alike' })
    else usable.push(one)
  }
  return { usable, leftOut }
}

function numberConfounder(key: string, numbers: Float64Array): Confounder {
  let missing = 0
  for (const one of numbers) if (Number.isNaN(one)) missing += 1
  return {
    key,
    kind: 'number',
    numbers,
    texts: [],
    levels: [],
    missingShare: missing / Math.max(1, numbers.length),
  }
}

function categoryConfounder(key: string, texts: readonly string[]): Confounder {
  const joined = commonLevels(texts)
  const missing = joined.reduce((sum, one) => sum + (one === '' ? 1 : 0), 0)
  return {
    key,
    kind: 'category',
    numbers: new Float64Array(0),
    texts: joined,
    levels: levelsOf(joined),
    missingShare: missing / Math.max(1, joined.length),
  }
}

/** The known texts, each once, in order. */
export function levelsOf(texts: readonly string[]): readonly string[] {
  return [...new Set(texts)].filter((one) => one !== '').sort()
}

/** What a frame of a cohort says of the outcome: nothing that was known when the way was chosen. */
const outcomeColumns: readonly string[] = ['event', 'ended_by', 'years_followed']

/** Events from which on a column that settles them all is no chance. */
const enoughEvents = 5

/**
 * What a column of the user's own says of each row; undefined where the cohort has none of that name.
 *
 * @throws UsageError `mixed-column` where numbers stand beside texts, `not-finite-column` where a number is infinite,
 *   `tells-the-outcome` where the column is the outcome under another name
 */
export function ownColumnValues(cohort: Cohort, rows: Int32Array, name: string): CovariateValues | undefined {
  if (!cohort.ownColumns.includes(name)) return undefined
  const all = (cohort as Cohort<string>).trait(name)
  const values = listOfRows(rows, (row) => all[row])
  const known = values.filter((value) => value !== undefined)
  const numbers = known.filter((value) => typeof value === 'number')
  if (numbers.length > 0 && numbers.length < known.length) throw mixedColumn(name)
  if (!numbers.every(Number.isFinite)) throw notFiniteColumn(name)
  if (outcomeColumns.includes(name) || settlesOutcome(cohort, rows, values)) throw tellsOutcome(name)
  return values
}

/** Whether every value goes with events only or with none, and both kinds are there. */
function settlesOutcome(cohort: Cohort, rows: Int32Array, values: CovariateValues): boolean {
  const seen = new Map<string | number, { all: number; events: number }>()
  values.forEach((value, i) => {
    if (value === undefined) return
    const one = seen.get(value) ?? { all: 0, events: 0 }
    one.all += 1
    if (cohort.status[rows[i]!] === restorationStatus.endpoint) one.events += 1
    seen.set(value, one)
  })
  const counts = [...seen.values()]
  const settled = counts.every(({ all, events }) => events === 0 || events === all)
  // Values that few rows share settle their outcome by being their own.
  const shared = counts.some(({ events }) => events >= enoughEvents)
  return settled && shared && counts.some(({ events }) => events === 0)
}

function mixedColumn(name: string): UsageError {
  return new UsageError({
    code: 'mixed-column',
    problem: `the column ${name} holds numbers beside texts.`,
    expected: 'numbers only, or texts only; missing values are allowed.',
    mend: 'make the column anew with one kind of value, and pass the frame to withColumns again.',
  })
}

function notFiniteColumn(name: string): UsageError {
  return new UsageError({
    code: 'not-finite-column',
    problem: `the column ${name} holds a number without end.`,
    expected: 'finite numbers; what is not known is left empty.',
    mend: 'look for a division by nought where the column was made, and pass the frame to withColumns again.',
  })
}

function tellsOutcome(name: string): UsageError {
  return new UsageError({
    code: 'tells-the-outcome',
    problem: `the column ${name} tells which restorations had the event.`,
    expected: 'something that was known before the way was chosen.',
    mend: 'allow for what was known at delivery; what came later is part of what is compared.',
  })
}
