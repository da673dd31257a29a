/**
 * Executes the notebooks of the project through the real kernel and writes their outputs back, so that what is
 * committed is what a run gives.
 *
 *   node scripts/executeNotebooks.mjs
 */
import { readdirSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { runNotebook, writeNotebook } from '../dist/notebook/run.js'

const folder = join(dirname(fileURLToPath(import.meta.url)), '..', 'notebooks')
for (const name of readdirSync(folder)
  .filter((file) => file.endsWith('.ipynb'))
  .sort()) {
  const path = join(folder, name)
  const { notebook, failure } = await runNotebook(path, { environment: { HOLDFAST_DATE: '2026-01-31' } })
  if (failure !== undefined) {
    console.error(`${name}, cell ${failure.cell}: ${failure.detail}`)
    process.exitCode = 1
    continue
  }
  await writeNotebook(path, notebook)
  console.log(`${name}: executed`)
}
