import { type Field, fieldOf, type SheetName, sheetFields } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import { type ColumnRoom, columnRoom, missingDay, unknownCode } from '../columns.js'
import type { ProblemList } from '../problems.js'
import { countsOf, type TextColumn, type TextTable } from '../read/textTable.js'
import { addFaults, leaveOut, type ValueFault } from './faults.js'
import type { MatchedColumn } from './matchColumns.js'
import { type CategoryReading, readCodes, readKeys } from './readCodes.js'
import { readDates } from './readDates.js'
import { readNumbers, unitsInCells } from './readNumbers.js'
import { severalPositions } from './severalCrowns.js'
import { type PositionScheme, positionKind, positionNumber, schemeReader } from './toothPosition.js'
import { rowStatus, type TypedTable, typedTable } from './typedTable.js'

/**
 * Turns the matched columns of a sheet, and the constants that the column map gives, into typed ones. Faults go to the
 * problems and mark rows that are set aside.
 *
 * @param countsRows whether the rows are those of a table of its own; otherwise needed values are not asked for
 */
export function readFields(
  text: TextTable,
  sheet: SheetName,
  matched: readonly MatchedColumn[],
  problems: ProblemList,
  constants: Readonly<Record<string, string>> = {},
  countsRows = true,
): TypedTable {
  const table = typedTable(sheet, text.file, text.sourceRow, countsRows ? text.setAsideRows : 0)
  const readings = new Map<string, ColumnReading>()
  const all = [...matched, ...constantColumns(text, sheet, matched, constants)]
  const room = roomFor(all, text.rowCount)
  for (const one of all) readings.set(one.field.name, readField(one, text, table, problems, room))
  for (const field of sheetFields[sheet]) {
    const doubtful = [field.name, field.alternative ?? ''].some((name) => isDoubtful(readings.get(name)))
    if (countsRows && field.valueNeeded && !doubtful) stopAtEmpty(field, all, readings, table, problems)
  }
  return table
}

function roomFor(all: readonly MatchedColumn[], rows: number): ColumnRoom {
  const bytes = all.reduce((sum, { field }) => sum + (isMeasured(field) ? 8 * (rows + 1) : 4 * rows), 0)
  return columnRoom(new ArrayBuffer(bytes))
}

/** Whether a field is read as numbers. */
function isMeasured({ kind }: Field): boolean {
  return !isLabelled(kind) && kind !== 'date'
}

function isLabelled(kind: Field['kind']): boolean {
  return kind === 'key' || kind === 'text' || kind === 'code' || kind === 'position'
}

function constantColumns(
  text: TextTable,
  sheet: SheetName,
  matched: readonly MatchedColumn[],
  constants: Readonly<Record<string, string>>,
): readonly MatchedColumn[] {
  return Object.entries(constants)
    .filter(([name]) => !matched.some((one) => one.field.name === name))
    .map(([name, value]) => {
      const codes = new Int32Array(text.rowCount).fill(1)
      const column = { header: name, position: 0, values: ['', value], codes }
      return { field: fieldOf(sheet, name)!, column, mapped: undefined }
    })
}

/** Whether a fault puts the reading of the whole column in doubt, so that its empty cells say nothing yet. */
function isDoubtful(reading: ColumnReading | undefined): boolean {
  return reading?.faults.some((fault) => fault?.severity === 'stop' && fault.leavesOut === undefined) === true
}

function readField(
  one: MatchedColumn,
  text: TextTable,
  table: TypedTable,
  problems: ProblemList,
  room: ColumnRoom,
): ColumnReading {
  const reading = readIntoTable(one, text, table, room)
  const { column, faults } = reading
  addFaults(text, column, faults, table, problems)
  addMostlyUnreadable(text, column, faults, problems)
  return reading
}

/** A field of which more than a fifth cannot be read says something else than its header, or is read in a wrong way. */
function addMostlyUnreadable(
  text: TextTable,
  column: TextColumn,
  faults: readonly (ValueFault | undefined)[],
  problems: ProblemList,
): void {
  const counts = countsOf(column)
  let filled = 0
  let unreadable = 0
  column.values.forEach((value, code) => {
    if (saysUnknown(value)) return
    filled += counts[code]!
    if (unreadableCodes.has(faults[code]?.code ?? '') && faults[code]!.severity === 'warn')
      unreadable += counts[code]!
  })
  if (unreadable < 3 || unreadable <= unreadableShare * filled) return
  problems.add(
    {
      severity: 'stop',
      leavesOut: 'value',
      code: 'field-mostly-unreadable',
      parameters: { unreadable, filled },
      file: text.file,
      column: column.header,
      problem: `${unreadable} of ${filled} values of the column cannot be read.`,
      expected: 'at most a fifth of the values of a field unreadable.',
      mend: 'say in holdfast map what the column holds, or mend its values in a copy.',
    },
    undefined,
    unreadable,
  )
}

const unreadableShare = 0.2
const unreadableCodes: ReadonlySet<string> = new Set([
  'not-a-date',
  'not-a-number',
  'out-of-range',
  'no-tooth-position',
])

interface ColumnReading {
  /** Column whose codes the faults go by. */
  readonly column: TextColumn
  readonly faults: readonly (ValueFault | undefined)[]
}

function readIntoTable(
  one: MatchedColumn,
  text: TextTable,
  table: TypedTable,
  room: ColumnRoom,
): ColumnReading {
  const { field, column, mapped } = one
  const { name, kind } = field
  if (isLabelled(kind)) {
    const reading = readCategory(one, room)
    table.categories.set(name, { labels: reading.labels, codes: reading.codes })
    return { column, faults: reading.faults }
  }
  if (kind === 'date') {
    const reading = readDates(field, column, mapped, room)
    table.dates.set(name, reading.days)
    return { column, faults: reading.faults }
  }
  const units = text.columns.find((other) => other.header === mapped?.unitColumn)
  const withUnits = units === undefined ? column : besideUnits(column, units)
  const settings = units === undefined ? mapped : { ...mapped, unit: unitsInCells }
  const reading = readNumbers(field, withUnits, settings ?? {}, room)
  if (kind === 'day') table.days.set(name, dayColumn(reading.values))
  else table.numbers.set(name, reading.values)
  return { column: withUnits, faults: reading.faults }
}

function readCategory({ field, column, mapped }: MatchedColumn, room: ColumnRoom): CategoryReading {
  if (field.kind === 'code') return readCodes(field, column, mapped?.values, room)
  return field.kind === 'position' ? readPositions(column, mapped?.scheme, room) : readKeys(column, room)
}

/** The numbers of one column with the units of another written behind them. */
function besideUnits(numbers: TextColumn, units: TextColumn): TextColumn {
  const values = ['']
  const codeOfPair = new Map<number, number>()
  // Pairs may be more than the codes of either column can tell apart.
  const codes = Int32Array.from(numbers.codes, (code, row) => {
    if (numbers.values[code] === '') return 0
    const pair = code * units.values.length + units.codes[row]!
    const known = codeOfPair.get(pair)
    if (known !== undefined) return known
    const made = values.push(`${numbers.values[code]} ${units.values[units.codes[row]!]}`.trim()) - 1
    codeOfPair.set(pair, made)
    return made
  })
  return { header: numbers.header, position: numbers.position, values, codes }
}

function dayColumn(values: Float64Array): Int32Array {
  return Int32Array.from(values, (value) => (Number.isNaN(value) ? missingDay : value))
}

/** Stops at the rows in which a needed value, and what can stand in for it, is missing. */
function stopAtEmpty(
  field: Field,
  matched: readonly MatchedColumn[],
  readings: ReadonlyMap<string, ColumnReading>,
  table: TypedTable,
  problems: ProblemList,
): void {
  const candidates = matched.filter((one) => [field.name, field.alternative].includes(one.field.name))
  if (candidates.length === 0) return
  for (let row = 0; row < table.rowCount; row++) {
    if (table.status[row] === rowStatus.setAside) continue
    if (candidates.some((one) => isKnown(table, one.field.name, row))) continue
    if (candidates.some((one) => hasFault(readings.get(one.field.name), row))) continue
    problems.add(
      {
        ...missingValue,
        file: table.file,
        column: candidates[0]!.column.header,
        expected: field.description,
      },
      table.sourceRow[row]!,
    )
    if (problems.isSetAsideByName(missingValue)) leaveOut(table, row, missingValue.leavesOut)
  }
}

function hasFault(reading: ColumnReading | undefined, row: number): boolean {
  return reading?.faults[reading.column.codes[row]!] !== undefined
}

const missingValue = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'missing-value',
  parameters: { form: 'row' },
  problem: 'the row has no value in a column that every row needs, and cannot be placed.',
  mend: 'fill it in, in a copy.',
} as const

function isKnown(table: TypedTable, field: string, row: number): boolean {
  const category = table.categories.get(field)
  if (category !== undefined) return category.codes[row] !== unknownCode
  const day = (table.dates.get(field) ?? table.days.get(field))?.[row]
  if (day !== undefined) return day !== missingDay
  return !Number.isNaN(table.numbers.get(field)?.[row] ?? Number.NaN)
}

/**
 * Reads tooth positions by ISO 3950. Deciduous positions are refused: the row is set aside. Numbers that another scheme
 * uses and ISO 3950 does not put the whole column in doubt, unless lower positions from 33 on, which a scheme of 1 to 32
 * does not have, show that they are slips.
 */
function readPositions(
  column: TextColumn,
  scheme: PositionScheme | '?' | undefined,
  room: ColumnRoom,
): CategoryReading {
  const counts = countsOf(column)
  const numberOf = scheme === undefined || scheme === '?' ? positionNumber : schemeReader(scheme)
  const numbers = column.values.map((value) => (saysUnknown(value) ? undefined : numberOf(value)))
  const inUse = numbers.filter((number, code) => number !== undefined && counts[code]! > 0) as number[]
  const stated = scheme !== undefined && scheme !== '?'
  const onlyIso = stated || inUse.some((number) => number >= 33 && positionKind(number) === 'permanent')
  const otherScheme =
    !onlyIso && inUse.some((number) => number >= 1 && number <= 32 && positionKind(number) === 'none')
  const labels: string[] = []
  const codeOfPosition = new Map<number, number>()
  const faults: (ValueFault | undefined)[] = []
  const codeOfValue = Int32Array.from(column.values, (value, code) => {
    const number = numbers[code]
    if (number === undefined) {
      if (!saysUnknown(value))
        faults[code] = severalPositions(value) === undefined ? noPosition : severalCrowns
      return unknownCode
    }
    const kind = positionKind(number)
    if (kind === 'deciduous') faults[code] = deciduous
    else if (otherScheme) faults[code] = schemeInDoubt
    else if (kind === 'none') faults[code] = noPosition
    if (kind !== 'permanent') return unknownCode
    const known = codeOfPosition.get(number) ?? labels.push(String(number)) - 1
    codeOfPosition.set(number, known)
    return known
  })
  return { labels, codes: room.codes(codeOfValue, column.codes), faults }
}

const permanentPositions = '11 to 18, 21 to 28, 31 to 38 or 41 to 48 (ISO 3950)'

const deciduous: ValueFault = {
  severity: 'set-aside',
  code: 'deciduous-position',
  problem: 'the tooth position is that of a deciduous tooth (51 to 85), where no implant restoration stands.',
  expected: `${permanentPositions}.`,
  mend: 'correct the position in a copy.',
}

const severalCrowns: ValueFault = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'several-crowns',
  problem:
    'a row names several tooth positions: whether it stands for several crowns or for one prosthesis is not known.',
  expected: 'one crown or prosthesis on one row, or your word on rows with several.',
  mend: 'answer the question on several crowns in holdfast map, or give each a row of its own, in a copy.',
}

const noPosition: ValueFault = {
  severity: 'warn',
  code: 'no-tooth-position',
  problem: 'a value is no tooth position and counts as unknown.',
  expected: `${permanentPositions}.`,
  mend: 'correct it in a copy, or leave the cell empty where it is not known.',
}

const schemeInDoubt: ValueFault = {
  severity: 'stop',
  code: 'position-scheme-in-doubt',
  problem:
    'the column holds numbers that ISO 3950 does not have and a scheme of 1 to 32 does; the two collide from 11 to 32.',
  expected: `${permanentPositions}.`,
  mend: 'say in the column map which scheme the column follows ("scheme"); it is never guessed.',
}
