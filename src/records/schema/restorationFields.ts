import { type Field, field, needed, yesNo } from './field.js'

const opposingArches = ['natural', 'tooth_restoration', 'implant_fixed', 'removable', 'none']
const occlusalSchemes = ['canine', 'group', 'mutually_protected', 'lingualised', 'other']
const bruxismGrades = ['none', 'possible', 'probable', 'definite']

/** One row per crown or prosthesis on its screw joint. */
export const restorationFields: readonly Field[] = [
  field('restoration_id', 'key', 'Pseudonym of the restoration, unique in the table.', 'R0001', needed),
  field('patient_id', 'key', 'Pseudonym of the patient; never a name or a chart number.', 'P0001', needed),
  field('implant_id', 'key', 'Pseudonym of the implant.', 'I0001'),
  field('clinic_id', 'key', 'Pseudonym of the clinic; needed for pooling.', 'A'),
  field('operator_id', 'key', 'Pseudonym of the operator.', 'OP1'),
  field(
    'delivery_date',
    'date',
    'Day on which the definitive restoration was delivered: time 0 of everything.',
    '2019-03-14',
    { ...needed, alternative: 'delivery_year' },
  ),
  field(
    'delivery_year',
    'whole',
    'Year of delivery, where the other tables count days since delivery.',
    '2019',
    {
      range: { min: 1965, max: 2200 },
      faulty: 'set-aside',
    },
  ),
  field(
    'observation_start_date',
    'date',
    'Day from which findings were recorded, where later than delivery (left truncation).',
    '2020-01-01',
    { twin: 'observation_start_day' },
  ),
  field('observation_start_day', 'day', 'The same as days since delivery, in the shareable form.', '293', {
    unit: 'd',
    twin: 'observation_start_date',
  }),
  field('implant_placement_date', 'date', 'Day on which the implant was placed.', '2018-11-20', {
    twin: 'implant_placement_day',
  }),
  field(
    'implant_placement_day',
    'day',
    'The same as days since delivery (negative: before it), in the shareable form.',
    '-114',
    { unit: 'd', twin: 'implant_placement_date' },
  ),
  field(
    'tooth_position',
    'position',
    'ISO 3950 two-digit position; of a prosthesis on several implants the most posterior one.',
    '36',
    { faulty: 'unknown' },
  ),
  field(
    'arch',
    'code',
    'Jaw, derived from tooth_position; in its place where positions are made coarser.',
    'lower',
    {
      codes: ['upper', 'lower'],
    },
  ),
  field('region', 'code', 'Region, derived from tooth_position; in its place likewise.', 'molar', {
    codes: ['anterior', 'premolar', 'molar'],
  }),
  field('age_at_delivery_years', 'whole', 'Completed years of age at delivery; 90 and above as 90.', '54', {
    unit: 'years',
    range: { min: 0, max: 120 },
  }),
  field('age_band', 'code', 'Age at delivery in bands, in the shareable form.', '50-59', {
    codes: ['0-15', '16-29', '30-39', '40-49', '50-59', '60-69', '70-79', '80-89', '90+'],
  }),
  field('sex', 'code', 'Sex as recorded.', 'female', { codes: ['female', 'male', 'other'] }),
  field(
    'restoration_type',
    'code',
    'Type; single means one unit on one implant, and a prosthesis on several implants is one row.',
    'single_crown',
    {
      codes: ['single_crown', 'splinted_crowns', 'fixed_partial', 'fixed_partial_cantilever', 'full_arch'],
    },
  ),
  field('retention_mode', 'code', 'How the restoration is held.', 'screw', {
    codes: ['screw', 'cement', 'screw_and_cement'],
  }),
  field(
    'connection',
    'code',
    'Connection of implant and abutment; screwless has no screw to loosen.',
    'conical',
    {
      codes: ['external_hex', 'external_other', 'internal_hex', 'internal_other', 'conical', 'screwless'],
    },
  ),
  millimetres('implant_diameter_mm', 'Diameter of the implant.', 2.5, 7, '4.1'),
  millimetres('implant_length_mm', 'Length of the implant.', 4, 25, '10'),
  millimetres('cantilever_mm', 'Length of the cantilever.', 0, 25, '0'),
  millimetres('crown_height_mm', 'Height of the crown above the implant.', 3, 25, '9.5'),
  field('abutment_origin', 'code', 'Origin of the abutment.', 'stock_titanium', {
    codes: ['stock_titanium', 'milled_titanium', 'titanium_base', 'cast_gold', 'zirconia', 'other'],
  }),
  field('crown_material', 'code', 'Material of the crown.', 'monolithic_zirconia', {
    codes: [
      'metal_ceramic',
      'veneered_zirconia',
      'monolithic_zirconia',
      'lithium_disilicate',
      'resin_composite',
      'metal',
      'acrylic',
      'other',
    ],
  }),
  field('screw_material', 'code', 'Material of the screw.', 'titanium_alloy', {
    codes: ['titanium_alloy', 'gold_alloy', 'other'],
  }),
  field('screw_coating', 'code', 'Coating of the screw.', 'none', {
    codes: ['none', 'carbon', 'gold', 'polymer', 'other'],
  }),
  field('screw_channel_angle_deg', 'number', 'Angle of the screw channel.', '0', {
    unit: '°',
    range: { min: 0, max: 30 },
  }),
  field('opposing', 'code', 'What bites against it.', 'natural', { codes: opposingArches }),
  field('occlusal_scheme', 'code', 'Occlusal scheme.', 'canine', { codes: occlusalSchemes }),
  field('bruxism', 'code', 'Bruxism, by how sure the record is of it.', 'none', { codes: bruxismGrades }),
  field('occlusal_guard', 'code', 'Whether an occlusal guard was given.', 'no', { codes: yesNo }),
  field('seating_radiograph', 'code', 'Whether a radiograph showed the seat at delivery.', 'yes', {
    codes: yesNo,
  }),
  field('seating_jig', 'code', 'Whether a jig was used for seating.', 'no', { codes: yesNo }),
  field(
    'tightening_group',
    'code',
    'What the chart says; the groups of the analysis come from the tightenings.',
    'single',
    { codes: ['single', 'repeated', 'other'] },
  ),
  field('tightening_reason', 'code', 'How the tightening group came about.', 'period_policy', {
    codes: ['period_policy', 'operator_choice', 'manufacturer_instruction', 'random', 'other'],
  }),
  field(
    'component_system',
    'key',
    "The practice's own code for the implant and screw system; never a product name.",
    'A',
  ),
  field('implant_lot', 'text', 'Lot of the implant; for use inside the practice only.', ''),
  field('screw_lot', 'text', 'Lot of the screw; for use inside the practice only.', ''),
  field(
    'delivery_period',
    'key',
    'Label of the calendar period of delivery, derived before dates are dropped.',
    'before change',
  ),
]

function millimetres(name: string, description: string, min: number, max: number, example: string): Field {
  return field(name, 'number', description, example, { unit: 'mm', range: { min, max } })
}
