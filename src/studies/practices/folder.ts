import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { stringify } from 'csv-stringify/sync'
import type { PracticeTables } from './practice.js'

/** Columns of the three tables, in the order in which they are written. */
export const columns = {
  restorations: [
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
    'opposing',
    'bruxism',
    'tightening_group',
    'tightening_reason',
    'component_system',
  ],
  tightenings: [
    'restoration_id',
    'sequence',
    'minutes_since_first',
    'days_since_delivery',
    'context',
    'action',
    'target_torque_ncm',
  ],
  visits: [
    'restoration_id',
    'visit_date',
    'visit_type',
    'screw_checked',
    'finding',
    'action_taken',
    'restoration_status',
    'removal_reason',
    'patient_status',
  ],
} as const

/** Writes a practice as a folder of three CSV files, over whatever stood there. */
export function writePractice(tables: PracticeTables, folder: string): void {
  mkdirSync(folder, { recursive: true })
  for (const name of ['restorations', 'tightenings', 'visits'] as const) {
    const text = stringify([...tables[name]], { header: true, columns: [...columns[name]] })
    writeFileSync(join(folder, `${name}.csv`), text)
  }
}
