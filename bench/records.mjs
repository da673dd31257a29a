/** Reads, checks and turns into a cohort one sheet of many rows and 25 columns; prints the stages. */

import { execFileSync } from 'node:child_process'
import { once } from 'node:events'
import { createWriteStream, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const columns = [
  'restoration_id',
  'patient_id',
  'clinic_id',
  'operator_id',
  'delivery_date',
  'tooth_position',
  'age_at_delivery_years',
  'sex',
  'restoration_type',
  'retention_mode',
  'connection',
  'implant_diameter_mm',
  'implant_length_mm',
  'abutment_origin',
  'crown_material',
  'opposing',
  'bruxism',
  'tightening_group',
  'tightening_reason',
  'component_system',
  'tightenings_at_delivery',
  'wait_minutes',
  'target_torque_ncm',
  'last_check_date',
  'first_loosening_date',
]

const iso = (day) => new Date(day * 86_400_000).toISOString().slice(0, 10)

/** One row, from its number alone: every 25th loosened, one in 1.7 shares its patient with the row before. */
function row(i) {
  const patient = Math.floor(i / 1.7)
  const delivery = 17_000 + ((i * 7919) % 2000)
  const checked = delivery + 100 + ((i * 104_729) % 1500)
  const loose = i % 25 === 0
  const repeated = i % 2 === 0
  return [
    `R${i}`,
    `P${patient}`,
    `clinic_${i % 40}`,
    `operator_${i % 160}`,
    iso(delivery),
    14 + 10 * (i % 3) + (i % 4),
    30 + (patient % 50),
    patient % 2 === 0 ? 'female' : 'male',
    'single_crown',
    'screw',
    ['internal_hex', 'conical', 'external_hex'][i % 3],
    [3.5, 4, 4.5, 5][i % 4],
    [8, 10, 12][i % 3],
    'titanium_base',
    'monolithic_zirconia',
    'natural',
    ['none', 'possible', 'probable'][patient % 3],
    repeated ? 'repeated' : 'single',
    'operator_choice',
    ['A', 'B', 'C'][i % 3],
    repeated ? 2 : 1,
    repeated ? 12 : '',
    35,
    iso(checked),
    loose ? iso(checked) : '',
  ].join(',')
}

export async function timeRecords(rows = 1_000_000) {
  const folder = mkdtempSync(join(tmpdir(), 'bench-'))
  const file = join(folder, 'one-sheet.csv')
  try {
    const out = createWriteStream(file)
    out.write(`${columns.join(',')}\n`)
    for (let from = 0; from < rows; from += 10_000) {
      const chunk = Array.from({ length: Math.min(10_000, rows - from) }, (_one, k) => row(from + k)).join(
        '\n',
      )
      if (!out.write(`${chunk}\n`)) await once(out, 'drain')
    }
    out.end()
    await once(out, 'finish')
    const stages = JSON.parse(
      execFileSync(process.execPath, [fileURLToPath(new URL('./recordStages.mjs', import.meta.url)), file], {
        encoding: 'utf8',
      }),
    )
    console.log(`\n${stages.rows} rows × ${columns.length} columns, ${stages.cohort} in the cohort`)
    for (const [stage, seconds] of stages.seconds)
      console.log(`  ${stage.padEnd(12)} ${seconds.toFixed(2).padStart(8)} s`)
    console.log(`  peak ${stages.peakMegabytes} MB`)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}
