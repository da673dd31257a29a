import { type Field, fieldOf, type SheetName } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import type { TextColumn, TextTable } from '../read/textTable.js'
import { countsOf } from '../read/textTable.js'
import { type MappedColumn, type MappedSheet, undecided } from './columnMap.js'
import { type HeaderReading, readHeader } from './headerSynonyms.js'
import { proposeDates } from './proposeDates.js'
import { proposeNumbers } from './proposeNumbers.js'
import { proposePositions } from './proposePositions.js'
import { proposeValues } from './proposeValues.js'
import { visitOfHeader } from './visitHeaders.js'

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
