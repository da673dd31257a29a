import { upperFirst } from '../charts/words.js'
import type { Estimate, Interval, Quantity, Warning } from '../core/estimate.js'
import { formatInterval } from '../messages/intervals.js'
import { message } from '../messages/message.js'
import { hasMessage, inWords, reasonOf, stateOf } from '../messages/speaker.js'
import { figure, say } from './estimateWords.js'
import { isMethodName } from './valueKinds.js'
import { type ShownNumber, shown, type ValueCell, type ValueTable } from './valueTable.js'

type Fields = Readonly<Record<string, unknown>>

/** Rows of a table and items of a list that are shown; the rest is counted. */
const shownRows = 30
const shownItems = 8
const longestText = 160

/** Tables shown of one value, and how deep lists inside lists are followed. */
const shownTables = 12
const deepest = 3

/**
 * Any result that has no table of its own: its single values by name, and a table for every list of rows in it, lists
 * inside rows in tables of their own that repeat what the row is called. Undefined for what is no result (results are
 * frozen plain objects and lists of them).
 */
export function plainTables(value: object): readonly ValueTable[] | undefined {
  if (!Object.isFrozen(value)) return undefined
  if (isRows(value)) return tablesOfRows('', value, deepest).slice(0, shownTables)
  if (!isFields(value)) return undefined
  const { single, lists } = parted(value)
  return [
    ...(single.length === 0
      ? []
      : [{ title: '', columns: ['', ''], rows: single.map(([name, field]) => [name, cellOf(field)]) }]),
    ...lists.flatMap(([name, rows]) => tablesOfRows(name, rows, deepest)),
  ].slice(0, shownTables)
}

interface Parts {
  readonly single: readonly (readonly [string, unknown])[]
  readonly lists: readonly (readonly [string, readonly Fields[]])[]
}

/** Values by name in words, those of an object inside under both names, and lists of rows apart. */
function parted(fields: Fields, prefix = ''): Parts {
  const single: (readonly [string, unknown])[] = []
  const lists: (readonly [string, readonly Fields[]])[] = []
  for (const [key, held] of Object.entries(fields)) {
    const field = saidOf(key, held)
    if (field === undefined || typeof field === 'function') continue
    const name = prefix === '' ? nameInWords(key) : `${prefix}: ${nameInWords(key).toLowerCase()}`
    if (isRows(field)) lists.push([name, field])
    else if (isPlainInside(field)) {
      const inside = parted(field, name)
      single.push(...inside.single)
      lists.push(...inside.lists)
    } else single.push([name, field])
  }
  return { single, lists }
}

/** What is shown of a field: the name of a method is a list of terms, shown in words; others as they are. */
function saidOf(name: string, field: unknown): unknown {
  return name === 'method' && isMethodName(field) ? inWords(field) : field
}

function tablesOfRows(title: string, rows: readonly Fields[], depth: number): readonly ValueTable[] {
  const parts = rows.map((row) => parted(row))
  const first = parts.slice(0, shownRows).map(({ single }) => new Map(single))
  const names = [...new Set(first.flatMap((row) => [...row.keys()]))]
  const notes =
    rows.length > shownRows
      ? [say(message('shown.first-of-rows', { shown: shownRows, all: figure(rows.length) }))]
      : []
  const table = {
    title,
    columns: names,
    rows: first.map((row) => names.map((name) => cellOf(row.get(name)))),
    notes,
  }
  if (depth === 0) return [table]
  const inner = new Map<string, Fields[]>()
  for (const { single, lists } of parts) {
    const label = single.find(([, field]) => typeof field === 'string') ?? single[0]
    for (const [name, inside] of lists) {
      const all = inner.get(name) ?? []
      all.push(...inside.map((row): Fields => (label === undefined ? row : { [label[0]]: label[1], ...row })))
      inner.set(name, all)
    }
  }
  return [table, ...[...inner].flatMap(([name, inside]) => tablesOfRows(name, inside, depth - 1))]
}

/** "ratePer100Years" as "rate per 100 years". */
function nameInWords(name: string): string {
  const spaced = name
    .replace(/[_-]+/g, ' ')
    .replace(/([a-z])([A-Z0-9])/g, '$1 $2')
    .replace(/([0-9])([A-Za-z])/g, '$1 $2')
    .toLowerCase()
  return upperFirst(spaced)
}

/** What a cell shows of a value: an estimate with its interval, a state, or words. */
function cellOf(value: unknown): ValueCell {
  if (isEstimate(value)) return estimateCell(value)
  return isState(value) ? { text: stateWords(value) } : words(value)
}

function words(value: unknown): string {
  if (value === undefined || value === null) return '–'
  if (typeof value === 'number') return figure(value)
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  if (typeof value === 'string') return shortened(value)
  if (isEstimate(value)) return shown(estimateCell(value))
  if (isInterval(value)) return formatInterval(value, figure)
  if (isState(value)) return stateWords(value)
  if (ArrayBuffer.isView(value)) return `${figure((value as Float64Array).length)} numbers`
  if (Array.isArray(value)) return listWords(value)
  if (isFields(value)) return fieldsWords(value)
  return shortened(String(value))
}

function estimateCell({ estimate, interval }: Estimate): ShownNumber {
  if (typeof estimate !== 'number') return { text: stateWords(estimate) }
  return { text: figure(estimate), interval: `(${formatInterval(interval, figure)})` }
}

function stateWords(state: Exclude<Quantity, number>): string {
  return state.state === 'not-estimable'
    ? say(message('shown.not-estimable-since', { reason: reasonOf(state) }))
    : say(stateOf(state))
}

function listWords(values: readonly unknown[]): string {
  const named = values.slice(0, shownItems).map(words).join(', ')
  if (values.length === 0) return 'none'
  return values.length > shownItems
    ? say(message('shown.and-more', { named, more: figure(values.length - shownItems) }))
    : named
}

function fieldsWords(fields: Fields): string {
  if (isWarning(fields)) return inWords(fields)
  const parts = Object.entries(fields)
    .filter(([, field]) => field !== undefined && typeof field !== 'function')
    .slice(0, shownItems)
    .map(([name, field]) => `${nameInWords(name).toLowerCase()}: ${words(saidOf(name, field))}`)
  return shortened(parts.join('; '))
}

function shortened(text: string): string {
  return text.length > longestText ? `${text.slice(0, longestText)}…` : text
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && Object.getPrototypeOf(value) === Object.prototype
}

/** A plain object that is not an estimate, an interval, a state or a warning, which are shown in one cell. */
function isPlainInside(value: unknown): value is Fields {
  return isFields(value) && !isEstimate(value) && !isInterval(value) && !isState(value) && !isWarning(value)
}

function isRows(value: unknown): value is readonly Fields[] {
  return Array.isArray(value) && value.length > 0 && value.every((row) => isFields(row) && !isWarning(row))
}

function isWarning(row: Fields): row is Fields & Warning {
  return typeof row.code === 'string' && hasMessage(`warning.${row.code}`)
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
