import type { Cohort } from '../../cohort/cohort.js'
import type { CovariateValues } from '../../cohort/covariates.js'
import { restorationStatus } from '../../cohort/selection.js'
import { UsageError } from '../../core/errors.js'

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
  const values = Array.from(rows, (row) => all[row])
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
