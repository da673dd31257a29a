import { z } from 'zod'
import { RecordError } from '../../core/errors.js'
import { parseJson } from '../../core/jsonText.js'
import { deepFreeze } from '../../core/plain.js'
import { fieldOf, type SheetName } from '../../vocabulary/fields.js'

/** What stands in a proposed map where only the user can decide. */
export const undecided = '?'

const word = z.string().max(200)

const mappedColumn = z.strictObject({
  header: z.string(),
  position: z.number().int().min(1).optional(),
  field: z.string().nullable().default(null),
  visit: z.number().int().min(1).max(200).optional(),
  checked: z.union([z.boolean(), z.literal(undecided)]).optional(),
  dateOrder: z.enum(['year-first', 'day-first', 'month-first', undecided]).optional(),
  serialDates: z.union([z.literal(1900), z.literal(1904), z.literal(undecided)]).optional(),
  twoDigitYearsFrom: z.union([z.number().int().min(1900).max(2000), z.literal(undecided)]).optional(),
  monthNames: z.union([z.boolean(), z.literal(undecided)]).optional(),
  partialDates: z.enum(['first', 'middle', 'last', 'unknown', undecided]).optional(),
  decimalMark: z.enum(['.', ',', undecided]).optional(),
  unit: z.string().optional(),
  unitColumn: z.string().optional(),
  scheme: z.enum(['iso-3950', '1-32', 'quadrant-letters', 'plus-minus', undecided]).optional(),
  values: z.record(word, z.string()).optional(),
  crown: z.number().int().min(1).max(32).optional(),
  fillDown: z.boolean().optional(),
  blank: z.literal('unknown').optional(),
  perCrown: z.boolean().optional(),
  swapDates: z.boolean().optional(),
  evidence: z.array(z.string()).optional(),
})

/** What an audit rests on and a sheet may have no column for. */
export const essentialColumns = ['patient', 'delivery', 'lastCheck', 'loosening', 'tightenings'] as const

/** One of these. */
export type EssentialColumn = (typeof essentialColumns)[number]

const mappedSheet = z.strictObject({
  sheet: z.enum(['restorations', 'tightenings', 'visits', 'one_sheet']),
  file: z.string(),
  headerRow: z.number().int().min(1).optional(),
  headerRows: z.union([z.literal(1), z.literal(2)]).optional(),
  alsoIn: z.array(z.string()).optional(),
  ignored: z.array(z.string()).optional(),
  absent: z.array(z.enum(essentialColumns)).optional(),
  rows: z.enum(['restoration', 'visit', 'patient']).optional(),
  severalCrowns: z.enum(['each', 'one']).optional(),
  mergedCells: z.enum(['fill', 'first']).optional(),
  hiddenRows: z.enum(['read', 'leave-out']).optional(),
  otherTightenings: z.enum(['once', 'unknown']).optional(),
  secondTightenings: z
    .record(z.string(), z.union([z.number().min(0).max(1440), z.literal('unknown')]))
    .optional(),
  columns: z.array(mappedColumn),
  constants: z.record(z.string(), z.string()).optional(),
})

const columnMapShape = z.strictObject({
  holdfastColumnMap: z.literal(1),
  confirmed: z.boolean(),
  sheets: z.array(mappedSheet).min(1),
})

/** What a map says about one column of a file; `?` where the user has still to decide. */
export type MappedColumn = Readonly<z.infer<typeof mappedColumn>>

/** What a map says about one sheet. */
export type MappedSheet = Readonly<z.infer<typeof mappedSheet>>

/**
 * What the columns of a practice's files mean: proposed by the toolkit with its evidence, saved as JSON, confirmed or
 * edited by the user, and reused for every later export of the same form.
 */
export type ColumnMap = Readonly<z.infer<typeof columnMapShape>>

/**
 * Reads a column map from its JSON text.
 *
 * @param file name for messages
 * @throws RecordError `bad-column-map` where it is not as described in docs/records-map.md
 */
export function parseColumnMap(text: string, file: string): ColumnMap {
  let content: unknown
  try {
    content = parseJson(text)
  } catch {
    throw badMap(file, 'it is not JSON')
  }
  const parsed = columnMapShape.safeParse(content)
  if (!parsed.success) {
    const issue = parsed.error.issues[0]!
    throw badMap(file, `${issue.path.join('.') || 'it'}: ${issue.message.toLowerCase()}`)
  }
  for (const sheet of parsed.data.sheets) checkFields(sheet, file)
  return deepFreeze(parsed.data)
}

/** The map as JSON text, one column a line as far as it goes, to be read and edited by people. */
export function columnMapText(map: ColumnMap): string {
  return `${JSON.stringify(map, null, 2)}\n`
}

/** The sheet of the field of a mapped column: columns with a visit number hold what the visits table holds. */
export function sheetOfColumn(sheet: MappedSheet, column: MappedColumn): SheetName {
  return isOfVisit(sheet, column) ? 'visits' : sheet.sheet
}

/** Whether a column holds something of a visit: by its visit number, or because every row is a visit. */
export function isOfVisit(sheet: MappedSheet, column: MappedColumn): boolean {
  if (column.visit !== undefined) return true
  if (sheet.sheet !== 'one_sheet' || sheet.rows !== 'visit' || typeof column.field !== 'string') return false
  return column.field !== 'restoration_id' && fieldOf('visits', column.field) !== undefined
}

function checkFields(sheet: MappedSheet, file: string): void {
  for (const column of sheet.columns) {
    if (column.visit !== undefined && sheet.sheet !== 'one_sheet') {
      throw badMap(file, 'a visit number stands in a sheet that is not in the one-sheet form')
    }
    const { field } = column
    if (field === null || field === undecided) continue
    const holder = sheetOfColumn(sheet, column)
    if (fieldOf(holder, field) === undefined) {
      throw badMap(file, `there is no field ${field} in ${holder}`)
    }
  }
  for (const field of Object.keys(sheet.constants ?? {})) {
    if (fieldOf(sheet.sheet, field) === undefined)
      throw badMap(file, `there is no field ${field} in ${sheet.sheet}`)
  }
}

function badMap(file: string, what: string): RecordError {
  return new RecordError(
    {
      code: 'bad-column-map',
      problem: `the column map cannot be used: ${what}.`,
      expected: 'a column map as holdfast map writes it.',
      mend: 'put it right, or make a new one with holdfast map.',
    },
    { file },
  )
}

/** The sheet of a workbook within a place, such as "sheet 2"; empty for a whole file. */
export function placeWithin(place: string): string {
  return /, (sheet [^,]+)$/.exec(place)?.[1] ?? ''
}

/** Places in a map where the user has still to decide, as "header: what", for messages. */
export function openDecisions(
  sheet: MappedSheet,
): readonly { readonly header: string; readonly what: string }[] {
  const open: { header: string; what: string }[] = []
  for (const column of sheet.columns) {
    for (const [what, value] of Object.entries(column)) {
      if (what === 'evidence' || what === 'header') continue
      if (value === undecided) open.push({ header: column.header, what })
      if (what === 'values' && Object.values(value as Record<string, string>).includes(undecided)) {
        open.push({ header: column.header, what })
      }
    }
  }
  return open
}
