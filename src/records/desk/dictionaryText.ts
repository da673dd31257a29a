import { type Field, type SheetName, sheetFields } from '../../vocabulary/fields.js'
import { templateFields } from './templateFields.js'

const sheetTitles: Readonly<Record<SheetName, string>> = {
  restorations: 'restorations: one row per crown or prosthesis on its screw joint',
  tightenings: 'tightenings: one row per application of torque',
  visits: 'visits: one row per restoration, visit and finding',
  one_sheet: 'one sheet: one row per restoration',
}

/** What a field holds, in words: allowed codes, range and unit, date form. */
export function allowedInWords(field: Field): string {
  const unit = field.unit === undefined ? '' : ` ${field.unit}`
  if (field.codes !== undefined) return field.codes.join(', ')
  if (field.kind === 'date') return 'date, YYYY-MM-DD'
  if (field.kind === 'position') return 'ISO 3950, two digits: 11–18, 21–28, 31–38, 41–48'
  if (field.range !== undefined) return `${field.range.min} to ${field.range.max}${unit}`
  if (field.kind === 'day') return `whole days${unit === '' ? '' : ' since delivery'}`
  return field.kind === 'whole' || field.kind === 'number' ? `number${unit}` : 'text'
}

/** Whether a column has to be there and filled, in a word. */
export function needInWords(field: Field): string {
  if (field.valueNeeded) return field.alternative === undefined ? 'needed' : `needed, or ${field.alternative}`
  return field.required ? 'column needed, may be empty' : ''
}

/**
 * The data dictionary as Markdown: every field of the given sheets with what it means and what may stand in it.
 *
 * @param complete whether fields that only the shareable form has are in it; default true
 */
export function dictionaryText(sheets: readonly SheetName[], complete = true): string {
  return [
    '# Data dictionary',
    '',
    'Unknown is an allowed answer everywhere: leave the cell empty, or write unknown. Nothing is guessed from it.',
    'Identifiers are pseudonyms: never a name, never a chart number, never a product name.',
    'Torques are in N·cm, dates are written YYYY-MM-DD, decimals with a point or a comma, one of them throughout.',
    ...sheets.flatMap((sheet) => ['', ...sheetLines(sheet, complete)]),
    '',
  ].join('\n')
}

function sheetLines(sheet: SheetName, complete: boolean): readonly string[] {
  const fields = complete ? sheetFields[sheet] : templateFields(sheet)
  return [
    `## ${sheetTitles[sheet]}`,
    '',
    '| field | meaning | allowed | need | example |',
    '|---|---|---|---|---|',
    ...fields.map(
      (field) =>
        `| ${field.name} | ${field.description} | ${allowedInWords(field)} | ${needInWords(field)} | ${field.example} |`,
    ),
  ]
}
