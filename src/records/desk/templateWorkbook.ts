import { CFB, utils, type WorkBook, write } from '@e965/xlsx'
import type { Field, SheetName } from '../../vocabulary/fields.js'
import { allowedInWords, needInWords } from './dictionaryText.js'
import { templateFields } from './templateFields.js'

/** Rows of an empty sheet for which drop-down lists and ranges are set. */
const preparedRows = 10_000

/**
 * An empty workbook in the form of the data dictionary: a sheet for each table, in which every cell says what belongs in
 * it and columns of codes have drop-down lists, and a sheet with the dictionary.
 */
export function templateWorkbook(sheets: readonly SheetName[]): Buffer {
  const workbook: WorkBook = utils.book_new()
  for (const sheet of sheets) {
    const header = templateFields(sheet).map((field) => field.name)
    const empty = utils.aoa_to_sheet([header])
    empty['!cols'] = header.map((name) => ({ wch: Math.max(12, name.length + 2) }))
    utils.book_append_sheet(workbook, empty, sheet)
  }
  utils.book_append_sheet(workbook, dictionarySheet(sheets), 'dictionary')
  const plain: Buffer = write(workbook, { type: 'buffer', bookType: 'xlsx', compression: true })
  return withValidations(plain, sheets)
}

function dictionarySheet(sheets: readonly SheetName[]) {
  const rows = sheets.flatMap((sheet) =>
    templateFields(sheet).map((field) => [
      sheet,
      field.name,
      field.description,
      allowedInWords(field),
      needInWords(field),
      field.example,
    ]),
  )
  const made = utils.aoa_to_sheet([['sheet', 'field', 'meaning', 'allowed', 'need', 'example'], ...rows])
  made['!cols'] = [{ wch: 14 }, { wch: 34 }, { wch: 70 }, { wch: 60 }, { wch: 26 }, { wch: 22 }]
  return made
}

/** Puts the validations (ECMA-376 part 1, 18.3.1.33) into the sheets, since the library writes none. */
function withValidations(workbook: Buffer, sheets: readonly SheetName[]): Buffer {
  const container = CFB.read(workbook, { type: 'buffer' })
  sheets.forEach((sheet, index) => {
    const part = CFB.find(container, `/xl/worksheets/sheet${index + 1}.xml`)!
    const xml = Buffer.from(part.content as Uint8Array).toString('utf8')
    const validations = validationsOf(templateFields(sheet))
    part.content = Buffer.from(xml.replace(/<\/sheetData>|<sheetData\/>/, (end) => `${end}${validations}`))
    part.size = part.content.length
  })
  return Buffer.from(
    CFB.write(container, { type: 'buffer', fileType: 'zip', compression: true }) as Uint8Array,
  )
}

function validationsOf(fields: readonly Field[]): string {
  const each = fields.map((field, column) => validationOf(field, utils.encode_col(column)))
  return `<dataValidations count="${each.length}">${each.join('')}</dataValidations>`
}

function validationOf(field: Field, column: string): string {
  const { type, formulas } = ruleOf(field)
  const allowed = field.kind === 'key' || field.kind === 'text' ? '' : ` ${allowedInWords(field)}`
  const prompt = `${field.description}${allowed}`.slice(0, 250)
  const attributes = [
    type,
    'errorStyle="warning"',
    'allowBlank="1"',
    'showInputMessage="1"',
    'showErrorMessage="1"',
    `errorTitle="${escaped(field.name.slice(0, 30))}"`,
    `error="${escaped(`Allowed: ${allowedInWords(field)}`.slice(0, 220))}"`,
    `promptTitle="${escaped(field.name.slice(0, 30))}"`,
    `prompt="${escaped(prompt)}"`,
    `sqref="${column}2:${column}${preparedRows + 1}"`,
  ]
  return `<dataValidation ${attributes.filter((one) => one !== '').join(' ')}>${formulas}</dataValidation>`
}

/** A list of codes with "unknown", a range, or nothing but the prompt. */
function ruleOf(field: Field): { readonly type: string; readonly formulas: string } {
  if (field.codes !== undefined) {
    const list = [...field.codes, 'unknown'].join(',')
    // Lists written into the cell's own rule hold 255 characters at most.
    if (list.length <= 255)
      return { type: 'type="list"', formulas: `<formula1>"${escaped(list)}"</formula1>` }
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
