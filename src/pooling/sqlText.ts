import { countKinds, type Grouping } from './fineCounts.js'
import type { AgreedField, Protocol } from './protocol.js'
import { groupNames, stratumLevels } from './siteRows.js'

/** Columns of a table of rows at risk, besides those named by the fields of the protocol. */
export const rowColumns = Object.freeze({
  clinic: 'clinic_id',
  restoration: 'restoration_id',
  patient: 'patient_id',
  time: 'time_days',
  entry: 'entry_days',
  status: 'status',
  group: 'exposure',
})

/** Columns that a table of rows at risk must have for a protocol; `clinic_id` and `entry_days` may be absent. */
export function neededColumns(protocol: Protocol): readonly string[] {
  const { restoration, patient, time, status, group } = rowColumns
  const fields = [...(protocol.strata === null ? [] : [protocol.strata]), ...protocol.balance]
  return [restoration, patient, time, status, group, ...new Set(fields.map(({ field }) => field))]
}

/** A name as SQL writes it. */
export function identifier(name: string): string {
  return `"${name.replaceAll('"', '""')}"`
}

/** A text as SQL writes it. */
export function literal(text: string): string {
  return `'${text.replaceAll("'", "''")}'`
}

/** Where rows at risk come from, and what they hold. */
export interface RowsSource {
  /** Table, view or file as SQL names it. */
  readonly relation: string
  readonly columns: readonly string[]
  /** Name of the site where there is no column of clinics. */
  readonly name: string
}

/**
 * The rows that a protocol asks for, with the intervals in which they leave and enter, in plain SQL: follow-up ends on
 * the last day of the grid, rows of other groups and later entries are left out, as `siteRows` does it.
 */
export function rowsQuery(protocol: Protocol, source: RowsSource): string {
  const last = protocol.gridDays[protocol.gridDays.length - 1]!
  const [against, group] = groupNames(protocol)
  const name = (key: keyof typeof rowColumns): string => identifier(rowColumns[key])
  const has = (key: keyof typeof rowColumns): boolean => source.columns.includes(rowColumns[key])
  const time = `CAST(${name('time')} AS DOUBLE PRECISION)`
  const entry = has('entry') ? `COALESCE(CAST(${name('entry')} AS DOUBLE PRECISION), 0)` : '0'
  const exit = `CASE WHEN ${time} > ${last} THEN ${last} ELSE ${time} END`
  const side = `CASE ${name('group')} WHEN ${literal(against)} THEN 0 WHEN ${literal(group)} THEN 1 END`
  const lines = [
    `${has('clinic') ? name('clinic') : literal(source.name)} AS clinic`,
    `${name('patient')} AS patient`,
    `${exit} AS exit_day`,
    `${entry} AS entry_day`,
    `CASE WHEN ${time} > ${last} THEN 0 ELSE ${statusCode(name('status'))} END AS status`,
    `${side} AS side`,
    `${protocol.strata === null ? '0' : levelCode(protocol.strata)} AS stratum`,
    ...protocol.balance.map((field, f) => `${levelCode(field)} AS balance_${f}`),
    `${exitCase(exit, protocol.gridDays)} AS exit_interval`,
    `${entryCase(entry, protocol.gridDays)} AS entry_interval`,
  ]
  return [
    `SELECT ${lines.join(',\n       ')}`,
    `FROM ${source.relation}`,
    `WHERE ${name('group')} IN (${literal(against)}, ${literal(group)}) AND ${entry} < ${last}`,
  ].join('\n')
}

/** Status as a number: 0 censored, 1 endpoint, 2 competing event. */
export function statusCode(column: string): string {
  return `CASE CAST(${column} AS VARCHAR(20)) WHEN '0' THEN 0 WHEN '1' THEN 1 WHEN '2' THEN 2 WHEN 'censored' THEN 0 WHEN 'endpoint' THEN 1 WHEN 'competing' THEN 2 END`
}

function levelCode({ field, levels }: AgreedField): string {
  const cases = levels.map((level, code) => `WHEN ${literal(level)} THEN ${code}`)
  return `CASE CAST(${identifier(field)} AS VARCHAR(200)) ${cases.join(' ')} ELSE ${levels.length} END`
}

/** First interval that ends on or after a day, by halving, so that few comparisons are made for a row. */
export function exitCase(day: string, ends: readonly number[]): string {
  const within = (low: number, high: number): string => {
    if (low === high) return String(low)
    const middle = (low + high) >>> 1
    return `CASE WHEN ${day} <= ${ends[middle]} THEN ${within(low, middle)} ELSE ${within(middle + 1, high)} END`
  }
  return within(0, ends.length - 1)
}

/** How many intervals have ended by a day; 0 from delivery. */
function entryCase(day: string, ends: readonly number[]): string {
  if (day === '0') return '0'
  const within = (low: number, high: number): string => {
    if (low === high) return String(low)
    const middle = (low + high) >>> 1
    return `CASE WHEN ${day} < ${ends[middle]} THEN ${within(low, middle)} ELSE ${within(middle + 1, high)} END`
  }
  return `CASE WHEN ${day} <= 0 THEN 0 ELSE ${within(0, ends.length)} END`
}

/** Block of strata of a row. */
export function blockCase({ blockOf, blocks }: Grouping): string {
  if (blocks === 1) return '0'
  return `CASE stratum ${blockOf.map((block, stratum) => `WHEN ${stratum} THEN ${block}`).join(' ')} END`
}

/** Group of a row, and how it leaves, put together as the plan has it. */
export function sideOf({ mergeGroups }: Grouping): string {
  return mergeGroups ? '0' : 'side'
}

/** How a row leaves. */
export function kindOfExit({ foldCompeting }: Grouping): string {
  return foldCompeting ? 'CASE WHEN status = 2 THEN 0 ELSE status END' : 'status'
}

/**
 * The risk-set table on the finest grid as one GROUP BY: for each block, group, way of leaving (3 for late entries) and
 * interval the restorations, their days, and the patients who have that way of leaving there first.
 */
export function fineQuery(grouping: Grouping, rows: string, where: string): string {
  const place = `${blockCase(grouping)} AS block, ${sideOf(grouping)} AS side`
  const exits = `SELECT ${place}, ${kindOfExit(grouping)} AS kind, exit_interval AS interval_no, exit_day AS day, patient FROM ${rows} WHERE ${where}`
  const entries = `SELECT ${place}, ${countKinds.entered} AS kind, entry_interval AS interval_no, entry_day AS day, patient FROM ${rows} WHERE ${where} AND entry_day > 0`
  const by = 'block, side, kind, interval_no'
  return [
    'WITH moves AS (',
    `  ${exits}`,
    '  UNION ALL',
    `  ${entries}`,
    '), first_moves AS (',
    '  SELECT block, side, kind, patient, MIN(interval_no) AS interval_no FROM moves',
    `  WHERE kind < ${countKinds.entered} OR interval_no > 0 GROUP BY block, side, kind, patient`,
    '), counts AS (',
    `  SELECT ${by}, COUNT(*) AS restorations, SUM(day) AS days, 0 AS patients FROM moves GROUP BY ${by}`,
    '  UNION ALL',
    `  SELECT ${by}, 0 AS restorations, 0 AS days, COUNT(*) AS patients FROM first_moves GROUP BY ${by}`,
    ')',
    `SELECT ${by}, SUM(restorations) AS restorations, SUM(days) AS days, SUM(patients) AS patients`,
    `FROM counts GROUP BY ${by} ORDER BY ${by}`,
  ].join('\n')
}

/** Everything that a site counts, as plain SQL for an engine that holds the rows. */
export function portableSql(protocol: Protocol, source: RowsSource): string {
  const levels = stratumLevels(protocol).length
  const finest = {
    blockOf: Array.from({ length: levels }, (_one, level) => level),
    blocks: levels,
    foldCompeting: false,
    mergeGroups: false,
  }
  const fine = fineQuery(finest, 'at_risk', '1 = 1')
  return [
    '-- Risk-set table on the finest grid of the protocol. Small counts are in it: it stays where the rows are.',
    'WITH at_risk AS (',
    rowsQuery(protocol, source),
    '),',
    `${fine.replace(/^WITH /, '')};`,
  ].join('\n')
}
