import { type Field, field, needed, yesNo } from './field.js'

/** One row per restoration, visit and finding. */
export const visitFields: readonly Field[] = [
  field('restoration_id', 'key', 'Restoration to which the row belongs.', 'R0001', needed),
  field('visit_date', 'date', 'Day of the visit.', '2020-03-20', {
    ...needed,
    alternative: 'days_since_delivery',
    twin: 'days_since_delivery',
  }),
  field('days_since_delivery', 'day', 'The same as whole days since delivery.', '372', {
    unit: 'd',
    twin: 'visit_date',
    faulty: 'set-aside',
  }),
  field('visit_type', 'code', 'Kind of visit.', 'scheduled', {
    required: true,
    codes: ['scheduled', 'unscheduled', 'records_only', 'telephone'],
  }),
  field(
    'screw_checked',
    'code',
    'Whether the joint was tested for looseness, with the channel closed or open.',
    'yes',
    { required: true, codes: yesNo },
  ),
  field('check_method', 'code', 'How the joint was tested.', 'mobility', {
    codes: ['mobility', 'torque', 'radiograph', 'occlusion_only'],
  }),
  field('screw_position', 'key', 'Which screw, for a restoration on more than one.', ''),
  field('finding', 'code', 'What was found; one row for each finding of a visit.', 'none', {
    required: true,
    codes: [
      'none',
      'screw_loosening',
      'screw_fracture',
      'abutment_fracture',
      'loss_of_retention',
      'veneer_chipping',
      'framework_fracture',
      'access_filling_loss',
      'implant_loss',
      'other',
    ],
  }),
  field('onset_date', 'date', 'Day on which the finding began, where known.', '', { twin: 'onset_day' }),
  field('onset_day', 'day', 'The same as whole days since delivery.', '', { unit: 'd', twin: 'onset_date' }),
  field('action_taken', 'code', 'What was done.', '', {
    codes: ['tightened', 'screw_replaced', 'repaired', 'remade', 'recemented', 'implant_removed', 'watched'],
  }),
  field('restoration_status', 'code', 'Status of the restoration after the visit.', 'in_place', {
    required: true,
    codes: ['in_place', 'in_place_modified', 'removed', 'lost'],
  }),
  field('removal_reason', 'code', 'Why it was removed or lost.', '', {
    codes: ['complication', 'elective', 'implant_loss', 'other'],
  }),
  field('patient_status', 'code', 'Status of the patient; death competes, the others censor.', 'active', {
    codes: ['active', 'moved', 'declined', 'deceased'],
  }),
  field('severity', 'code', 'minor below 10 min, moderate 10 to 60, major above 60 or new parts.', '', {
    codes: ['minor', 'moderate', 'major'],
  }),
  field('chair_minutes', 'number', 'Time in the chair.', '', { unit: 'min', range: { min: 0, max: 480 } }),
]
