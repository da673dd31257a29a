import type { Field } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import type { TextColumn } from '../read/textTable.js'
import { hasShapeOfSurname, isDate, type ValueFinding } from './identifierValues.js'
import { isPersonName } from './personNames.js'

const personKeys = new Set(['patient_id', 'restoration_id', 'implant_id', 'operator_id'])

/** What all values of a column together point to, where single values do not. */
export function signsOfColumn(
  column: TextColumn,
  field: Field | undefined,
  counts: Int32Array,
): readonly ValueFinding[] {
  const used = column.values.filter((value, code) => counts[code]! > 0 && !saysUnknown(value))
  if (used.length === 0) return []
  const signs: (ValueFinding | undefined)[] = [
    field === undefined || field.kind === 'key' || field.kind === 'text' ? surnames(used, field) : undefined,
  ]
  if (field?.name === 'patient_id') signs.push(initials(used))
  if (field === undefined || field.kind === 'text') {
    signs.push(datesOfBirth(used), uniqueCodes(column, used, counts))
  }
  return signs.filter((sign) => sign !== undefined)
}

/** Words alone, most of which are common names; for a person's pseudonym the shape of a name is enough. */
function surnames(used: readonly string[], field: Field | undefined): ValueFinding | undefined {
  const kind = 'surnames or given names'
  const names = used.filter((value) => hasShapeOfSurname(value) && isPersonName(value)).length
  if (names >= 2 && names >= 0.5 * used.length) return { kind, verdict: 'definite' }
  if (field !== undefined && personKeys.has(field.name)) {
    const shaped = used.filter(hasShapeOfSurname).length
    if (names > 0 || (shaped >= 1 && shaped >= 0.5 * used.length)) return { kind, verdict: 'definite' }
    return shaped > 0 ? { kind, verdict: 'possible' } : undefined
  }
  return names > 0 ? { kind, verdict: 'possible' } : undefined
}

/** Two or three capital letters for a patient are initials more often than a code. */
function initials(used: readonly string[]): ValueFinding | undefined {
  const short = used.filter((value) => /^\p{Lu}\.?[\s-]?\p{Lu}\.?(?:[\s-]?\p{Lu}\.?)?$/u.test(value)).length
  return short >= 3 && short >= 0.5 * used.length ? { kind: 'initials', verdict: 'possible' } : undefined
}

/** Dates outside the date columns of the schema; dates mostly before 1995 are those of births. */
function datesOfBirth(used: readonly string[]): ValueFinding | undefined {
  const dates = used.filter((value) => isDate.test(value))
  if (dates.length === 0 || dates.length < 0.5 * used.length) return undefined
  const years = dates.map(yearOf).filter((year) => year !== undefined)
  const early = years.filter((year) => year < 1995).length
  if (dates.length >= 3 && early >= 0.7 * dates.length) return { kind: 'dates of birth', verdict: 'definite' }
  return { kind: 'dates in a column that is none of the date columns of the records', verdict: 'possible' }
}

function yearOf(text: string): number | undefined {
  const year = /(?:^|\D)(\d{4})(?:\D|$)/.exec(text)?.[1]
  return year === undefined ? undefined : Number(year)
}

/** Codes of which nearly every row has its own, in a column that is no key: they may be numbers of charts or devices. */
function uniqueCodes(
  column: TextColumn,
  used: readonly string[],
  counts: Int32Array,
): ValueFinding | undefined {
  const rows = column.values.reduce((sum, value, code) => sum + (saysUnknown(value) ? 0 : counts[code]!), 0)
  if (rows < 20 || used.length < 0.9 * rows) return undefined
  const codes = used.filter((value) => /^[\p{L}\d][\p{L}\d/_-]{3,}$/u.test(value) && /\d/.test(value))
  if (codes.length < 0.8 * used.length) return undefined
  return { kind: 'a code that is different on nearly every row', verdict: 'possible' }
}
