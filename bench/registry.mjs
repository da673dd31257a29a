/**
 * A registry of generated restorations in Parquet, counted inside the embedded engine: to the answer of the first query,
 * and to the numbers of the message. The counting runs in a process of its own, so that its memory is its own.
 */
import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { writeRegistry } from './registryRows.mjs'

const restorations = 10_000_000

export async function timeRegistry() {
  const folder = mkdtempSync(join(tmpdir(), 'registry-'))
  try {
    const file = join(folder, 'registry.parquet')
    await writeRegistry([file], restorations)
    console.log(`\n${restorations} restorations in Parquet, ${Math.round(statSync(file).size / 2 ** 20)} MB`)
    const counted = execFileSync(process.execPath, [join(import.meta.dirname, 'registryCount.mjs'), file])
    const { rows, table, processor, days, summary, restorations: shared, megabytes } = JSON.parse(counted)
    console.log(`rows checked and coded       ${rows.toFixed(1)} s`)
    console.log(
      `first query (${days} days of leaving) ${table.toFixed(1)} s, from the start; ${processor.toFixed(1)} s of processor time`,
    )
    console.log(
      `numbers of the message       ${summary.toFixed(1)} s, from the start; ${shared} restorations in the two groups`,
    )
    console.log(`peak memory                  ${Math.round(megabytes)} MB`)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}
