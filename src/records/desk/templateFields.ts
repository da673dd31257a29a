import { type Field, type SheetName, sheetFields } from '../../vocabulary/fields.js'

/** Fields that the shareable form has in place of others; a practice does not fill them in. */
const shareableOnly = new Set([
  'delivery_year',
  'observation_start_day',
  'implant_placement_day',
  'device_last_calibration_day',
  'onset_day',
  'age_band',
  'arch',
  'region',
  'delivery_period',
])

/** Columns of the empty table that a practice starts with: what is needed first, then the rest as in the dictionary. */
export function templateFields(sheet: SheetName): readonly Field[] {
  const fields = sheetFields[sheet].filter(
    (field) => !shareableOnly.has(field.name) && !isSecondName(sheet, field),
  )
  return [...fields.filter((field) => field.required), ...fields.filter((field) => !field.required)]
}

/** Days since delivery, where a date says the same and is easier to fill in. */
function isSecondName(sheet: SheetName, field: Field): boolean {
  return sheet === 'visits' && field.name === 'days_since_delivery'
}
