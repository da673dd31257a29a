import { type Field, fieldOf, type SheetName } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import { hasShapeOfName, identifierOfValue } from '../identities/identifierValues.js'
import { countsOf, type TextColumn, type TextTable } from '../read/textTable.js'
import { type MappedColumn, type MappedSheet, undecided } from './columnMap.js'
import { dateNeedingMap, dateOrderOf, dateOrderOfHeader, dayOfText } from './dates.js'
import { type HeaderReading, readHeader } from './headerSynonyms.js'
import { headerWords } from './headerWords.js'
import { decimalMarkOf, numberOfText, unitOf, withUnit } from './numbers.js'
import { codeWord } from './readCodes.js'
import { unitsInCells } from './readNumbers.js'
import { severalPositions } from './severalCrowns.js'
import { type PositionScheme, positionKind, schemeReader } from './toothPosition.js'
import { unitFactor } from './unitFactors.js'
import { visitOfHeader } from './visitHeaders.js'
import { codeWords, doubtfulYesNo } from './words/codeWords.js'

/** A proposal for one column: what goes into the map, with its evidence. */
type Proposal = Omit<MappedColumn, 'header'> & { readonly evidence: readonly string[] }

/** The sheet of which the headers name most fields; the one-sheet form where none names more. */
export function likeliestSheet(text: TextTable): SheetName {
  const order: readonly SheetName[] = ['one_sheet', 'restorations', 'tightenings', 'visits']
  const scores = order.map((sheet) => {
    const named = new Set(text.columns.map((column) => readHeader(sheet, column.header)?.field))
    return [...named].filter((field) => field !== undefined).length
  })
  return order[scores.indexOf(Math.max(...scores))]!
}

/**
 * Proposes the columns of a sheet, from its headers and all their values. Nothing in it counts before the user has confirmed it;
 * where headers and values do not decide, it holds a question mark.
 */
export function proposeSheet(sheet: SheetName, text: TextTable): MappedSheet {
  const taken = new Map<string, string>()
  const headers = text.columns.map((column) => column.header)
  const columns = text.columns.map((column) => {
    const repeated = column.header === '' || headers.filter((one) => one === column.header).length > 1
    const proposal = proposeColumn(sheet, text, column, taken)
    return { header: column.header, ...(repeated ? { position: column.position } : {}), ...proposal }
  })
  return { sheet, file: text.file, columns: columns as MappedColumn[] }
}

function proposeColumn(
  sheet: SheetName,
  text: TextTable,
  column: TextColumn,
  taken: Map<string, string>,
): Proposal {
  const visit = sheet === 'one_sheet' ? visitOfHeader(column.header) : undefined
  const reading: HeaderReading | undefined = visit ?? readHeader(sheet, column.header)
  if (reading === undefined) return { field: null, evidence: ['no list of trade words knows the header'] }
  const holder = visit === undefined ? sheet : 'visits'
  const field = fieldOf(holder, reading.field)!
  const key = `${visit?.visit ?? ''} ${field.name}`
  const earlier = taken.get(key)
  if (earlier !== undefined) {
    const evidence = [`the header may mean ${field.name}, which another column (${earlier}) already holds`]
    return { field: undecided, evidence }
  }
  taken.set(key, `column ${column.position}`)
  const evidence = [
    visit === undefined
      ? headerEvidence(reading)
      : `the header names visit ${visit.visit} and its ${field.name}`,
  ]
  const filled = filledRows(column)
  if (filled === 0) evidence.push('the column is empty')
  return {
    field: field.name,
    ...(visit === undefined ? {} : { visit: visit.visit }),
    ...(visit?.checked === undefined || field.name !== 'visit_date' ? {} : { checked: visit.checked }),
    ...(filled === 0 ? {} : settingsOf(field, text, column, reading, evidence)),
    evidence,
  }
}

function headerEvidence(reading: HeaderReading): string {
  if (reading.by === 'field name') return `the header is the name of the field ${reading.field}`
  return `the header is ${reading.by} wording for ${reading.field}`
}

function filledRows(column: TextColumn): number {
  const counts = countsOf(column)
  return column.values.reduce((sum, value, code) => sum + (saysUnknown(value) ? 0 : counts[code]!), 0)
}

/** Settings that the values of a column need, for a field that the user has named. */
export function proposedSettings(
  field: Field,
  text: TextTable,
  column: TextColumn,
  unit: string | undefined,
  evidence: string[],
): Partial<Omit<MappedColumn, 'header'>> {
  if (filledRows(column) === 0) return {}
  const reading: HeaderReading = {
    field: field.name,
    by: 'field name',
    ...(unit === undefined ? {} : { unit }),
  }
  return settingsOf(field, text, column, reading, evidence)
}

/** What else has to be known to read the values of the column; evidence is added as it is found. */
function settingsOf(
  field: Field,
  text: TextTable,
  column: TextColumn,
  reading: HeaderReading,
  evidence: string[],
): Partial<Omit<MappedColumn, 'header'>> {
  if (field.kind === 'date') return proposeDates(column, evidence)
  if (field.kind === 'code') return proposeValues(field, column, evidence)
  if (field.kind === 'position') return proposePositions(column, evidence)
  if (field.kind === 'whole' || field.kind === 'number' || field.kind === 'day') {
    return proposeNumbers(field, text, column, reading, evidence)
  }
  return {}
}

const schemes: readonly PositionScheme[] = ['iso-3950', '1-32', 'quadrant-letters', 'plus-minus']

/**
 * Proposes the scheme of a column of tooth positions: the only one that reads every value. Where both ISO 3950 and 1 to
 * 32 read all of them, only the user can decide.
 */
function proposePositions(column: TextColumn, evidence: string[]): Partial<Pick<MappedColumn, 'scheme'>> {
  const counts = countsOf(column)
  // Cells that name several positions are a question of their own, and say nothing about the scheme.
  const values = column.values.filter(
    (value, code) => counts[code]! > 0 && !saysUnknown(value) && severalPositions(value) === undefined,
  )
  const shares = schemes.map((scheme) => {
    const read = schemeReader(scheme)
    const known = values.filter((value) => {
      const position = read(value)
      return position !== undefined && positionKind(position) === 'permanent'
    })
    return { scheme, known: known.length }
  })
  const fitting = shares.filter((one) => one.known === values.length).map((one) => one.scheme)
  if (fitting.length === 1) {
    evidence.push(`every value is a position of the scheme ${fitting[0]}`)
    return fitting[0] === 'iso-3950' ? {} : { scheme: fitting[0]! }
  }
  if (fitting.length > 1) {
    evidence.push(`every value fits the schemes ${fitting.join(' and ')}, which mean different teeth by it`)
    return { scheme: undecided }
  }
  const best = shares.reduce((most, one) => (one.known > most.known ? one : most))
  evidence.push(
    `${best.known} of ${values.length} different values fit the scheme ${best.scheme}, and no scheme fits all`,
  )
  return { scheme: undecided }
}

/** More different words than this are no codes. */
const mostWords = 60

/**
 * Proposes what the words of a column of codes mean. A word that no list knows is left to the user. Words that may name a person are counted and not written out.
 */
function proposeValues(
  field: Field,
  column: TextColumn,
  evidence: string[],
): Partial<Pick<MappedColumn, 'values'>> {
  const counts = countsOf(column)
  const used = column.values.filter((value, code) => counts[code]! > 0 && !saysUnknown(value))
  const open = used.filter((value) => !field.codes!.includes(codeWord(value, field.codes!)))
  if (open.length === 0) return {}
  if (open.length > mostWords) {
    evidence.push(`${open.length} different words stand in the column: it may hold free text and no codes`)
    return { values: { '': undecided } }
  }
  const values: Record<string, string> = {}
  let withheld = 0
  for (const word of open) {
    if (word.length > 60 || identifierOfValue(word) !== undefined || looksLikeName(field, word)) withheld++
    else values[word] = meaningOf(field, word)
  }
  if (withheld > 0) {
    evidence.push(`${withheld} more words are not written here, since they may name a person`)
    values[''] = undecided
  }
  if (isYesNo(field) && used.length === 1 && values[used[0]!] === 'yes') {
    evidence.push('one mark and blanks: proposed as yes and no, and it wants your word')
    values[''] = 'no'
  }
  const left = Object.entries(values).filter(([word, code]) => word !== '' && code === undecided).length
  const known = Object.keys(values).filter((word) => word !== '').length - left
  evidence.push(
    `words that are no codes: ${open.length - withheld}, of which the lists of trade words know ${known}`,
  )
  return { values }
}

function isYesNo(field: Field): boolean {
  return field.codes!.length === 2 && field.codes![0] === 'yes'
}

function looksLikeName(field: Field, word: string): boolean {
  return hasShapeOfName(word) && meaningOf(field, word) === undecided
}

/** The code of a word by the lists of trade words; `?` where no list knows it, or more than one code fits. */
function meaningOf(field: Field, word: string): string {
  const plain = headerWords(word)
  const marks = word.trim().toLowerCase()
  if (isYesNo(field)) {
    if (doubtfulYesNo.yes.split('|').includes(marks)) return 'yes'
    return doubtfulYesNo.no.split('|').includes(marks) ? 'no' : undecided
  }
  const lists = codeWords[field.name] ?? {}
  const fitting = Object.entries(lists).filter(([, words]) => words.split('|').includes(plain))
  return fitting.length === 1 ? fitting[0]![0] : undecided
}

type DateSettings = Partial<
  Pick<MappedColumn, 'dateOrder' | 'serialDates' | 'twoDigitYearsFrom' | 'monthNames' | 'partialDates'>
>

/** Proposes how the dates of a column are read, from all its values. */
function proposeDates(column: TextColumn, evidence: string[]): DateSettings {
  const stated = dateOrderOfHeader(column.header)
  if (stated !== undefined) evidence.push(`the header states the order: ${stated}`)
  const counts = countsOf(column)
  const values = column.values.map((value) => (saysUnknown(value) ? '' : value))
  const kinds = countKinds(values, counts)
  const settings: { -readonly [Key in keyof DateSettings]: DateSettings[Key] } = {}
  const order = stated ?? proposedOrder(values, counts, kinds, evidence)
  if (order !== undefined) settings.dateOrder = order
  if (kinds.serial > 0) {
    settings.serialDates = undecided
    evidence.push(
      `${rows(kinds.serial)} a number such as spreadsheets keep for dates: the epoch is 1900 unless the workbook says 1904`,
    )
  }
  if (kinds.twoDigitYear > 0) {
    settings.twoDigitYearsFrom = undecided
    evidence.push(
      `${rows(kinds.twoDigitYear)} a year of two digits: give the first of the hundred years, such as 1950`,
    )
  }
  if (kinds.monthInWords > 0) {
    settings.monthNames = undecided
    evidence.push(
      `${rows(kinds.monthInWords)} the month in words: true reads the names of months in six languages`,
    )
  }
  if (kinds.partial > 0) {
    settings.partialDates = undecided
    evidence.push(
      `${rows(kinds.partial)} no day or no month: first, middle or last of the time that is left open, or unknown`,
    )
  }
  return settings
}

interface DateKinds {
  twoDigitYear: number
  monthInWords: number
  partial: number
  serial: number
}

function countKinds(values: readonly string[], counts: Int32Array): DateKinds {
  const kinds: DateKinds = { twoDigitYear: 0, monthInWords: 0, partial: 0, serial: 0 }
  values.forEach((value, code) => {
    const kind =
      value === '' || dayOfText(value, 'day-first') !== undefined ? undefined : dateNeedingMap(value)
    if (kind === 'two-digit-year') kinds.twoDigitYear += counts[code]!
    else if (kind === 'month-in-words') kinds.monthInWords += counts[code]!
    else if (kind === 'partial-date') kinds.partial += counts[code]!
    else if (/^\d{5}(?:\.\d+)?$/.test(value)) kinds.serial += counts[code]!
  })
  return kinds
}

function proposedOrder(
  values: readonly string[],
  counts: Int32Array,
  kinds: DateKinds,
  evidence: string[],
): DateSettings['dateOrder'] {
  const verdict = dateOrderOf(values, counts, kinds.twoDigitYear > 0)
  if (verdict.state === 'no-dates') return undefined
  if (verdict.state === 'decided') {
    if (verdict.order === 'year-first') {
      evidence.push(`${rows(verdict.decidedBy)} the year first`)
      return undefined
    }
    const place = verdict.order === 'day-first' ? 'first' : 'second'
    evidence.push(`${rows(verdict.decidedBy)} a ${place} number above 12, and none the other way round`)
    return verdict.order
  }
  if (verdict.state === 'contradictory') {
    evidence.push(
      `${rows(verdict.dayFirst)} the day first, and ${verdict.monthFirst} the month: correct them in a copy`,
    )
    return undecided
  }
  const dotted = values.every((value) => !/^\d{1,2}[-/ ]\d{1,2}[-/ ]\d{2,4}$/.test(value))
  evidence.push(
    `all ${verdict.ambiguous} dates fit both orders${dotted ? '; points between the numbers are mostly written with the day first' : ''}`,
  )
  return undecided
}

function rows(count: number): string {
  return count === 1 ? '1 row has' : `${count} rows have`
}

type NumberSettings = Partial<Pick<MappedColumn, 'unit' | 'unitColumn' | 'decimalMark'>>

/** Proposes decimal mark and unit of a column of numbers: as the header states them, else as all values show. */
function proposeNumbers(
  field: Field,
  text: TextTable,
  column: TextColumn,
  reading: HeaderReading,
  evidence: string[],
): NumberSettings {
  const counts = countsOf(column)
  const values = column.values.map((value) => (saysUnknown(value) ? '' : value))
  const inCells = unitsOfCells(values, counts)
  const bare = values.map((value) => withUnit(value)?.number ?? value)
  return {
    ...proposedMark(field, bare, counts, reading, evidence),
    ...proposedUnit(field, text, bare, counts, reading, inCells, evidence),
  }
}

function unitsOfCells(values: readonly string[], counts: Int32Array): ReadonlyMap<string, number> {
  const units = new Map<string, number>()
  values.forEach((value, code) => {
    const unit = withUnit(value)?.unit
    if (unit !== undefined) units.set(unit, (units.get(unit) ?? 0) + counts[code]!)
  })
  return units
}

function proposedMark(
  field: Field,
  bare: readonly string[],
  counts: Int32Array,
  reading: HeaderReading,
  evidence: string[],
): NumberSettings {
  const factor = unitFactor(reading.unit ?? field.unit ?? '', field.unit ?? '') ?? 1
  const { min, max } = field.unitLimits ?? field.range ?? { min: -Infinity, max: Infinity }
  const verdict = decimalMarkOf(bare, counts, (value) => value * factor >= min && value * factor <= max)
  if (verdict.state === 'decided') {
    if (verdict.mark === ',') evidence.push('decimals are set apart by commas')
    return verdict.mark === ',' ? { decimalMark: ',' } : {}
  }
  evidence.push(
    verdict.state === 'undecidable'
      ? `${verdict.ambiguous} values fit both decimals and thousands`
      : 'points and commas both stand before decimals',
  )
  return { decimalMark: undecided }
}

function proposedUnit(
  field: Field,
  text: TextTable,
  bare: readonly string[],
  counts: Int32Array,
  reading: HeaderReading,
  inCells: ReadonlyMap<string, number>,
  evidence: string[],
): NumberSettings {
  if (field.unit === undefined) return {}
  if (inCells.size > 0) {
    evidence.push(
      `units stand behind the numbers: ${[...inCells].map(([unit, count]) => `${unit} (${count})`).join(', ')}`,
    )
    return inCells.size === 1 && inCells.has(field.unit) ? {} : { unit: unitsInCells }
  }
  const beside = unitColumnBeside(field, text)
  if (beside !== undefined) {
    evidence.push('another column holds units')
    return { unitColumn: beside }
  }
  if (reading.unit !== undefined) {
    evidence.push(`the header states ${reading.unit}`)
    if (reading.unit === field.unit) return {}
    return { unit: unitFactor(reading.unit, field.unit) === undefined ? undecided : reading.unit }
  }
  return unitByValues(field, bare, counts, evidence)
}

/** Header of the only other column that holds nothing but units that turn into that of the field. */
function unitColumnBeside(field: Field, text: TextTable): string | undefined {
  if (field.unitLimits === undefined) return undefined
  const columns = text.columns.filter((column) => {
    const words = column.values.filter((value) => value !== '')
    return (
      words.length > 0 && words.every((word) => unitFactor(unitOf(word) ?? '', field.unit!) !== undefined)
    )
  })
  return columns.length === 1 ? columns[0]!.header : undefined
}

/** A torque of 0.35 or 350 is no N·cm: the unit that fits is put to the user, never taken. */
function unitByValues(
  field: Field,
  bare: readonly string[],
  counts: Int32Array,
  evidence: string[],
): NumberSettings {
  const limits = field.unitLimits
  if (limits === undefined) return {}
  let outside = 0
  bare.forEach((value, code) => {
    const number = numberOfText(value, '.') ?? numberOfText(value, ',')
    if (number !== undefined && (number < limits.min || number > limits.max)) outside += counts[code]!
  })
  if (outside === 0) return {}
  evidence.push(
    `${outside} values lie outside ${limits.min} to ${limits.max} ${field.unit}: say which unit the column is in (N·m, N·mm, kgf·cm)`,
  )
  return { unit: undecided }
}
