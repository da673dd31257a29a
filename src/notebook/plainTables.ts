import type { Estimate, Interval, Quantity } from '../core/estimate.js'
import { formatInterval, formatQuantity } from '../core/format.js'
import { figure } from './estimateWords.js'
import type { ValueTable } from './valueTable.js'

type Fields = Readonly<Record<string, unknown>>

/** Rows of a table and items of a list that are shown; the rest is counted. */
const shownRows = 30
const shownItems = 8
const longestText = 160

/**
 * Any result that has no table of its own: its single values by name, and a table for every list of rows in it. Undefined
 * for what is no result (results are frozen plain objects and lists of them).
 */
export function plainTables(value: object): readonly ValueTable[] | undefined {
  if (!Object.isFrozen(value)) return undefined
  if (isRows(value)) return [rowsTable('', value)]
  if (!isFields(value)) return undefined
  const entries = Object.entries(value).filter(
    ([, field]) => field !== undefined && typeof field !== 'function',
  )
  const lists = entries.filter((entry): entry is [string, readonly Fields[]] => isRows(entry[1]))
  const single = entries.filter(([, field]) => !isRows(field))
  return [
    ...(single.length === 0
      ? []
      : [
          {
            title: '',
            columns: ['', ''],
            rows: single.map(([name, field]) => [nameInWords(name), words(field)]),
          },
        ]),
    ...lists.map(([name, rows]) => rowsTable(nameInWords(name), rows)),
  ]
}

function rowsTable(title: string, rows: readonly Fields[]): ValueTable {
  const names = [...new Set(rows.slice(0, shownRows).flatMap((row) => Object.keys(row)))]
  const more =
    rows.length > shownRows ? [`The first ${shownRows} of ${figure(rows.length)} rows are shown.`] : []
  return {
    title,
    columns: names.map(nameInWords),
    rows: rows.slice(0, shownRows).map((row) => names.map((name) => words(row[name]))),
    notes: more,
  }
}

/** "ratePer100Years" as "rate per 100 years". */
export function nameInWords(name: string): string {
  const spaced = name
    .replace(/[_-]+/g, ' ')
    .replace(/([a-z])([A-Z0-9])/g, '$1 $2')
    .replace(/([0-9])([A-Za-z])/g, '$1 $2')
    .toLowerCase()
  return spaced.charAt(0).toUpperCase() + spaced.slice(1)
}

function words(value: unknown): string {
  if (value === undefined || value === null) return '–'
  if (typeof value === 'number') return figure(value)
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  if (typeof value === 'string') return shortened(value)
  if (isEstimate(value)) return estimateWords(value)
  if (isInterval(value)) return formatInterval(value, figure)
  if (isState(value)) return formatQuantity(value, figure)
  if (ArrayBuffer.isView(value)) return `${figure((value as Float64Array).length)} numbers`
  if (Array.isArray(value)) return listWords(value)
  if (isFields(value)) return fieldsWords(value)
  return shortened(String(value))
}

function estimateWords({ estimate, interval }: Estimate): string {
  const limits = typeof estimate === 'number' ? ` (${formatInterval(interval, figure)})` : ''
  return `${formatQuantity(estimate, figure)}${limits}`
}

function listWords(values: readonly unknown[]): string {
  const shown = values.slice(0, shownItems).map(words).join(', ')
  if (values.length === 0) return 'none'
  return values.length > shownItems ? `${shown} and ${figure(values.length - shownItems)} more` : shown
}

function fieldsWords(fields: Fields): string {
  if (typeof fields.text === 'string') return shortened(fields.text)
  const parts = Object.entries(fields)
    .filter(([, field]) => field !== undefined && typeof field !== 'function')
    .slice(0, shownItems)
    .map(([name, field]) => `${nameInWords(name).toLowerCase()}: ${words(field)}`)
  return shortened(parts.join('; '))
}

function shortened(text: string): string {
  return text.length > longestText ? `${text.slice(0, longestText)}…` : text
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && Object.getPrototypeOf(value) === Object.prototype
}

function isRows(value: unknown): value is readonly Fields[] {
  return Array.isArray(value) && value.length > 0 && value.every((row) => isFields(row) && !isWarning(row))
}

function isWarning(row: Fields): boolean {
  return typeof row.text === 'string' && typeof row.code === 'string'
}

function isEstimate(value: unknown): value is Estimate {
  return isFields(value) && 'estimate' in value && 'interval' in value
}

function isInterval(value: unknown): value is Interval {
  return isFields(value) && 'lower' in value && 'upper' in value && Object.keys(value).length === 2
}

function isState(value: unknown): value is Exclude<Quantity, number> {
  return isFields(value) && ['not-reached', 'not-estimable', 'unbounded'].includes(String(value.state))
}
