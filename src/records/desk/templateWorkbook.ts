import { type CellObject, CFB, utils, type WorkBook, type WorkSheet, write } from '@e965/xlsx'
import type { Field, SheetName } from '../../vocabulary/fields.js'
import { dictionaryHeader, exampleMark, templateAuthor } from '../read/templateMarks.js'
import { allowedInWords, needInWords } from './dictionaryText.js'
import { templateFields } from './templateFields.js'

/** Rows of an empty sheet for which drop-down lists and ranges are set. */
const preparedRows = 10_000

/**
 * What a front desk fills in for each restoration, in this order; the other fields of the one-sheet form stand in the CSV
 * file and in the dictionary. Common practice, no source.
 */
const deskFields = [
  'patient_id',
  'tooth_position',
  'delivery_date',
  'restoration_type',
  'retention_mode',
  'connection',
  'operator_id',
  'age_at_delivery_years',
  'sex',
  'bruxism',
  'tightenings_at_delivery',
  'wait_minutes',
  'target_torque_ncm',
  'last_check_before_loosening_date',
  'first_loosening_date',
  'loosening_count',
  'last_check_date',
  'removed_date',
  'removal_reason',
  'deceased_date',
]

const units: Readonly<Record<string, string>> = {
  ncm: 'Ncm',
  mm: 'mm',
  deg: 'deg',
  years: 'years',
  minutes: 'minutes',
  seconds: 'seconds',
}

/** The fields of a sheet of the workbook, in their order. */
export function workbookFields(sheet: SheetName): readonly Field[] {
  const fields = templateFields(sheet)
  if (sheet !== 'one_sheet') return fields
  return deskFields.map((name) => fields.find((field) => field.name === name)!)
}

/** A field name as a heading: words with a capital, the unit in brackets. It is read back as the field name. */
export function headingOf({ name }: Field): string {
  const words = name.replace(/_id$/, '_ID').split('_')
  const unit = units[words.at(-1)!]
  const text = (unit === undefined || words.length === 1 ? words : words.slice(0, -1)).join(' ')
  const heading = `${text.charAt(0).toUpperCase()}${text.slice(1)}`
  return unit === undefined || words.length === 1 ? heading : `${heading} (${unit})`
}

/** A code as it stands in the drop-down lists. */
function inWords(code: string): string {
  return code.replaceAll('_', ' ')
}

/**
 * An empty workbook in the form of the data dictionary: for each table a sheet with readable headings, a row that shows
 * how it is done (and is skipped on reading), drop-down lists in words, and a sheet that explains the columns. Headings
 * and the first column stay in view; every sheet prints on one page.
 */
export function templateWorkbook(sheets: readonly SheetName[]): Buffer {
  const workbook: WorkBook = utils.book_new()
  for (const sheet of sheets) utils.book_append_sheet(workbook, emptySheet(workbookFields(sheet)), sheet)
  utils.book_append_sheet(workbook, dictionarySheet(sheets), 'dictionary')
  const plain: Buffer = write(workbook, { type: 'buffer', bookType: 'xlsx', compression: true })
  return withSettings(plain, sheets)
}

function emptySheet(fields: readonly Field[]): WorkSheet {
  const header = fields.map(headingOf)
  const example = fields.map((field, column) => (column === 0 ? exampleMark : exampleOf(field)))
  const made = utils.aoa_to_sheet([header, example])
  made['!cols'] = header.map((name, column) => ({
    wch: column === 0 ? exampleMark.length : Math.max(12, name.length + 2),
  }))
  fields.forEach((field, column) => {
    const heading = made[utils.encode_cell({ r: 0, c: column })] as CellObject
    const note = [{ a: templateAuthor, t: `${field.name}: ${field.description}` }]
    heading.c = Object.assign(note, { hidden: true })
    const shown = made[utils.encode_cell({ r: 1, c: column })] as CellObject | undefined
    if (field.kind === 'date' && shown !== undefined) {
      made[utils.encode_cell({ r: 1, c: column })] = { t: 'n', v: serialOf(String(shown.v)), z: 'yyyy-mm-dd' }
    }
  })
  return made
}

function exampleOf(field: Field): string | number {
  if (field.kind === 'date') return field.example === '' ? '2022-03-20' : field.example
  if (field.example === '') return field.codes === undefined ? '' : inWords(field.codes[0]!)
  if (field.codes !== undefined) return inWords(field.example)
  return /^-?\d+(?:\.\d+)?$/.test(field.example) ? Number(field.example) : field.example
}

/** Serial number of a day in the epoch of 1900 (ECMA-376 part 1, 18.17.4). */
function serialOf(iso: string): number {
  return Math.round(Date.parse(`${iso}T00:00:00Z`) / 86_400_000) + 25_569
}

function dictionarySheet(sheets: readonly SheetName[]): WorkSheet {
  const rows = sheets.flatMap((sheet) =>
    workbookFields(sheet).map((field) => [
      sheet.replace('_', ' '),
      headingOf(field),
      field.name,
      field.description,
      field.codes === undefined ? allowedInWords(field) : field.codes.map(inWords).join(', '),
      needInWords(field),
    ]),
  )
  const made = utils.aoa_to_sheet([[...dictionaryHeader], ...rows])
  made['!cols'] = [{ wch: 14 }, { wch: 34 }, { wch: 34 }, { wch: 70 }, { wch: 60 }, { wch: 26 }]
  return made
}

/** Puts into the sheets what the library does not write: validations, panes, date columns, page settings. */
function withSettings(workbook: Buffer, sheets: readonly SheetName[]): Buffer {
  const container = CFB.read(workbook, { type: 'buffer' })
  for (let index = 0; index <= sheets.length; index++) {
    const sheet = sheets[index]
    const part = CFB.find(container, `/xl/worksheets/sheet${index + 1}.xml`)!
    const xml = Buffer.from(part.content as Uint8Array).toString('utf8')
    const settled = onOnePage(sheet === undefined ? xml : withRules(xml, workbookFields(sheet)))
    part.content = Buffer.from(sheet === undefined ? settled : inView(settled))
    part.size = part.content.length
  }
  return Buffer.from(
    CFB.write(container, { type: 'buffer', fileType: 'zip', compression: true }) as Uint8Array,
  )
}

/** The order of the parts of a sheet is fixed (ECMA-376 part 1, 18.3.1.99). */
function onOnePage(xml: string): string {
  const fit = '<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>'
  const page =
    '<pageMargins left="0.4" right="0.4" top="0.5" bottom="0.5" header="0.3" footer="0.3"/><pageSetup paperSize="9" orientation="landscape" fitToWidth="1" fitToHeight="1"/>'
  return xml
    .replace(/<sheetPr>.*?<\/sheetPr>|<sheetPr\/>/, '')
    .replace(/(<worksheet[^>]*>)/, `$1${fit}`)
    .replace(/<\/dataValidations>|<\/sheetData>(?!<dataValidations)/, (end) => `${end}${page}`)
}

function inView(xml: string): string {
  const pane =
    '<pane xSplit="1" ySplit="1" topLeftCell="B2" activePane="bottomRight" state="frozen"/><selection pane="bottomRight" activeCell="A3" sqref="A3"/>'
  return xml.replace(/<sheetView workbookViewId="0"\/>/, `<sheetView workbookViewId="0">${pane}</sheetView>`)
}

/** Validations (18.3.1.33), and the format of the example's date for the whole of its column. */
function withRules(xml: string, fields: readonly Field[]): string {
  const rules = fields.map((field, column) => validationOf(field, utils.encode_col(column))).join('')
  let made = xml.replace(
    /<\/sheetData>|<sheetData\/>/,
    (end) => `${end}<dataValidations count="${fields.length}">${rules}</dataValidations>`,
  )
  fields.forEach((field, column) => {
    const style = new RegExp(`<c r="${utils.encode_col(column)}2" s="(\\d+)"`).exec(made)?.[1]
    if (field.kind !== 'date' || style === undefined) return
    made = made.replace(`<col min="${column + 1}" max="${column + 1}"`, (col) => `${col} style="${style}"`)
  })
  return made
}

function validationOf(field: Field, column: string): string {
  const { type, formulas } = ruleOf(field)
  const allowed = field.kind === 'key' || field.kind === 'text' ? '' : ` ${allowedInWords(field)}`
  const prompt = `${field.description}${allowed}`.slice(0, 250)
  const title = escaped(headingOf(field).slice(0, 30))
  const attributes = [
    type,
    'errorStyle="warning"',
    'allowBlank="1"',
    'showInputMessage="1"',
    'showErrorMessage="1"',
    `errorTitle="${title}"`,
    `error="${escaped(`Allowed: ${allowedInWords(field)}`.slice(0, 220))}"`,
    `promptTitle="${title}"`,
    `prompt="${escaped(prompt)}"`,
    `sqref="${column}2:${column}${preparedRows + 1}"`,
  ]
  return `<dataValidation ${attributes.filter((one) => one !== '').join(' ')}>${formulas}</dataValidation>`
}

/** A list of codes in words with "unknown", a range, a date that can be true, or nothing but the prompt. */
function ruleOf(field: Field): { readonly type: string; readonly formulas: string } {
  if (field.codes !== undefined) {
    const list = [...field.codes, 'unknown'].map(inWords).join(',')
    // Lists written into the cell's own rule hold 255 characters at most.
    if (list.length <= 255)
      return { type: 'type="list"', formulas: `<formula1>"${escaped(list)}"</formula1>` }
  }
  if (field.kind === 'date') {
    const [first, last] = ['1970-01-01', '2099-12-31'].map(serialOf)
    return { type: 'type="date"', formulas: `<formula1>${first}</formula1><formula2>${last}</formula2>` }
  }
  if (field.range !== undefined) {
    const { min, max } = field.range
    const type = field.kind === 'whole' ? 'type="whole"' : 'type="decimal"'
    return { type, formulas: `<formula1>${min}</formula1><formula2>${max}</formula2>` }
  }
  return { type: '', formulas: '' }
}

function escaped(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
}
