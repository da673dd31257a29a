import { findingNames, visitTypes } from './endpoints.js'
import { type FieldEntries, fieldsOf, needed, removalReasons, yesNo } from './field.js'

/** One row per restoration, visit and finding. */
export const visitEntries = {
  restoration_id: {
    kind: 'key',
    description: 'Restoration to which the row belongs.',
    example: 'R0001',
    ...needed,
    pseudonym: 'R',
  },
  visit_date: {
    kind: 'date',
    description: 'Day of the visit.',
    example: '2020-03-20',
    ...needed,
    alternative: 'days_since_delivery',
    twin: 'days_since_delivery',
  },
  days_since_delivery: {
    kind: 'day',
    description: 'The same as whole days since delivery.',
    example: '372',
    twin: 'visit_date',
    unit: 'd',
    faulty: 'set-aside',
    demo: false,
  },
  visit_type: {
    kind: 'code',
    description: 'Kind of visit.',
    example: 'scheduled',
    required: true,
    codes: Object.keys(visitTypes),
  },
  screw_checked: {
    kind: 'code',
    description: 'Whether the joint was tested for looseness, with the channel closed or open.',
    example: 'yes',
    required: true,
    codes: yesNo,
  },
  check_method: {
    kind: 'code',
    description: 'How the joint was tested.',
    example: 'mobility',
    codes: ['mobility', 'torque', 'radiograph', 'occlusion_only'],
  },
  screw_position: {
    kind: 'key',
    description: 'Which screw, for a restoration on more than one.',
    example: '',
  },
  finding: {
    kind: 'code',
    description: 'What was found; one row for each finding of a visit.',
    example: 'none',
    required: true,
    codes: findingNames,
  },
  onset_date: {
    kind: 'date',
    description: 'Day on which the finding began, where known.',
    example: '',
    twin: 'onset_day',
  },
  onset_day: {
    kind: 'day',
    description: 'The same as whole days since delivery.',
    example: '',
    twin: 'onset_date',
    unit: 'd',
    shareableOnly: true,
  },
  action_taken: {
    kind: 'code',
    description: 'What was done.',
    example: '',
    codes: ['tightened', 'screw_replaced', 'repaired', 'remade', 'recemented', 'implant_removed', 'watched'],
  },
  restoration_status: {
    kind: 'code',
    description: 'Status of the restoration after the visit.',
    example: 'in_place',
    required: true,
    codes: ['in_place', 'in_place_modified', 'removed', 'lost'],
  },
  removal_reason: {
    kind: 'code',
    description: 'Why it was removed or lost.',
    example: '',
    codes: removalReasons,
  },
  patient_status: {
    kind: 'code',
    description: 'Status of the patient; death competes, the others censor.',
    example: 'active',
    codes: ['active', 'moved', 'declined', 'deceased'],
  },
  severity: {
    kind: 'code',
    description: 'minor below 10 min, moderate 10 to 60, major above 60 or new parts.',
    example: '',
    codes: ['minor', 'moderate', 'major'],
  },
  chair_minutes: {
    kind: 'number',
    description: 'Time in the chair.',
    example: '',
    unit: 'min',
    range: { min: 0, max: 480 },
  },
} as const satisfies FieldEntries

/** Fields of the visits table. */
export const visitFields = fieldsOf(visitEntries)
