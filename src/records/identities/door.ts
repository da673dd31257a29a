import { stat } from 'node:fs/promises'
import { dirname, join, resolve } from 'node:path'
import { type Field, fieldOf } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import type { SourceTable, SourceTables } from '../read/readTables.js'
import { countsOf, type TextColumn, type TextTable } from '../read/textTable.js'
import type { ColumnMap } from '../understand/columnMap.js'
import { readHeader } from '../understand/headerSynonyms.js'
import { headerWord } from '../understand/matchColumns.js'
import { signsOfColumn } from './columnSigns.js'
import { identifierOfHeader } from './identifierHeaders.js'
import { hasShapeOfName, identifierOfValue } from './identifierValues.js'
import { openPseudonymKey, type PseudonymKey, writePseudonymKey } from './pseudonymKey.js'

/** Keys that may be names or chart numbers in the practice's own file. */
const keyFields = ['patient_id', 'restoration_id', 'implant_id', 'operator_id', 'clinic_id'] as const

/** The key file of a data set, beside it. */
export async function keyFileOf(path: string): Promise<string> {
  const absolute = resolve(path)
  const isFolder = await stat(absolute).then(
    (found) => found.isDirectory(),
    () => false,
  )
  return join(isFolder ? absolute : dirname(absolute), 'holdfast-key.json')
}

/**
 * The door of a practice: identities are taken off as a file is read, and everything behind it works on pseudonyms. Names
 * and chart numbers that serve as keys are replaced by pseudonyms of the key file, other columns that identify are left
 * out, and texts in which an identifier stands are emptied. Nothing changes where nothing identifies.
 */
export class Door {
  readonly #drawn = new Set<string>()
  readonly #left = new Set<string>()
  #emptied = 0

  constructor(
    readonly key: PseudonymKey,
    readonly keyFile: string,
  ) {}

  /** Takes the identities off the tables of a data set. */
  through(read: SourceTables, map: ColumnMap | undefined): SourceTables {
    this.#emptied = 0
    const fields = new Map(
      read.tables.map((table) => [
        table,
        new Map(table.text.columns.map((one) => [one, fieldIn(table, one, map)])),
      ]),
    )
    const identifying = new Set<string>()
    for (const columns of fields.values()) {
      for (const [column, field] of columns) {
        if (field !== undefined && isKey(field) && identifies(column, field)) identifying.add(field.name)
      }
    }
    const tables = read.tables.map((table) =>
      table.spare ? table : { ...table, text: this.#passed(table.text, fields.get(table)!, identifying) },
    )
    return { ...read, tables }
  }

  /** Writes the key file where pseudonyms were drawn, readable by its owner only. */
  async save(): Promise<void> {
    if (this.#drawn.size > 0) await writePseudonymKey(this.keyFile, this.key)
  }

  /** What was taken off, for the screen; empty where nothing was. */
  words(): string {
    const parts = [
      ...(this.#drawn.size === 0
        ? []
        : [
            `${this.#drawn.size} ${this.#drawn.size === 1 ? 'key that identifies goes' : 'keys that identify go'} under pseudonyms from here on (key file ${this.keyFile}, readable by you alone; it leads back to your patients and stays in the practice)`,
          ]),
      ...(this.#left.size === 0
        ? []
        : [
            `${this.#left.size === 1 ? '1 column that identifies is' : `${this.#left.size} columns that identify are`} left out`,
          ]),
      ...(this.#emptied === 0
        ? []
        : [
            `${this.#emptied === 1 ? '1 text' : `${this.#emptied} texts`} in which an identifier stands left out`,
          ]),
    ]
    return parts.length === 0 ? '' : `Identities were taken off on reading: ${parts.join('; ')}.\n`
  }

  #passed(
    text: TextTable,
    fields: ReadonlyMap<TextColumn, Field | undefined>,
    identifying: ReadonlySet<string>,
  ): TextTable {
    const columns: TextColumn[] = []
    const hasPatient = [...fields.values()].some((field) => field?.name === 'patient_id')
    const identity = hasPatient ? [] : identityOf(text, fields)
    for (const column of text.columns) {
      const field = fields.get(column)
      if (column === identity[0]) columns.push(this.#patients(text, column, identity))
      else if (identity.includes(column)) this.#left.add(`${text.file} ${column.position}`)
      else if (field !== undefined)
        columns.push(identifying.has(field.name) ? this.#keys(column, field.name) : column)
      else if (isLeftOut(column)) this.#left.add(`${text.file} ${column.position}`)
      else columns.push(this.#withoutIdentifiers(column))
    }
    const outside = text.outside.filter((one) => identifierOfValue(one) === undefined)
    return { ...text, columns, outside }
  }

  #keys(column: TextColumn, field: string): TextColumn {
    return recoded(column, (row) => this.#pseudonym(field, column.values[column.codes[row]!]!))
  }

  #patients(text: TextTable, first: TextColumn, identity: readonly TextColumn[]): TextColumn {
    const textOf = (row: number): string => {
      const parts = identity.map((one) => one.values[one.codes[row]!]!)
      return parts.every(saysUnknown) ? '' : this.#pseudonym('patient_id', parts.join(' '))
    }
    const made = recoded(first, textOf, text.rowCount)
    return { ...made, header: 'patient_id' }
  }

  #pseudonym(field: string, identifier: string): string {
    if (saysUnknown(identifier)) return ''
    const plain = identifier
      .toLowerCase()
      .replace(/[\s,;]+/g, ' ')
      .trim()
    const made = this.key.doorPseudonymOf(field, plain)
    this.#drawn.add(made)
    return made
  }

  #withoutIdentifiers(column: TextColumn): TextColumn {
    const isSure = column.values.map((value) => identifierOfValue(value)?.verdict === 'definite')
    if (!isSure.includes(true)) return column
    return recoded(column, (row) => {
      if (!isSure[column.codes[row]!]) return column.values[column.codes[row]!]!
      this.#emptied++
      return ''
    })
  }
}

/**
 * Opens the door of a data set, with the key file that lies beside it, if any.
 *
 * @throws DisclosureError `key-file-open`
 * @throws UsageError `bad-key-file`
 */
export async function openDoor(path: string, keyFile?: string): Promise<Door> {
  const file = keyFile ?? (await keyFileOf(path))
  return new Door(await openPseudonymKey(file), file)
}

function isKey(field: Field): boolean {
  return (keyFields as readonly string[]).includes(field.name)
}

function fieldIn(table: SourceTable, column: TextColumn, map: ColumnMap | undefined): Field | undefined {
  const sheet = table.sheet ?? 'one_sheet'
  const entries =
    map?.sheets.flatMap((one) => one.columns.map((entry) => ({ entry, sheet: one.sheet }))) ?? []
  const mapped = entries.find(
    ({ entry }) =>
      entry.header === column.header && (entry.position === undefined || entry.position === column.position),
  )
  if (mapped !== undefined)
    return typeof mapped.entry.field === 'string' ? fieldOf(mapped.sheet, mapped.entry.field) : undefined
  const own = fieldOf(sheet, headerWord(column.header))
  if (own !== undefined || identifierOfHeader(column.header)?.verdict === 'definite') return own
  const known = map === undefined ? readHeader(sheet, column.header)?.field : undefined
  return known === undefined ? undefined : fieldOf(sheet, known)
}

/** Whether a key column holds names or numbers of persons instead of pseudonyms. */
function identifies(column: TextColumn, field: Field): boolean {
  const counts = countsOf(column)
  const used = column.values.filter((value, code) => counts[code]! > 0 && !saysUnknown(value))
  if (used.length === 0) return false
  if (identifierOfHeader(column.header)?.verdict === 'definite') return true
  if (used.some((value) => identifierOfValue(value)?.verdict === 'definite' || hasShapeOfName(value)))
    return true
  return signsOfColumn(column, field, counts).some((sign) => sign.verdict === 'definite')
}

/** The columns that say who the patient is: a chart number where there is one, else the names with the date of birth. */
function identityOf(
  text: TextTable,
  fields: ReadonlyMap<TextColumn, Field | undefined>,
): readonly TextColumn[] {
  const open = text.columns.filter((column) => fields.get(column) === undefined && column.values.length > 1)
  const of = (kind: string): readonly TextColumn[] =>
    open.filter((column) => {
      const found = identifierOfHeader(column.header)
      return found?.verdict === 'definite' && found.kind === kind
    })
  const numbers = [...of('a record or chart number'), ...of('a national, insurance or account number')]
  if (numbers.length > 0) return numbers.slice(0, 1)
  const names = of('a name')
  const named = names.length > 0 ? names : open.filter(isMostlyNames).slice(0, 1)
  return named.length === 0 ? [] : [...named, ...of('a date of birth')]
}

function isMostlyNames(column: TextColumn): boolean {
  const used = column.values.filter((value) => !saysUnknown(value))
  const names = used.filter((value) => {
    const found = identifierOfValue(value)
    return found?.kind === 'a name' && value.length <= 40
  })
  return used.length >= 2 && names.length >= 0.8 * used.length
}

function isLeftOut(column: TextColumn): boolean {
  if (identifierOfHeader(column.header)?.verdict === 'definite') return true
  const signs = signsOfColumn(column, undefined, countsOf(column))
  return signs.some((sign) => sign.verdict === 'definite') || isMostlyNames(column)
}

/** A column with other texts in its rows. */
function recoded(
  column: TextColumn,
  textOf: (row: number) => string,
  rows = column.codes.length,
): TextColumn {
  const values = ['']
  const codeOf = new Map([['', 0]])
  const codes = Int32Array.from({ length: rows }, (_, row) => {
    const text = textOf(row)
    let code = codeOf.get(text)
    if (code === undefined) {
      code = values.length
      values.push(text)
      codeOf.set(text, code)
    }
    return code
  })
  return { ...column, values, codes }
}
