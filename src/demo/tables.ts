import { type Field, type SheetName, sheetFields } from '../vocabulary/fields.js'

/** The sheets in the order in which they are written. */
export const demoSheets: readonly SheetName[] = ['restorations', 'tightenings', 'visits', 'one_sheet']

/** File of each sheet. */
export const demoFiles: Readonly<Record<SheetName, string>> = {
  restorations: 'restorations.csv',
  tightenings: 'tightenings.csv',
  visits: 'visits.csv',
  one_sheet: 'one-sheet.csv',
}

/** The fields of a sheet of the demo data, in order: those that a practice fills in. */
export function demoFields(sheet: SheetName): readonly Field[] {
  return sheetFields[sheet].filter((field) => field.demo !== false && !field.shareableOnly)
}

/** Columns of a sheet of the demo data, in order. */
export function demoColumns(sheet: SheetName): readonly string[] {
  return demoFields(sheet).map((field) => field.name)
}
