/**
 * Executes the notebooks of the project by Jupyter itself (nbconvert of Debian's packages, or any other), with the
 * kernel specification that `holdfast kernel` writes, and compares what they show with what is committed: the proof
 * that they are ordinary notebooks. `.ci/run` calls it; `npm test` runs the same notebooks without Python.
 *
 *   node scripts/notebooksInJupyter.mjs [NAME...]
 */
import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { writeKernelSpecification } from '../dist/notebook/kernelSpecification.js'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const folder = join(root, 'notebooks')
const wanted = process.argv.slice(2)
const names = readdirSync(folder)
  .filter(
    (name) => name.endsWith('.ipynb') && (wanted.length === 0 || wanted.some((one) => name.startsWith(one))),
  )
  .sort()

/** The forms and texts of the outputs of each cell, which do not depend on who runs the notebook. */
function shown(path) {
  return JSON.parse(readFileSync(path, 'utf8'))
    .cells.filter((cell) => cell.cell_type === 'code')
    .map((cell) =>
      cell.outputs.map(({ output_type: type, data = {}, text = '' }) => ({
        type,
        forms: Object.keys(data).sort(),
        text: [data['text/plain'] ?? text].flat().join(''),
      })),
    )
}

if (spawnSync('jupyter-nbconvert', ['--version']).status !== 0) {
  console.error('There is no jupyter-nbconvert here. On Debian: apt-get install jupyter-nbconvert')
  process.exit(2)
}
const scratch = mkdtempSync(join(tmpdir(), 'notebooks-in-jupyter-'))
try {
  await writeKernelSpecification(join(scratch, 'kernels'))
  for (const name of names) {
    const started = Date.now()
    const words = ['--to', 'notebook', '--execute', '--log-level', 'ERROR', '--output-dir', scratch]
    execFileSync('jupyter-nbconvert', [...words, join(folder, name)], {
      env: { ...process.env, JUPYTER_DATA_DIR: scratch, HOLDFAST_DATE: '2026-01-31' },
      stdio: ['ignore', 'ignore', 'inherit'],
    })
    const here = shown(join(folder, name))
    const differing = shown(join(scratch, name)).findIndex(
      (outputs, cell) => JSON.stringify(outputs) !== JSON.stringify(here[cell]),
    )
    if (differing >= 0) {
      console.error(
        `${name}: code cell ${differing + 1} shows something else in Jupyter than what is committed`,
      )
      process.exitCode = 1
    } else console.log(`${name}: the same in Jupyter, ${((Date.now() - started) / 1000).toFixed(1)} s`)
  }
} finally {
  rmSync(scratch, { recursive: true, force: true })
}
