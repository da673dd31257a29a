import { type FieldEntries, fieldsOf, needed, torque } from './field.js'

/** One row per application of torque. */
export const tighteningEntries = {
  restoration_id: {
    kind: 'key',
    description: 'Restoration to which the row belongs.',
    example: 'R0001',
    ...needed,
    pseudonym: 'R',
  },
  sequence: {
    kind: 'whole',
    description: 'Order of the applications, 1 to n, consecutive per screw.',
    example: '1',
    ...needed,
    range: { min: 1, max: 1000 },
  },
  screw_position: {
    kind: 'key',
    description: 'Which screw, for a restoration on more than one: its tooth position or a label.',
    example: '',
  },
  minutes_since_first: {
    kind: 'number',
    description: 'Minutes since the first tightening of the screw at the same visit.',
    example: '0',
    required: true,
    unit: 'min',
    range: { min: 0, max: 1440 },
  },
  days_since_delivery: {
    kind: 'day',
    description: 'Whole days since delivery, 0 at delivery; needed for any other context.',
    example: '0',
    twin: 'tightening_date',
    unit: 'd',
    faulty: 'set-aside',
  },
  tightening_date: {
    kind: 'date',
    description: 'The same as a date.',
    example: '2019-03-14',
    twin: 'days_since_delivery',
    faulty: 'set-aside',
    demo: false,
  },
  context: {
    kind: 'code',
    description: 'Occasion; only delivery counts as exposure.',
    example: 'delivery',
    required: true,
    codes: ['delivery', 'recall_check', 'after_loosening', 'replacement', 'try_in'],
  },
  action: {
    kind: 'code',
    description: 'What was done; tighten_again is without undoing, which is another exposure.',
    example: 'tighten',
    required: true,
    codes: ['tighten', 'tighten_again', 'undo_then_tighten', 'removal_measurement'],
  },
  target_torque_ncm: {
    kind: 'number',
    description: 'Torque aimed at.',
    example: '35',
    ...torque,
    required: true,
  },
  achieved_torque_ncm: { kind: 'number', description: 'Torque reached.', example: '34.6', ...torque },
  removal_torque_ncm: {
    kind: 'number',
    description: 'Torque at which the screw came loose when undone.',
    example: '',
    ...torque,
  },
  instruction_torque_ncm: {
    kind: 'number',
    description: 'Torque that the instructions ask for.',
    example: '35',
    ...torque,
  },
  hold_seconds: {
    kind: 'number',
    description: 'How long the torque was held.',
    example: '10',
    unit: 's',
    range: { min: 0, max: 120 },
  },
  device_id: {
    kind: 'key',
    description: 'Pseudonym of the torque device; never its serial number.',
    example: 'W1',
    pseudonym: 'D',
  },
  reading_instrument_id: {
    kind: 'key',
    description:
      'Pseudonym of the instrument that read the achieved torque, where it is another than the device that tightened; never its serial number.',
    example: 'M1',
    pseudonym: 'D',
    pseudonymOf: 'device_id',
  },
  device_type: {
    kind: 'code',
    description: 'Kind of torque device.',
    example: 'beam',
    codes: ['beam', 'toggle', 'electronic', 'handpiece', 'hand'],
  },
  device_last_calibration_date: {
    kind: 'date',
    description: 'Last calibration of the device.',
    example: '2019-01-10',
    twin: 'device_last_calibration_day',
  },
  device_last_calibration_day: {
    kind: 'day',
    description: 'The same as days since delivery, in the shareable form.',
    example: '-63',
    twin: 'device_last_calibration_date',
    unit: 'd',
    shareableOnly: true,
  },
  screw_status: {
    kind: 'code',
    description: 'Whether the screw was new.',
    example: 'new',
    codes: ['new', 'reused'],
  },
  screw_cycles_before: {
    kind: 'whole',
    description: 'Tightening cycles of the screw before this one.',
    example: '0',
    range: { min: 0, max: 40 },
  },
  lubrication: {
    kind: 'code',
    description: 'What wetted the screw.',
    example: 'dry',
    codes: ['dry', 'saliva', 'blood', 'chlorhexidine', 'gel', 'other'],
  },
} as const satisfies FieldEntries

/** Fields of the tightenings table. */
export const tighteningFields = fieldsOf(tighteningEntries)
