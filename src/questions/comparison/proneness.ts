import type { Cohort } from '../../cohort/cohort.js'
import { regionsOf } from '../../cohort/region.js'
import { listOfRows } from '../../core/columns.js'
import { isNameOf } from '../../core/names.js'
import type { CategoryFieldName, NumberFieldName } from '../../vocabulary/fields.js'
import { covariateNames, covariateOf, numberKinds } from '../../vocabulary/fields.js'

/** Restorations of which something is recorded: those of a cohort, or those left out of it. */
export interface Described {
  readonly source: Pick<Cohort, 'category' | 'number'>
  /** Positions in the source. */
  readonly rows: ArrayLike<number>
}

/** What happened to each of the described restorations that were followed. */
export interface Followed {
  readonly events: ArrayLike<number>
  readonly days: ArrayLike<number>
}

/** Events that each rate is drawn towards the rate of all with: rates of small levels are chance. */
const drawnBy = 5

/** A restoration counts as no more prone than so many average ones: one alone must not decide. */
const mostProne = 3

/** These say who and when, not how loaded a screw is; the system goes with its connection. */
const noTraits: readonly string[] = ['operator', 'delivery_day', 'component_system']

/**
 * How prone to the event each restoration was, by what is recorded of it: the rate of each of its traits over the rate of all,
 * drawn towards 1, multiplied over the traits; 1 on average.
 *
 * @param followed restorations whose course is known, then others
 * @param keys what is allowed for
 */
export function pronenessOf(
  followed: Described,
  course: Followed,
  others: Described,
  keys: readonly string[],
): { readonly followed: Float64Array; readonly others: Float64Array } {
  const values = {
    followed: new Float64Array(followed.rows.length).fill(1),
    others: new Float64Array(others.rows.length).fill(1),
  }
  const all = tally(course, () => 'all').get('all')
  if (all === undefined || !(all.events > 0)) return values
  const rate = all.events / all.days
  for (const key of keys) {
    // A column of the user's own is not there for those left out of the cohort.
    if (noTraits.includes(key) || !isNameOf(covariateNames, key)) continue
    const read = { followed: traitOf(followed, key), others: traitOf(others, key) }
    const level = levelsOf(read.followed)
    const rates = tally(course, (i) => level(read.followed[i]))
    for (const side of ['followed', 'others'] as const) {
      values[side].forEach((before, i) => {
        const name = level(read[side][i])
        const own = name === '' ? undefined : rates.get(name)
        if (own !== undefined)
          values[side][i] = (before * (own.events + drawnBy)) / (own.days * rate + drawnBy)
      })
    }
  }
  const both = [...values.followed, ...values.others]
  const mean = both.reduce((sum, one) => sum + one, 0) / both.length
  const scaled = (one: number): number => Math.min(mostProne, one / mean)
  return { followed: values.followed.map(scaled), others: values.others.map(scaled) }
}

type Trait = string | number | undefined

function traitOf({ source, rows }: Described, key: string): readonly Trait[] {
  const { field } = covariateOf(key)
  if (key === 'region') {
    const regions = regionsOf(source)
    return listOfRows(rows, (row) => regions[row])
  }
  if (numberKinds.includes(field.kind)) {
    const numbers = source.number(field.name as NumberFieldName)
    return listOfRows(rows, (row) => (Number.isNaN(numbers[row]!) ? undefined : numbers[row]!))
  }
  const { codes, labels } = source.category(field.name as CategoryFieldName)
  return listOfRows(rows, (row) => labels[codes[row]!])
}

/** Names a level: a text itself, a number by which half of those followed it belongs to; '' where unknown. */
function levelsOf(followed: readonly Trait[]): (one: Trait) => string {
  const numbers = followed.filter((one) => typeof one === 'number').sort((one, two) => one - two)
  const middle = numbers[numbers.length >> 1]
  return (one) => {
    if (one === undefined || one === 'unknown') return ''
    return typeof one === 'string' ? one : one >= middle! ? 'upper half' : 'lower half'
  }
}

function tally(
  { events, days }: Followed,
  levelOf: (i: number) => string,
): ReadonlyMap<string, { readonly events: number; readonly days: number }> {
  const sums = new Map<string, { events: number; days: number }>()
  for (let i = 0; i < events.length; i++) {
    const name = levelOf(i)
    const one = sums.get(name) ?? { events: 0, days: 0 }
    one.events += events[i]!
    one.days += days[i]!
    sums.set(name, one)
  }
  return sums
}
