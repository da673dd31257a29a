import { type Field, type FieldEntries, fieldsOf, removalReasons, torque } from './field.js'
import { restorationFields } from './restorations.js'

/** Fields of the one-sheet form beyond those of the restorations table. */
export const oneSheetEntries = {
  tightenings_at_delivery: {
    kind: 'whole',
    description: 'How often the screw was tightened at delivery.',
    example: '2',
    range: { min: 0, max: 10 },
  },
  wait_minutes: {
    kind: 'number',
    description: 'Minutes from the first to the second tightening at delivery.',
    example: '10',
    unit: 'min',
    range: { min: 0, max: 1440 },
  },
  target_torque_ncm: {
    kind: 'number',
    description: 'Torque aimed at on delivery.',
    example: '35',
    ...torque,
  },
  last_check_date: {
    kind: 'date',
    description: 'Last visit at which the screw was checked; empty: never checked.',
    example: '2022-03-20',
    required: true,
  },
  last_check_before_loosening_date: {
    kind: 'date',
    description: 'Last check that found the screw tight before the first loosening.',
    example: '',
  },
  first_loosening_date: {
    kind: 'date',
    description: 'Visit at which the screw was first found loose; empty: never.',
    example: '',
    required: true,
  },
  loosening_count: {
    kind: 'whole',
    description: 'How often the screw was found loose in all.',
    example: '0',
    range: { min: 0, max: 100 },
  },
  removed_date: {
    kind: 'date',
    description: 'Day on which the restoration was removed, lost or remade.',
    example: '',
  },
  removal_reason: { kind: 'code', description: 'Why it was removed.', example: '', codes: removalReasons },
  deceased_date: { kind: 'date', description: 'Day on which the patient died, where known.', example: '' },
} as const satisfies FieldEntries

/** Those fields with their defaults. */
export const oneSheetOwnFields = fieldsOf(oneSheetEntries)

/** One row per restoration: the restoration fields and what happened to it, first loosening above all. */
export const oneSheetFields: readonly Field[] = Object.freeze([
  ...restorationFields.filter((one) => !one.shareableOnly).map(asOnOneSheet),
  ...oneSheetOwnFields,
])

/** A sheet with a row per restoration needs no name for it, and dates, since it has no second table to count days in. */
function asOnOneSheet(field: Field): Field {
  if (field.name === 'restoration_id') {
    return Object.freeze({ ...field, required: false, valueNeeded: false })
  }
  const { alternative: _dropped, ...rest } = field
  return Object.freeze(rest)
}
