import { type Field, fieldOf, type SheetName } from '../vocabulary/fields.js'

const restorationColumns = [
  'restoration_id',
  'patient_id',
  'implant_id',
  'clinic_id',
  'operator_id',
  'delivery_date',
  'observation_start_date',
  'implant_placement_date',
  'tooth_position',
  'age_at_delivery_years',
  'sex',
  'restoration_type',
  'retention_mode',
  'connection',
  'implant_diameter_mm',
  'implant_length_mm',
  'cantilever_mm',
  'crown_height_mm',
  'abutment_origin',
  'crown_material',
  'screw_material',
  'screw_coating',
  'screw_channel_angle_deg',
  'opposing',
  'occlusal_scheme',
  'bruxism',
  'occlusal_guard',
  'seating_radiograph',
  'seating_jig',
  'tightening_group',
  'tightening_reason',
  'component_system',
]

/** Columns of each sheet; a list of its own, so that a field new in the data dictionary leaves the demo data alone. */
const columns: Readonly<Record<SheetName, readonly string[]>> = {
  restorations: restorationColumns,
  tightenings: [
    'restoration_id',
    'sequence',
    'screw_position',
    'minutes_since_first',
    'days_since_delivery',
    'context',
    'action',
    'target_torque_ncm',
    'achieved_torque_ncm',
    'removal_torque_ncm',
    'instruction_torque_ncm',
    'hold_seconds',
    'device_id',
    'device_type',
    'device_last_calibration_date',
    'screw_status',
    'screw_cycles_before',
    'lubrication',
  ],
  visits: [
    'restoration_id',
    'visit_date',
    'visit_type',
    'screw_checked',
    'check_method',
    'screw_position',
    'finding',
    'onset_date',
    'action_taken',
    'restoration_status',
    'removal_reason',
    'patient_status',
    'severity',
    'chair_minutes',
  ],
  one_sheet: [
    ...restorationColumns,
    'tightenings_at_delivery',
    'wait_minutes',
    'target_torque_ncm',
    'last_check_date',
    'last_check_before_loosening_date',
    'first_loosening_date',
    'loosening_count',
    'removed_date',
    'removal_reason',
    'deceased_date',
  ],
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

/** Columns of a sheet of the demo data, in order. */
export function demoColumns(sheet: SheetName): readonly string[] {
  return columns[sheet]
}

/** What the data dictionary says of the columns of a sheet, in order. */
export function demoFields(sheet: SheetName): readonly Field[] {
  return columns[sheet].map((name) => {
    const field = fieldOf(sheet, name)
    if (field === undefined) throw new RangeError(`the data dictionary has no field ${name} in ${sheet}`)
    return field
  })
}
