/** Generated rows at risk of a registry, for the benchmark and for the trial of another engine. */
import { DuckDBInstance } from '@duckdb/node-api'

/**
 * Writes rows at risk with about five restorations in three patients, made by a hash of their number, as Parquet or CSV
 * by the end of each name.
 */
export async function writeRegistry(files, n) {
  const instance = await DuckDBInstance.create(':memory:', { memory_limit: '1200MB', threads: '2' })
  const connection = await instance.connect()
  const pick = (seed, list) =>
    `CASE ${list.map((word, i) => `WHEN hash(i * 31 + ${seed}) % ${list.length} = ${i} THEN '${word}'`).join(' ')} END`
  for (const file of files) {
    const format = file.endsWith('.csv') ? 'csv, HEADER' : 'parquet'
    await connection.run(`COPY (
    SELECT i AS restoration_id, hash(i * 7 + 1) % ${Math.round(n * 0.6)} AS patient_id,
      CASE WHEN hash(i * 7 + 1) % 3 = 0 THEN 'St. John''s "Hill"' ELSE 'Küste' END AS clinic_id,
      DATE '2010-01-01' + CAST(hash(i * 11 + 2) % 5400 AS INTEGER) AS delivery_date,
      CAST(hash(i * 3 + 11) % 4200 AS INTEGER) AS time_days,
      CASE WHEN hash(i + 5) % 50 = 0 THEN CAST(hash(i * 3 + 11) % 4200 AS INTEGER) // 3 ELSE 0 END AS entry_days,
      CASE WHEN hash(i * 5 + 3) % 100 < 8 THEN 1 WHEN hash(i * 5 + 3) % 100 < 13 THEN 2 ELSE 0 END AS status,
      ${pick(1, ['single', 'repeated in the window', 'single', 'repeated outside the window'])} AS exposure
    FROM range(${n}) AS numbers(i)) TO '${file}' (FORMAT ${format})`)
  }
  connection.closeSync()
  instance.closeSync()
}
