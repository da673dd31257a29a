import { type SheetName, sheetFields } from '../records/schema.js'

/** Fields that the demo data leave out: the shareable form's twins of dates, and lots, which stay in a practice. */
const leftOut: Readonly<Record<SheetName, readonly string[]>> = {
  restorations: [
    'delivery_year',
    'observation_start_day',
    'implant_placement_day',
    'age_band',
    'delivery_period',
    'implant_lot',
    'screw_lot',
  ],
  tightenings: ['tightening_date', 'device_last_calibration_day'],
  visits: ['days_since_delivery', 'onset_day'],
  one_sheet: ['implant_lot', 'screw_lot', 'delivery_period'],
}

/** The sheets in the order in which they are written. */
export const demoSheets: readonly SheetName[] = ['restorations', 'tightenings', 'visits', 'one_sheet']

/** File of each sheet. */
export const demoFiles: Readonly<Record<SheetName, string>> = {
  restorations: 'restorations.csv',
  tightenings: 'tightenings.csv',
  visits: 'visits.csv',
  one_sheet: 'one-sheet.csv',
}

/** Fields of a sheet that the demo data hold, in the order of the data dictionary. */
export function demoFields(sheet: SheetName) {
  return sheetFields[sheet].filter((field) => !leftOut[sheet].includes(field.name))
}

/** Columns of a sheet of the demo data, in order. */
export function demoColumns(sheet: SheetName): readonly string[] {
  return demoFields(sheet).map((field) => field.name)
}
