import { daysPerYear } from '../../core/calendar.js'
import type { Protocol } from '../protocol/protocol.js'
import { groupNames } from './siteRows.js'

/** Columns of a table of rows at risk. */
export const rowColumns = Object.freeze({
  clinic: 'clinic_id',
  restoration: 'restoration_id',
  patient: 'patient_id',
  delivery: 'delivery_date',
  time: 'time_days',
  entry: 'entry_days',
  status: 'status',
  group: 'exposure',
})

/** Columns that a table of rows at risk must have; clinics and late entries may be absent. */
export function neededColumns({ release }: Protocol): readonly string[] {
  const { restoration, patient, time, status, group, delivery } = rowColumns
  return [restoration, patient, time, status, group, ...(release.from === null ? [] : [delivery])]
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
  /** Name of the clinic where there is no column of clinics. */
  readonly name: string
}

/** Status as a number: 0 censored, 1 endpoint, 2 competing event. */
export function statusCode(column: string): string {
  return `CASE CAST(${column} AS VARCHAR(20)) WHEN '0' THEN 0 WHEN '1' THEN 1 WHEN '2' THEN 2 WHEN 'censored' THEN 0 WHEN 'endpoint' THEN 1 WHEN 'competing' THEN 2 END`
}

/**
 * The rows that a protocol asks for, in plain SQL: in one of the two groups, with days that the release covers, followed
 * to the last day of the grid.
 */
export function rowsQuery(protocol: Protocol, source: RowsSource): string {
  const last = protocol.gridDays[protocol.gridDays.length - 1]!
  const [against, group] = groupNames(protocol)
  const name = (key: keyof typeof rowColumns): string => identifier(rowColumns[key])
  const has = (key: keyof typeof rowColumns): boolean => source.columns.includes(rowColumns[key])
  const time = `CAST(${name('time')} AS DOUBLE PRECISION)`
  const recorded = has('entry') ? `COALESCE(CAST(${name('entry')} AS DOUBLE PRECISION), 0)` : '0'
  const { from } = protocol.release
  const begin = from === null ? '-1' : `(DATE ${literal(from)} - CAST(${name('delivery')} AS DATE))`
  const own = `CASE WHEN ${recorded} > 0 THEN ${recorded} ELSE -1 END`
  const entry = from === null ? own : `CASE WHEN ${begin} > ${own} THEN ${begin} ELSE ${own} END`
  const inner = [
    `SELECT ${has('clinic') ? `CAST(${name('clinic')} AS VARCHAR(200))` : literal(source.name)} AS clinic,`,
    `       ${name('patient')} AS patient,`,
    `       CASE ${name('group')} WHEN ${literal(against)} THEN 0 WHEN ${literal(group)} THEN 1 END AS side,`,
    `       CASE WHEN ${time} > ${last} THEN 0 ELSE ${statusCode(name('status'))} END AS status,`,
    `       CASE WHEN ${time} > ${last} THEN ${last} ELSE ${time} END AS exit_day,`,
    `       ${entry} AS entry_day`,
    `FROM ${source.relation}`,
    `WHERE ${name('group')} IN (${literal(against)}, ${literal(group)})`,
  ].join('\n')
  return `SELECT clinic, patient, side, status, exit_day, entry_day FROM (\n${inner}\n) AS followed WHERE exit_day > entry_day AND entry_day < ${last}`
}

/** Columns of the answer of the first query. */
export const countColumns = [
  'part',
  'clinic',
  'side',
  'status',
  'day',
  'entry_day',
  'number',
  'second',
  'third',
] as const

/**
 * The first query: restorations by clinic, group, way of leaving and day, as GROUP BYs in one answer, and what only
 * patients can tell besides. Small counts are in it: it stays where the rows are.
 */
export function countsQuery(rows: string): string {
  const none = 'CAST(NULL AS DOUBLE PRECISION)'
  const part = (
    name: string,
    columns: Partial<Record<(typeof countColumns)[number], string>>,
    from: string,
    by = '',
  ): string => {
    const cells = countColumns.map((column) => {
      if (column === 'part') return `${literal(name)} AS part`
      return `${columns[column] ?? (column === 'clinic' ? literal('') : none)} AS ${column}`
    })
    return `SELECT ${cells.join(', ')} FROM ${from}${by === '' ? '' : ` GROUP BY ${by}`}`
  }
  const years = `(exit_day - CASE WHEN entry_day > 0 THEN entry_day ELSE 0 END) / ${daysPerYear}`
  const squares = { number: 'SUM(d * d)', second: 'SUM(d * t)', third: 'SUM(t * t)' }
  return [
    `WITH at_risk AS (\n${rows}\n), by_patient AS (`,
    `  SELECT patient, side, SUM(CASE WHEN status = 1 THEN 1.0 ELSE 0.0 END) AS d, SUM(${years}) AS t, MIN(entry_day) AS entered, MAX(exit_day) AS left_on`,
    '  FROM at_risk GROUP BY patient, side',
    '), of_patient AS (SELECT patient, SUM(d) AS d, SUM(t) AS t FROM by_patient GROUP BY patient)',
    part(
      'exit',
      { clinic: 'clinic', side: 'side', status: 'status', day: 'exit_day', number: 'COUNT(*)' },
      'at_risk',
      'clinic, side, status, exit_day',
    ),
    'UNION ALL',
    part(
      'entry',
      { clinic: 'clinic', side: 'side', day: 'entry_day', number: 'COUNT(*)' },
      'at_risk',
      'clinic, side, entry_day',
    ),
    'UNION ALL',
    part(
      'presence',
      {
        side: 'side',
        day: 'left_on',
        entry_day: 'entered',
        status: 'CASE WHEN d > 0 THEN 1 ELSE 0 END',
        number: 'COUNT(*)',
      },
      'by_patient',
      'side, left_on, entered, CASE WHEN d > 0 THEN 1 ELSE 0 END',
    ),
    'UNION ALL',
    part('squares', { side: 'side', ...squares }, 'by_patient', 'side'),
    'UNION ALL',
    part('squares', { side: '2', ...squares }, 'of_patient'),
    'UNION ALL',
    part('patients', { number: 'COUNT(*)', second: 'SUM(CASE WHEN d > 0 THEN 1 ELSE 0 END)' }, 'of_patient'),
  ].join('\n')
}

/** Scores of rows that leave or enter on a day, as `rowScoreTables` gives them. */
export interface ScoreRow {
  readonly clinic: string
  readonly side: number
  /** Way of leaving; −1 for an entry. */
  readonly status: number
  readonly day: number
  readonly scores: readonly number[]
}

/** Column with the number of restorations that found their scores. */
export const scoredColumn = 'restorations'

/** Name of the column of a squared sum. */
export function squareColumn(j: number): string {
  return `square_${j + 1}`
}

const entryStatus = -1

/**
 * What a score is looked up by, as one value: joined by several columns, an engine may sort by the first few and compare
 * every pair of days within them.
 */
function keySql(status: string, day: string): string {
  return `clinic || ' ' || CAST(CAST((${day} * 4 + ${status} + 1) * 2 + side AS BIGINT) AS VARCHAR(20))`
}

/** The same value as a text. */
export function scoreKey({ clinic, side, status, day }: Omit<ScoreRow, 'scores'>): string {
  return `${clinic} ${(day * 4 + status + 1) * 2 + side}`
}

/**
 * The second query: squares of sums of scores over the restorations of a patient, from a table of the scores that go with
 * each clinic, group, way of leaving and day; the only answer is one row of sums.
 *
 * @param rows query or table of the rows at risk
 * @param scores table of scores as SQL names it, or the values themselves
 */
export function squaresQuery(rows: string, scores: string, size: number): string {
  const columns = Array.from({ length: size }, (_one, j) => j)
  const sums = columns.map((j) => `SUM(l.s${j} + COALESCE(e.s${j}, 0)) AS s${j}`).join(', ')
  const squares = columns.map((j) => `SUM(s${j} * s${j}) AS ${squareColumn(j)}`).join(', ')
  const entered = `CASE WHEN entry_day >= 0 THEN ${keySql(String(entryStatus), 'entry_day')} END`
  return [
    `WITH at_risk AS (\n${rows}\n), scores AS (${scores}),`,
    `keyed AS (SELECT patient, ${keySql('status', 'exit_day')} AS left_as, ${entered} AS entered_as FROM at_risk),`,
    `by_patient AS (SELECT r.patient, COUNT(*) AS restorations, ${sums} FROM keyed r`,
    '  JOIN scores l ON l.score_of = r.left_as',
    '  LEFT JOIN scores e ON e.score_of = r.entered_as',
    '  GROUP BY r.patient)',
    `SELECT SUM(restorations) AS ${scoredColumn}, ${squares} FROM by_patient`,
  ].join('\n')
}

/** A table of scores as values in SQL. */
export function scoreValues(scores: readonly ScoreRow[], size: number): string {
  const names = Array.from({ length: size }, (_one, j) => `s${j}`)
  const rows = scores.map(
    ({ scores: own, ...of }) => `(${literal(scoreKey(of))}, ${own.map((one) => exponent(one)).join(', ')})`,
  )
  return `SELECT * FROM (VALUES\n${rows.join(',\n')}\n) AS given (score_of, ${names.join(', ')})`
}

/** Written with an exponent, so that every engine reads a double and not a decimal. */
function exponent(value: number): string {
  return value.toExponential(12)
}
