import { type Cohort, competingCauseName } from '../cohort/cohort.js'
import { askedNames } from '../cohort/traits.js'
import { daysPerYear, isoFromDay } from '../core/calendar.js'
import { UsageError } from '../core/errors.js'
import type { Quantity } from '../core/estimate.js'
import type { IncidenceResult } from '../questions/incidence/answer.js'
import type { RetentionResult } from '../questions/retention/answer.js'
import { labelAt, missingDay } from '../records/columns.js'
import type { RecordTable } from '../records/dataset.js'
import { sheetFields } from '../vocabulary/fields.js'
import { notAwaited } from './display.js'
import { type FrameLike, isFrame } from './frameTable.js'
import { isCohort, isIncidence, isRetention } from './valueKinds.js'

/** A value of a cell of a frame; null where it is missing. */
export type FrameValue = string | number | boolean | null

/** One row, by the names of its columns. */
export type FrameRow = Readonly<Record<string, FrameValue | undefined>>

/** What a frame can be made of: rows, one table of the records, or a result with groups. */
export type FrameSource = readonly FrameRow[] | RecordTable | Cohort | IncidenceResult | RetentionResult

type Columns = ReadonlyMap<string, readonly FrameValue[]>

/**
 * Makes a danfojs frame of rows, of a table of the records, or of a result (one row for each group and horizon). Numbers
 * stay in double precision; missing numbers, and columns without any value, are NaN in the frame, other missing values null. danfojs is loaded at the
 * first call, which takes about two seconds.
 *
 * @param source rows as plain objects (a column that a row lacks is missing there), `records.restorations` and its
 *   like (the delivery as an ISO date, other dates as days since it), or the result of `incidence` or `retention`; no
 *   rows give a frame without rows
 * @returns the frame; name its type, as in `toFrame<DataFrame>(rows)`, to have the operations of danfojs typed
 * @throws UsageError `not-a-frame-source`, `frames-not-installed`
 * @example (await toFrame(cohort)).shape // => [960,40]
 */
export async function toFrame<Frame = FrameLike>(source: FrameSource): Promise<Frame> {
  const columns = columnsOf(source)
  const { DataFrame } = await danfo()
  const names = [...columns.keys()]
  if (names.every((name) => columns.get(name)!.length === 0)) {
    return new DataFrame([], { columns: names }) as unknown as Frame
  }
  const kinds = names.map((name) => kindOf(columns.get(name)!))
  const data = Object.fromEntries(
    names.map((name, i) => [name, columns.get(name)!.map((value) => inFrame(value, kinds[i]!))]),
  )
  return new DataFrame(data, { columns: names, dtypes: kinds }) as unknown as Frame
}

/**
 * The rows of a danfojs frame as plain objects; NaN, undefined and null become null, everything else stays as it is.
 *
 * @param frame a frame
 * @throws UsageError `not-a-frame`
 * @example fromFrame(await toFrame(cohort)).length // => 960
 */
export function fromFrame(frame: FrameLike | object): readonly FrameRow[] {
  if (!isFrame(frame)) {
    throw new UsageError({
      code: 'not-a-frame',
      problem: 'this is no data frame.',
      expected: 'a DataFrame of danfojs-node.',
      mend: 'pass what toFrame returned, or a frame of your own.',
    })
  }
  const names = frame.columns.map(String)
  return Object.freeze(
    frame.values.map((row) => {
      const cells = Array.isArray(row) ? (row as readonly unknown[]) : [row]
      return Object.freeze(Object.fromEntries(names.map((name, i) => [name, outOfFrame(cells[i])])))
    }),
  )
}

/** danfojs, which is there in a clone; a project that installs the package decides for itself whether to have it. */
async function danfo(): Promise<{ readonly DataFrame: new (data: unknown, options: unknown) => unknown }> {
  try {
    return (await import('danfojs-node')) as never
  } catch (cause) {
    if ((cause as { code?: string }).code !== 'ERR_MODULE_NOT_FOUND') throw cause
    throw new UsageError({
      code: 'frames-not-installed',
      problem: 'data frames are not installed here.',
      expected: 'danfojs-node, which this project does not have.',
      mend: 'see "From another project" in the README for the lines of package.json that bring it; everything but toFrame works without it.',
    })
  }
}

function columnsOf(source: FrameSource): Columns {
  if (Array.isArray(source)) return columnsOfRows(source as readonly FrameRow[])
  if (typeof source === 'object' && source !== null) {
    if (source instanceof Promise) throw notAwaited()
    if ('rowCount' in source && 'category' in source) return columnsOfTable(source)
    if (isCohort(source)) return columnsOfCohort(source)
    if (isIncidence(source)) return columnsOfRows(incidenceRows(source))
    if (isRetention(source)) return columnsOfRows(retentionRows(source))
  }
  throw notASource()
}

function columnsOfRows(rows: readonly FrameRow[]): Columns {
  const columns = new Map<string, FrameValue[]>()
  rows.forEach((row, position) => {
    if (typeof row !== 'object' || row === null) throw notASource()
    for (const [name, value] of Object.entries(row)) {
      let column = columns.get(name)
      if (column === undefined) {
        column = new Array<FrameValue>(rows.length).fill(null)
        columns.set(name, column)
      }
      column[position] = value ?? null
    }
  })
  return columns
}

/** Every field that the source had; a date that stands for days since delivery is given as those days. */
function columnsOfTable(table: RecordTable): Columns {
  const rows = Array.from({ length: table.rowCount }, (_, row) => row)
  const columns = new Map<string, readonly FrameValue[]>()
  for (const { name, kind, twin } of sheetFields[table.name]) {
    if (!table.has(name) || (kind === 'date' && twin !== undefined)) continue
    if (kind === 'date' || kind === 'day') {
      const days = table.day(name)
      const shown = (day: number): FrameValue => (name === 'delivery_date' ? isoFromDay(day) : day)
      columns.set(
        name,
        rows.map((row) => (days[row] === missingDay ? null : shown(days[row]!))),
      )
    } else if (kind === 'whole' || kind === 'number') {
      const numbers = table.number(name)
      columns.set(
        name,
        rows.map((row) => (Number.isNaN(numbers[row]) ? null : numbers[row]!)),
      )
    } else {
      const category = table.category(name)
      columns.set(
        name,
        rows.map((row) => labelAt(category, row) ?? null),
      )
    }
  }
  return columns
}

/**
 * A row for each restoration of a cohort: `row`, by which the cohort finds it again, all that it can be asked by and the
 * records have, and what became of it.
 */
function columnsOfCohort(cohort: Cohort): Columns {
  const rows = Array.from(cohort.recordRow)
  const columns = new Map<string, readonly FrameValue[]>([['row', rows]])
  for (const name of [...askedNames, ...(cohort.ownColumns as readonly never[])]) {
    const values = traitOrNone(cohort, name)
    if (values !== undefined) columns.set(name, values)
  }
  columns.set(
    'years_followed',
    Array.from(cohort.timeDays, (days, i) => (days - cohort.entryDays[i]!) / daysPerYear),
  )
  columns.set(
    'ended_by',
    Array.from(cohort.status, (status, i) =>
      status === 1
        ? cohort.definition.endpoint
        : status === 2
          ? competingCauseName(cohort.competingCause[i]!)
          : 'nothing',
    ),
  )
  columns.set(
    'event',
    Array.from(cohort.status, (status) => (status === 1 ? 1 : 0)),
  )
  return columns
}

/** Values under a name; undefined where these records lack the field. */
function traitOrNone(cohort: Cohort, name: (typeof askedNames)[number]): readonly FrameValue[] | undefined {
  try {
    return cohort.trait(name).map((value) => value ?? null)
  } catch (thrown) {
    if (thrown instanceof UsageError && thrown.code === 'field-not-recorded') return undefined
    throw thrown
  }
}

function incidenceRows(result: IncidenceResult): readonly FrameRow[] {
  return [result.overall, ...result.byGroup].flatMap((group) =>
    group.horizons.map(({ years, risk, atRisk, thin }) => ({
      group: group.group,
      restorations: group.restorations,
      patients: group.patients,
      events: group.events,
      ratePer100Years: known(group.ratePer100Years.estimate),
      years,
      risk: known(risk.estimate),
      lower: known(risk.interval.lower),
      upper: known(risk.interval.upper),
      atRisk,
      thin,
    })),
  )
}

function retentionRows(result: RetentionResult): readonly FrameRow[] {
  return [result.overall, ...result.byGroup].flatMap((group) =>
    group.rows.map((row) => ({
      group: group.group,
      ...row,
      lower: known(row.lower),
      upper: known(row.upper),
    })),
  )
}

function known(quantity: Quantity): number | null {
  return typeof quantity === 'number' ? quantity : null
}

/**
 * danfojs knows four types; whole numbers with gaps, or beyond 32 bits, go as its floating one. So does a column without
 * any value: NaN satisfies no comparison, whereas null counts as below 30.
 */
function kindOf(values: readonly FrameValue[]): string {
  const present = values.filter((value) => value !== null)
  if (present.length > 0 && present.every((value) => typeof value === 'boolean')) return 'boolean'
  if (!present.every((value) => typeof value === 'number')) return 'string'
  const whole = present.length === values.length && present.every((value) => (value | 0) === value)
  return whole ? 'int32' : 'float32'
}

function inFrame(value: FrameValue, kind: string): FrameValue {
  return value === null && kind === 'float32' ? Number.NaN : value
}

function outOfFrame(value: unknown): FrameValue {
  if (value === undefined || value === null || (typeof value === 'number' && Number.isNaN(value))) return null
  return typeof value === 'number' || typeof value === 'boolean' ? value : String(value)
}

function notASource(): UsageError {
  return new UsageError({
    code: 'not-a-frame-source',
    problem: 'no frame can be made of this.',
    expected:
      'an array of plain objects, a table of the records, a cohort, or the result of incidence or retention.',
    mend: 'pass such a value, for example records.restorations.',
  })
}
