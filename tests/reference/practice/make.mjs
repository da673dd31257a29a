// Writes the reference practice into records/ (and the variant with missing values into records-missing/).
// Run once after a build: node tests/reference/practice/make.mjs. Everything is invented; the seed is fixed.
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { stringify } from 'csv-stringify/sync'
import { randomStream } from '../../../dist/core/random.js'
import { drawPractice } from '../../../dist/studies/practices/practice.js'
import { baseline } from '../../../dist/studies/practices/scenario.js'

const seed = 900
const chance = randomStream(seed, 50)
const pick = (values) => values[chance.index(values.length)]
const dayBefore = (iso, days) => new Date(Date.parse(iso) - days * 86_400_000).toISOString().slice(0, 10)

const operator = (share, hazardRatio, repeatedShare, clinic) => ({ share, hazardRatio, repeatedShare, clinic })
const practice = drawPractice(
  {
    ...baseline,
    restorations: 940,
    hazard: 0.03,
    operators: [
      operator(2, 0.8, 0.65, 0),
      operator(1.5, 1, 0.5, 0),
      operator(1, 1.4, 0.35, 0),
      operator(1.5, 1.1, 0.55, 1),
      operator(1, 0.9, 0.4, 1),
    ],
    clinicHazardRatios: [1, 1.2],
    recording: {
      rowsShare: 0.92,
      minutesShare: 0.93,
      blankTicks: 0.2,
      findingsMarkedNo: 0.08,
      beginsYears: 1.5,
      beginsWithLook: false,
    },
  },
  seed,
)

const restorations = practice.tables.restorations.slice(0, 900).map((row) => {
  const type = chance.uniform() < 0.92 ? 'single_crown' : pick(['splinted_crowns', 'fixed_partial', 'full_arch'])
  const screwless = chance.uniform() < 0.015
  return {
    ...row,
    restoration_type: type,
    retention_mode: chance.uniform() < 0.8 ? 'screw' : 'screw_and_cement',
    connection: screwless ? 'screwless' : row.connection,
    component_system: pick(['system_K', 'system_L', 'system_M']),
    implant_length_mm: pick(['8', '10', '11.5', '13']),
    cantilever_mm: type === 'fixed_partial' ? pick(['0', '6']) : '',
    crown_height_mm: pick(['7.5', '9', '11', '']),
    abutment_origin: pick(['stock_titanium', 'milled_titanium', 'titanium_base']),
    crown_material: pick(['metal_ceramic', 'monolithic_zirconia', 'lithium_disilicate']),
    screw_material: pick(['titanium_alloy', 'gold_alloy']),
    screw_coating: pick(['none', 'carbon']),
    screw_channel_angle_deg: pick(['0', '0', '15']),
    occlusal_scheme: pick(['canine', 'group', 'mutually_protected']),
    occlusal_guard: pick(['yes', 'no', '']),
    seating_radiograph: pick(['yes', 'no']),
    seating_jig: pick(['yes', 'no']),
  }
})
const kept = new Map(restorations.map((row) => [row.restoration_id, row]))
const several = (id) => kept.get(id).restoration_type !== 'single_crown'

const tightenings = []
for (const row of practice.tables.tightenings) {
  if (!kept.has(row.restoration_id)) continue
  const second = row.sequence === '2'
  const draw = chance.uniform()
  const undone = second && draw < 0.04
  const outside = second && row.minutes_since_first !== '' && draw > 0.95
  const full = {
    ...row,
    action: undone ? 'undo_then_tighten' : row.action,
    minutes_since_first: outside ? pick(['4', '25']) : row.minutes_since_first,
    achieved_torque_ncm: row.target_torque_ncm,
    removal_torque_ncm: '',
    instruction_torque_ncm: row.target_torque_ncm,
    hold_seconds: pick(['5', '10', '']),
    device_id: `device_${kept.get(row.restoration_id).operator_id}`,
    device_type: pick(['toggle', 'electronic']),
    device_last_calibration_date: '',
    screw_status: second ? 'reused' : 'new',
    screw_cycles_before: second ? '1' : '0',
    lubrication: pick(['dry', 'saliva', '']),
  }
  tightenings.push({ ...full, screw_position: several(row.restoration_id) ? 's1' : '' })
  if (several(row.restoration_id)) tightenings.push({ ...full, screw_position: 's2' })
}

const visits = practice.tables.visits
  .filter((row) => kept.has(row.restoration_id))
  .map((row) => ({
    ...row,
    visit_type: row.visit_type === 'scheduled' && chance.uniform() < 0.06 ? '' : row.visit_type,
    check_method: row.screw_checked === 'yes' ? pick(['mobility', 'torque', '']) : '',
    screw_position: several(row.restoration_id) && row.finding === 'screw_loosening' ? 's1' : '',
    onset_date: '',
    severity: row.finding === 'none' ? '' : pick(['minor', 'moderate']),
    chair_minutes: pick(['', '10', '20']),
  }))

// Rows that have to be counted once, or set aside.
const copies = [10, 200, 450, 700].map((at) => ({ ...restorations[at] }))
const contradicted = [55, 333].map((at) => ({ ...restorations[at], tooth_position: '17', implant_length_mm: '9' }))
const early = [100, 300, 600].map((at) => ({
  ...visits[at],
  visit_date: dayBefore(kept.get(visits[at].restoration_id).delivery_date, 12),
  visit_type: 'scheduled',
  screw_checked: 'yes',
  check_method: 'mobility',
  finding: 'none',
  action_taken: '',
  restoration_status: 'in_place',
  removal_reason: '',
  patient_status: 'active',
  severity: '',
}))

const headers = {
  restorations:
    'restoration_id,patient_id,implant_id,clinic_id,operator_id,delivery_date,observation_start_date,implant_placement_date,tooth_position,age_at_delivery_years,sex,restoration_type,retention_mode,connection,implant_diameter_mm,implant_length_mm,cantilever_mm,crown_height_mm,abutment_origin,crown_material,screw_material,screw_coating,screw_channel_angle_deg,opposing,occlusal_scheme,bruxism,occlusal_guard,seating_radiograph,seating_jig,tightening_group,tightening_reason,component_system',
  tightenings:
    'restoration_id,sequence,screw_position,minutes_since_first,days_since_delivery,context,action,target_torque_ncm,achieved_torque_ncm,removal_torque_ncm,instruction_torque_ncm,hold_seconds,device_id,device_type,device_last_calibration_date,screw_status,screw_cycles_before,lubrication',
  visits:
    'restoration_id,visit_date,visit_type,screw_checked,check_method,screw_position,finding,onset_date,action_taken,restoration_status,removal_reason,patient_status,severity,chair_minutes',
}
function write(folder, tables) {
  mkdirSync(folder, { recursive: true })
  for (const [name, rows] of Object.entries(tables)) {
    writeFileSync(join(folder, `${name}.csv`), stringify(rows, { header: true, columns: headers[name].split(',') }))
  }
}
const tables = {
  restorations: [...restorations, ...copies, ...contradicted],
  tightenings,
  visits: [...visits, ...early],
}
write(join(import.meta.dirname, 'records'), tables)
const blank = randomStream(seed, 51)
const withGaps = tables.restorations.slice(0, 900).map((row) => ({
  ...row,
  bruxism: blank.uniform() < 0.25 ? '' : row.bruxism,
  opposing: blank.uniform() < 0.05 ? '' : row.opposing,
}))
const copiesWithGaps = copies.map((copy) => withGaps.find((row) => row.restoration_id === copy.restoration_id))
write(join(import.meta.dirname, 'records-missing'), {
  ...tables,
  restorations: [...withGaps, ...copiesWithGaps, ...contradicted],
})
