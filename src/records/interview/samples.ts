import { fieldOf } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import { identifierOfHeader } from '../identities/identifierHeaders.js'
import { hasShapeOfName, hasShapeOfSurname, identifierOfValue } from '../identities/identifierValues.js'
import { countsOf, type TextColumn } from '../read/textTable.js'
import { dayOfText } from '../understand/dates.js'
import type { Choice } from './questions.js'
import type { Entry } from './talk.js'

/** Up to five values of a column, none that could say who a person is. */
export function samplesOf(column: TextColumn): readonly string[] {
  // What is nearly unique and neither date nor number may be a code of a person under any header.
  const filled = countsOf(column).reduce((sum, count, code) => sum + (code === 0 ? 0 : count), 0)
  const plain = shareOf(column, (value) => isDateLike(value) || /^[\d.,]{1,6}(?:\s?\D{1,5})?$/.test(value))
  if (filled > 5 && column.values.length - 1 > 0.4 * filled && plain < 0.8) return []
  const safe = column.values.filter(
    (value) =>
      !saysUnknown(value) &&
      value.length <= 30 &&
      value.split(' ').length <= 4 &&
      identifierOfValue(value) === undefined &&
      !hasShapeOfName(value) &&
      !hasShapeOfSurname(value) &&
      !/\d{5,}/.test(value),
  )
  return safe.length === 0 ? [] : [`such as ${safe.slice(0, 5).join(' | ')}`]
}

/** A column as a choice, with values of it where they may be shown. */
export function choiceOf(column: TextColumn, header: string, { field }: Entry): Choice {
  const identifies =
    identifierOfHeader(column.header) !== undefined ||
    (field !== null && ['key', 'text'].includes(fieldOf('one_sheet', field)?.kind ?? ''))
  return { answer: header, means: (identifies ? undefined : samplesOf(column)[0]) ?? 'values are not shown' }
}

/** Share of the filled cells of a column that are something. */
export function shareOf(column: TextColumn, is: (value: string) => boolean): number {
  const counts = countsOf(column)
  let filled = 0
  let fitting = 0
  column.values.forEach((value, code) => {
    if (saysUnknown(value)) return
    filled += counts[code]!
    if (is(value)) fitting += counts[code]!
  })
  return filled === 0 ? 0 : fitting / filled
}

/** Whether a text looks like a day, in any order. */
export function isDateLike(value: string): boolean {
  return /^\d{1,2}[-/. ]\d{1,2}[-/. ]\d{2,4}$/.test(value) || dayOfText(value, 'day-first') !== undefined
}
