import { type Field, field, torque } from './field.js'
import { restorationFields } from './restorationFields.js'

/** Fields of the one-sheet form beyond those of the restorations table. */
export const oneSheetOwnFields: readonly Field[] = [
  field('tightenings_at_delivery', 'whole', 'How often the screw was tightened at delivery.', '2', {
    range: { min: 0, max: 20 },
  }),
  field('wait_minutes', 'number', 'Minutes from the first to the second tightening at delivery.', '10', {
    unit: 'min',
    range: { min: 0, max: 1440 },
  }),
  field('target_torque_ncm', 'number', 'Torque aimed at on delivery.', '35', torque),
  field(
    'last_check_date',
    'date',
    'Last visit at which the screw was checked; empty: never checked.',
    '2022-03-20',
    {
      required: true,
    },
  ),
  field(
    'last_check_before_loosening_date',
    'date',
    'Last check that found the screw tight before the first loosening.',
    '',
  ),
  field('first_loosening_date', 'date', 'Visit at which the screw was first found loose; empty: never.', '', {
    required: true,
  }),
  field('loosening_count', 'whole', 'How often the screw was found loose in all.', '0', {
    range: { min: 0, max: 100 },
  }),
  field('removed_date', 'date', 'Day on which the restoration was removed, lost or remade.', ''),
  field('removal_reason', 'code', 'Why it was removed.', '', {
    codes: ['complication', 'elective', 'implant_loss', 'other'],
  }),
  field('deceased_date', 'date', 'Day on which the patient died, where known.', ''),
]

const notOnOneSheet = new Set([
  'delivery_year',
  'observation_start_day',
  'implant_placement_day',
  'age_band',
  'arch',
  'region',
  'delivery_period',
])

/** One row per restoration: the restoration fields and what happened to it, first loosening above all. */
export const oneSheetFields: readonly Field[] = [
  ...restorationFields
    .filter((one) => !notOnOneSheet.has(one.name))
    .map((one) => (one.name === 'restoration_id' ? { ...one, required: false, valueNeeded: false } : one))
    .map((one) => (one.name === 'delivery_date' ? withoutAlternative(one) : one)),
  ...oneSheetOwnFields,
]

function withoutAlternative({ alternative: _dropped, ...rest }: Field): Field {
  return rest
}
