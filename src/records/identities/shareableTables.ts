import { type DayNumber, isoFromDay } from '../../core/calendar.js'
import { DisclosureError } from '../../core/errors.js'
import { type Field, pseudonymFields } from '../../vocabulary/fields.js'
import { labelAt, missingDay, unknownCode } from '../columns.js'
import type { RecordSet, RecordTable } from '../dataset.js'
import { coarseDay, type DayRule } from '../understand/roundedDays.js'
import { identifierOfValue, isDate } from './identifierValues.js'
import type { PseudonymKey } from './pseudonymKey.js'
import {
  fieldsWithoutDates,
  linkedOrder,
  plainColumn,
  restorationKey,
  rowsOf,
  type TextRows,
  type WrittenColumn,
} from './sharedRows.js'

/** A calendar period of delivery, from a day on, with the label that stands for it in the shareable form. */
export interface DeliveryPeriod {
  readonly from: DayNumber
  readonly label: string
}

/** How dates leave the practice: not at all (days since delivery and the year), or moved by days of the patient's own. */
export type DateRule = 'days' | 'shifted'

/** What is made coarser or left out, beyond what has to be. */
export interface SharingRules {
  readonly dates: DateRule
  /** Days since delivery as they are, or rounded. */
  readonly days: DayRule
  readonly periods: readonly DeliveryPeriod[]
  /** Tooth positions as they are, or jaw and region only. */
  readonly positions: 'exact' | 'region'
  /** Optional fields that are left out. */
  readonly leaveOut: readonly string[]
}

/** What becomes of the fields, for the report. */
export interface FieldFate {
  readonly table: string
  readonly field: string
  readonly fate:
    | 'kept'
    | 'pseudonym'
    | 'days since delivery'
    | 'rounded days'
    | 'year only'
    | 'band'
    | 'period'
    | 'shifted'
    | 'dropped'
}

/** The three tables of the shareable form as text, and what was done to make them. */
export interface ShareableTables {
  readonly tables: readonly TextRows[]
  readonly fates: readonly FieldFate[]
  /** Rows added so that a death on record for one restoration is known for the others of the patient. */
  readonly deathsSpread: number
}

/** Age in bands: below 16, 16 to 29, tens up to 89, and 90 and above. */
export function ageBandOf(years: number): string {
  if (Number.isNaN(years)) return ''
  if (years < 16) return '0-15'
  if (years < 30) return '16-29'
  if (years >= 90) return '90+'
  const from = 10 * Math.floor(years / 10)
  return `${from}-${from + 9}`
}

/**
 * Makes the shareable form of local records: pseudonyms drawn at random, days since delivery with the year alone, ages
 * in bands, lots and free text left out. Rows stand in the order of their pseudonyms, so that the order of the source
 * (often that of the names, or of the dates) is not passed on.
 */
export function shareableTables(
  records: RecordSet<'local'>,
  key: PseudonymKey,
  rules: SharingRules,
): ShareableTables {
  checkLabels(rules.periods)
  const { restorations } = records
  const idOf = restorationKey(records, 'restoration_id')
  const pseudonyms = Array.from({ length: restorations.rowCount }, (_, row) =>
    key.pseudonymOf('restoration_id', idOf(row)!),
  )
  const order = Int32Array.from(pseudonyms.keys()).sort((left, right) =>
    pseudonyms[left]! < pseudonyms[right]! ? -1 : 1,
  )
  const fates: FieldFate[] = []
  const own = restorationColumns(records, key, rules, fates)
  const visits = spreadDeaths(records)
  const visitColumns = linkedColumns(records.visits, key, rules, fates)
  const visitRows = rowsOf('visits', visitColumns, linkedOrder(records.visits, order))
  const added = visits.map(({ restoration, day }) =>
    deathRow(visitRows.header, pseudonyms[restoration]!, coarseDay(day, rules.days)),
  )
  const tightenings = linkedColumns(records.tightenings, key, rules, fates)
  return {
    tables: [
      rowsOf('restorations', own, order),
      rowsOf('tightenings', tightenings, linkedOrder(records.tightenings, order)),
      withRows(visitRows, added),
    ],
    fates,
    deathsSpread: added.length,
  }
}

function checkLabels(periods: readonly DeliveryPeriod[]): void {
  for (const { label } of periods) {
    if (
      identifierOfValue(label) === undefined &&
      label.length <= 40 &&
      !isDate.test(label) &&
      !/\d{1,2}[./-]\d{1,2}/.test(label)
    )
      continue
    throw new DisclosureError({
      code: 'period-label-discloses',
      problem: 'the label of a period holds a date or something that may identify a person.',
      expected: 'labels such as "before change" and "after change".',
      mend: 'give the period another label.',
    })
  }
}

function restorationColumns(
  records: RecordSet<'local'>,
  key: PseudonymKey,
  rules: SharingRules,
  fates: FieldFate[],
): readonly WrittenColumn[] {
  const { restorations } = records
  const columns: WrittenColumn[] = []
  for (const field of fieldsWithoutDates(restorations)) {
    const special = specialColumn(restorations, field, rules)
    if (special === undefined) columns.push(sharedColumn(restorations, field, key, rules, fates))
    else {
      fates.push({ table: 'restorations', field: field.name, fate: special.fate })
      if (special.column !== undefined) columns.push(special.column)
    }
  }
  const delivery = restorations.day('delivery_date')
  if (rules.dates === 'shifted') {
    fates.push({ table: 'restorations', field: 'delivery_date', fate: 'shifted' })
    columns.push(shiftedDelivery(records, key))
  }
  if (rules.periods.length > 0 && restorations.has('delivery_date')) {
    fates.push({ table: 'restorations', field: 'delivery_date', fate: 'period' })
    columns.push({ name: 'delivery_period', textOf: (row) => periodOf(delivery[row]!, rules.periods) })
  }
  return columns
}

/** Fields of a restoration that do not simply go over: the fate, and the column that takes the place, if any. */
function specialColumn(
  table: RecordTable,
  field: Field,
  rules: SharingRules,
): { readonly fate: FieldFate['fate']; readonly column?: WrittenColumn } | undefined {
  if (field.localOnly || isLeftOut(field, rules)) return { fate: 'dropped' }
  if (field.name === 'age_at_delivery_years') {
    const ages = table.number(field.name)
    return { fate: 'band', column: { name: 'age_band', textOf: (row) => ageBandOf(ages[row]!) } }
  }
  if (field.name === 'age_band' && table.has('age_at_delivery_years')) return { fate: 'dropped' }
  if (field.name === 'delivery_year') {
    return rules.dates === 'shifted'
      ? { fate: 'dropped' }
      : { fate: 'year only', column: plainColumn(table, field) }
  }
  if (field.name === 'tooth_position' && rules.positions === 'region') return { fate: 'dropped' }
  const isDerived = field.name === 'arch' || field.name === 'region'
  if (isDerived && rules.positions === 'exact' && table.has('tooth_position')) return { fate: 'dropped' }
  if (field.name === 'delivery_period' && rules.periods.length > 0) return { fate: 'dropped' }
  return undefined
}

function isLeftOut(field: Field, rules: SharingRules): boolean {
  // A rounded onset could leave the interval between two rounded checks in which it has to lie.
  if (field.name === 'onset_day' && rules.days !== 'exact') return true
  return rules.leaveOut.includes(field.name) && !field.required
}

function shiftedDelivery(records: RecordSet, key: PseudonymKey): WrittenColumn {
  const delivery = records.restorations.day('delivery_date')
  const patientOf = restorationKey(records, 'patient_id')
  return {
    name: 'delivery_date',
    textOf: (row) =>
      delivery[row] === missingDay ? '' : isoFromDay(delivery[row]! + key.shiftOf(patientOf(row) ?? '')),
  }
}

function periodOf(day: number, periods: readonly DeliveryPeriod[]): string {
  if (day === missingDay) return ''
  const begun = [...periods]
    .sort((left, right) => left.from - right.from)
    .filter((period) => period.from <= day)
  return begun.at(-1)?.label ?? 'before the first period'
}

function linkedColumns(
  table: RecordTable,
  key: PseudonymKey,
  rules: SharingRules,
  fates: FieldFate[],
): readonly WrittenColumn[] {
  return fieldsWithoutDates(table)
    .filter((field) => {
      const dropped = field.localOnly || isLeftOut(field, rules)
      if (dropped) fates.push({ table: table.name, field: field.name, fate: 'dropped' })
      return !dropped
    })
    .map((field) => sharedColumn(table, field, key, rules, fates))
}

function sharedColumn(
  table: RecordTable,
  field: Field,
  key: PseudonymKey,
  { days }: SharingRules,
  fates: FieldFate[],
): WrittenColumn {
  const note = (fate: FieldFate['fate']): void => {
    fates.push({ table: table.name, field: field.name, fate })
  }
  if (pseudonymFields.has(field.name)) {
    note('pseudonym')
    return pseudonymColumn(table, field.name, key)
  }
  if (field.name === 'screw_position') {
    note('pseudonym')
    return screwColumn(table)
  }
  if (field.kind === 'day' && days !== 'exact') {
    note('rounded days')
    const exact = table.day(field.name)
    const textOf = (row: number): string =>
      exact[row] === missingDay ? '' : String(coarseDay(exact[row]!, days))
    return { name: field.name, textOf }
  }
  note(field.kind === 'day' ? 'days since delivery' : 'kept')
  return plainColumn(table, field)
}

function pseudonymColumn(table: RecordTable, name: string, key: PseudonymKey): WrittenColumn {
  const { labels, codes } = table.category(name)
  return {
    name,
    textOf: (row) => (codes[row] === unknownCode ? '' : key.pseudonymOf(name, labels[codes[row]!]!)),
  }
}

/** Screws by tooth position where that is what the records have; other labels are numbered, since they may be anything. */
function screwColumn(table: RecordTable): WrittenColumn {
  const { labels, codes } = table.category('screw_position')
  const texts = labels.map((label, code) => (/^[1-4][1-8]$/.test(label) ? label : `s${code + 1}`))
  return {
    name: 'screw_position',
    textOf: (row) => (codes[row] === unknownCode ? '' : texts[codes[row]!]!),
  }
}

function deathRow(header: readonly string[], restoration: string, day: number): readonly string[] {
  const cells: Readonly<Record<string, string>> = {
    restoration_id: restoration,
    days_since_delivery: String(day),
    visit_type: 'records_only',
    screw_checked: 'no',
    finding: 'none',
    patient_status: 'deceased',
  }
  return header.map((name) => cells[name] ?? '')
}

function withRows(table: TextRows, added: readonly (readonly string[])[]): TextRows {
  if (added.length === 0) return table
  const id = table.header.indexOf('restoration_id')
  const rows = [...table.rows, ...added]
  // A stable sort keeps the rows of a restoration in their order, the added ones last.
  rows.sort((left, right) => (left[id]! < right[id]! ? -1 : left[id]! > right[id]! ? 1 : 0))
  return { ...table, rows }
}

/** A death to be written for a restoration whose own rows do not have it. */
export interface SpreadDeath {
  readonly restoration: number
  readonly day: number
}

/**
 * Deaths that are on record for one restoration of a patient and not for the others. With dates the others can be ended
 * on that day; without them nobody could know, so that it is worked out before the dates are dropped. A restoration
 * with something recorded after that day keeps its own rows.
 */
function spreadDeaths(records: RecordSet): readonly SpreadDeath[] {
  const { restorations, visits } = records
  const delivery = restorations.day('delivery_date')
  const patient = restorations.category('patient_id').codes
  const status = visits.category('patient_status')
  const day = visits.day('days_since_delivery')
  const deathDate = new Map<number, number>()
  const ownDeath = new Uint8Array(restorations.rowCount)
  for (let row = 0; row < visits.rowCount; row++) {
    if (labelAt(status, row) !== 'deceased') continue
    const restoration = visits.restoration[row]!
    ownDeath[restoration] = 1
    if (delivery[restoration] === missingDay || day[row] === missingDay) continue
    const date = delivery[restoration]! + day[row]!
    deathDate.set(patient[restoration]!, Math.min(date, deathDate.get(patient[restoration]!) ?? date))
  }
  const spread: SpreadDeath[] = []
  if (deathDate.size === 0) return spread
  for (let restoration = 0; restoration < restorations.rowCount; restoration++) {
    const date = deathDate.get(patient[restoration]!)
    if (date === undefined || ownDeath[restoration] === 1 || delivery[restoration] === missingDay) continue
    const onDay = date - delivery[restoration]!
    const last = visits.firstRow[restoration + 1]! - 1
    const lastDay = last < visits.firstRow[restoration]! ? missingDay : day[last]!
    if (onDay >= 0 && lastDay <= onDay) spread.push({ restoration, day: onDay })
  }
  return spread
}
