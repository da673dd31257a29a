import { type Field, field, needed, torque } from './field.js'

/** One row per application of torque. */
export const tighteningFields: readonly Field[] = [
  field('restoration_id', 'key', 'Restoration to which the row belongs.', 'R0001', needed),
  field('sequence', 'whole', 'Order of the applications, 1 to n, consecutive per screw.', '1', {
    ...needed,
    range: { min: 1, max: 1000 },
  }),
  field(
    'screw_position',
    'key',
    'Which screw, for a restoration on more than one: its tooth position or a label.',
    '',
  ),
  field(
    'minutes_since_first',
    'number',
    'Minutes since the first tightening of the screw at the same visit.',
    '0',
    {
      unit: 'min',
      required: true,
      range: { min: 0, max: 1440 },
    },
  ),
  field(
    'days_since_delivery',
    'day',
    'Whole days since delivery, 0 at delivery; needed for any other context.',
    '0',
    { unit: 'd', twin: 'tightening_date', faulty: 'set-aside' },
  ),
  field('tightening_date', 'date', 'The same as a date.', '2019-03-14', {
    twin: 'days_since_delivery',
    faulty: 'set-aside',
  }),
  field('context', 'code', 'Occasion; only delivery counts as exposure.', 'delivery', {
    required: true,
    codes: ['delivery', 'recall_check', 'after_loosening', 'replacement', 'try_in'],
  }),
  field(
    'action',
    'code',
    'What was done; tighten_again is without undoing, which is another exposure.',
    'tighten',
    {
      required: true,
      codes: ['tighten', 'tighten_again', 'undo_then_tighten', 'removal_measurement'],
    },
  ),
  field('target_torque_ncm', 'number', 'Torque aimed at.', '35', { ...torque, required: true }),
  field('achieved_torque_ncm', 'number', 'Torque reached.', '34.6', torque),
  field('removal_torque_ncm', 'number', 'Torque at which the screw came loose when undone.', '', torque),
  field('instruction_torque_ncm', 'number', 'Torque that the instructions ask for.', '35', torque),
  field('hold_seconds', 'number', 'How long the torque was held.', '10', {
    unit: 's',
    range: { min: 0, max: 120 },
  }),
  field('device_id', 'key', 'Pseudonym of the torque device; never its serial number.', 'W1'),
  field('device_type', 'code', 'Kind of torque device.', 'beam', {
    codes: ['beam', 'toggle', 'electronic', 'handpiece', 'hand'],
  }),
  field('device_last_calibration_date', 'date', 'Last calibration of the device.', '2019-01-10', {
    twin: 'device_last_calibration_day',
  }),
  field(
    'device_last_calibration_day',
    'day',
    'The same as days since delivery, in the shareable form.',
    '-63',
    { unit: 'd', twin: 'device_last_calibration_date' },
  ),
  field('screw_status', 'code', 'Whether the screw was new.', 'new', { codes: ['new', 'reused'] }),
  field('screw_cycles_before', 'whole', 'Tightening cycles of the screw before this one.', '0', {
    range: { min: 0, max: 40 },
  }),
  field('lubrication', 'code', 'What wetted the screw.', 'dry', {
    codes: ['dry', 'saliva', 'blood', 'chlorhexidine', 'gel', 'other'],
  }),
]
