import type { ProblemList } from '../problems.js'
import type { TextColumn, TextTable } from '../reading/textTable.js'
import { type Field, fieldOf, type SheetName, sheetFields } from '../schema.js'
import type { MappedColumn, MappedSheet } from './columnMap.js'

/** A column of the file and the field that it holds. */
export interface MatchedColumn {
  readonly field: Field
  readonly column: TextColumn
  /** What the column map says of it. */
  readonly mapped: MappedColumn | undefined
}

/** Header in the spelling of field names. */
export function headerWord(header: string): string {
  return header
    .toLowerCase()
    .replace(/[\s.-]+/g, '_')
    .replace(/^_+|_+$/g, '')
}

/**
 * Finds the column of each field: by the column map, else by the names of the data dictionary (letter case, spaces and
 * hyphens do not matter). Missing and doubled columns stop; columns that belong to no field are noted and not used.
 */
export function matchColumns(
  text: TextTable,
  sheet: SheetName,
  mapped: MappedSheet | undefined,
  problems: ProblemList,
): readonly MatchedColumn[] {
  const matched = new Map<string, MatchedColumn>()
  const unused: string[] = []
  for (const column of text.columns) {
    const entry = mapped?.columns.find((one) => one.header === column.header)
    const name = entry === undefined ? headerWord(column.header) : (entry.field ?? '')
    const field = fieldOf(sheet, name)
    if (field === undefined) unused.push(column.header)
    else if (matched.has(field.name)) problems.add(doubled(text.file, column.header))
    else matched.set(field.name, { field, column, mapped: entry })
  }
  requireColumns(text, sheet, matched, problems)
  if (unused.length > 0) problems.add(notUsed(text.file, unused.length), undefined, unused.length)
  return [...matched.values()]
}

function requireColumns(
  text: TextTable,
  sheet: SheetName,
  matched: ReadonlyMap<string, MatchedColumn>,
  problems: ProblemList,
): void {
  for (const field of sheetFields[sheet]) {
    if (!field.required || matched.has(field.name)) continue
    const { alternative } = field
    if (alternative !== undefined && matched.has(alternative)) continue
    problems.add({
      severity: 'stop',
      code: 'missing-column',
      file: text.file,
      column: field.name,
      problem: 'the column is missing.',
      expected: `a column ${field.name}${alternative === undefined ? '' : ` or ${alternative}`}: ${field.description}`,
      mend: 'add it, or where it has another header run holdfast map and confirm the column map.',
    })
  }
}

function doubled(file: string, header: string) {
  return {
    severity: 'stop',
    code: 'doubled-column',
    file,
    column: header,
    problem: 'two columns stand for the same field.',
    expected: 'one column for each field.',
    mend: 'rename or remove one of them, in a copy, or say in the column map which one counts.',
  } as const
}

/** Headers of unused columns are not repeated: they may be anything, a name too. */
function notUsed(file: string, count: number) {
  return {
    severity: 'note',
    code: 'columns-not-used',
    file,
    problem: `${count === 1 ? '1 column belongs' : `${count} columns belong`} to no field of the data dictionary and ${count === 1 ? 'is' : 'are'} not used.`,
    expected: 'the headers of the data dictionary, or a column map.',
    mend: 'nothing needs doing, unless a field that you record is missing from the report.',
  } as const
}
