/**
 * A registry of generated restorations in Parquet, counted inside the embedded engine: to the risk-set table, and to the
 * summary with its part in the model. The counting runs in a process of its own, so that its memory is its own.
 */
import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { DuckDBInstance } from '@duckdb/node-api'

const restorations = 10_000_000

export async function timeRegistry() {
  const folder = mkdtempSync(join(tmpdir(), 'registry-'))
  try {
    const file = join(folder, 'registry.parquet')
    await writeRegistry(file, restorations)
    console.log(`\n${restorations} restorations in Parquet, ${Math.round(statSync(file).size / 2 ** 20)} MB`)
    const counted = execFileSync(process.execPath, [join(import.meta.dirname, 'registryCount.mjs'), file])
    const { rows, table, processor, intervals, summary, megabytes } = JSON.parse(counted)
    console.log(`rows checked and coded       ${rows.toFixed(1)} s`)
    console.log(
      `risk-set table (${intervals} intervals) ${table.toFixed(1)} s, from the start; ${processor.toFixed(1)} s of processor time`,
    )
    console.log(`summary with its model       ${summary.toFixed(1)} s, from the start`)
    console.log(`peak memory                  ${Math.round(megabytes)} MB`)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

/** Rows at risk with about five restorations in three patients, made by a hash of their number. */
async function writeRegistry(file, n) {
  const instance = await DuckDBInstance.create(':memory:', { memory_limit: '1200MB', threads: '2' })
  const connection = await instance.connect()
  const pick = (seed, list) =>
    `CASE ${list.map((word, i) => `WHEN hash(i * 31 + ${seed}) % ${list.length} = ${i} THEN '${word}'`).join(' ')} END`
  await connection.run(`COPY (
    SELECT i AS restoration_id, hash(i * 7 + 1) % ${Math.round(n * 0.6)} AS patient_id,
      CAST(hash(i * 3 + 11) % 4200 AS INTEGER) AS time_days,
      CASE WHEN hash(i + 5) % 50 = 0 THEN CAST(hash(i * 3 + 11) % 4200 AS INTEGER) // 3 ELSE 0 END AS entry_days,
      CASE WHEN hash(i * 5 + 3) % 100 < 8 THEN 1 WHEN hash(i * 5 + 3) % 100 < 13 THEN 2 ELSE 0 END AS status,
      ${pick(1, ['single', 'repeated in the window', 'single', 'repeated outside the window'])} AS exposure,
      ${pick(2, ['anterior', 'premolar', 'molar', 'molar'])} AS region,
      ${pick(3, ['female', 'male'])} AS sex,
      ${pick(4, ['none', 'none', 'none', 'possible', 'probable', 'definite', 'not recorded'])} AS bruxism
    FROM range(${n}) AS numbers(i)) TO '${file}' (FORMAT parquet)`)
  connection.closeSync()
  instance.closeSync()
}
