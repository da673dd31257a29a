import { resolve } from 'node:path'
import { type SheetName, tableNames } from '../../vocabulary/fields.js'
import { csvText } from '../identities/csvText.js'
import { type FileWriter, writeFolder } from '../identities/writeFolder.js'
import { dataPackageText } from './dataPackageText.js'
import { dictionaryText } from './dictionaryText.js'
import { templateFields } from './templateFields.js'
import { templateWorkbook } from './templateWorkbook.js'

/** Which empty tables are written. */
export interface TemplateOptions {
  /** The one-sheet form (default), or the three linked tables. */
  readonly form?: 'one-sheet' | 'three-tables'
  /** Writer of files; only tests give one. */
  readonly writer?: FileWriter
}

/** What was written. */
export interface WrittenTemplate {
  readonly directory: string
  readonly files: readonly string[]
}

/**
 * Writes empty tables with which a practice can start: CSV files with their headers, the same as a workbook with
 * drop-down lists, and the data dictionary.
 *
 * @param directory new or empty folder, or one that an earlier run has written
 * @throws UsageError `folder-not-ours`, `cannot-write`
 */
export async function writeTemplate(
  directory: string,
  options: TemplateOptions = {},
): Promise<WrittenTemplate> {
  const sheets: readonly SheetName[] = options.form === 'three-tables' ? tableNames : ['one_sheet']
  const files = new Map<string, string | Uint8Array>()
  const packaged = sheets.map((sheet) => {
    const columns = templateFields(sheet).map((field) => field.name)
    const path = `${sheet.replace('_', '-')}.csv`
    files.set(path, csvText(columns, []))
    return { sheet, path, columns }
  })
  const heading = { name: 'holdfast-template', title: 'Empty restoration records', state: 'template' }
  files.set('datapackage.json', dataPackageText(heading, packaged))
  files.set('dictionary.md', dictionaryText(sheets, false))
  files.set('template.xlsx', templateWorkbook(sheets))
  const writer = options.writer === undefined ? {} : { writer: options.writer }
  await writeFolder({ directory, state: 'template', files, ...writer })
  return Object.freeze({ directory: resolve(directory), files: Object.freeze([...files.keys()]) })
}
