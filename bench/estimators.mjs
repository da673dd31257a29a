/**
 * Times the estimators at several sizes and, where R with its survival (and cmprsk) packages is installed, the same
 * work there in the same run.
 *
 *   npm run bench -- estimators             10^4 and 10^5 rows, R up to 10^5
 *   npm run bench -- estimators --full      10^6 rows too, in R as well: takes about a quarter of an hour
 */
import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import * as holdfast from '../dist/statistics/index.js'
import { benchRows } from './data.mjs'

/** Estimators by name: what is timed, and the largest number of rows for it. */
const estimators = [
  ['curves', (r) => holdfast.kaplanMeierByGroup(r.time, r.event, r.group)],
  ['log-rank', (r) => holdfast.logRank(r.time, r.event, r.group)],
  ['robust-curve', (r) => holdfast.kaplanMeier(r.time, r.event, { cluster: r.patient })],
  [
    'aalen-johansen',
    (r) => holdfast.cumulativeIncidenceByGroup(r.time, r.status, r.group, { variance: 'robust' }),
  ],
  ['cox', (r) => holdfast.coxRegression({ time: r.time, event: r.event }, columnsOf(r))],
  [
    'cox-robust',
    (r) => holdfast.coxRegression({ time: r.time, event: r.event }, columnsOf(r), { cluster: r.patient }),
  ],
  ['fine-gray', (r) => holdfast.fineGrayRegression(r.time, r.status, columnsOf(r)), 100_000],
]

function columnsOf(rows) {
  return { group: rows.group, ...rows.covariates }
}

export function timeEstimators(full) {
  const sizes = full ? [10_000, 100_000, 1_000_000] : [10_000, 100_000]
  const hasR = spawnSync('Rscript', ['-e', 'library(survival)'], { stdio: 'ignore' }).status === 0
  console.log(`estimator        rows        here s   peak MB   R s        share of R`)
  for (const size of sizes) {
    const rows = benchRows(size)
    const folder = mkdtempSync(join(tmpdir(), 'bench-'))
    try {
      if (hasR) writeRows(folder, rows)
      for (const [name, estimate, most = Number.POSITIVE_INFINITY] of estimators) {
        if (size > most) continue
        const seconds = median(
          Array.from({ length: size > 100_000 ? 3 : 5 }, () => timed(() => estimate(rows))),
        )
        const reference = hasR ? timeInR(folder, name) : undefined
        printRow(name, size, seconds, reference)
      }
    } finally {
      rmSync(folder, { recursive: true, force: true })
    }
  }
}

function timed(work) {
  globalThis.gc?.()
  const start = performance.now()
  work()
  return (performance.now() - start) / 1000
}

function median(values) {
  const sorted = [...values].sort((left, right) => left - right)
  return sorted[Math.floor(sorted.length / 2)]
}

function writeRows(folder, rows) {
  const column = (name, values) =>
    writeFileSync(join(folder, `${name}.bin`), Buffer.from(Float64Array.from(values).buffer))
  for (const name of ['time', 'status', 'event', 'group', 'patient']) column(name, rows[name])
  for (const [name, values] of Object.entries(rows.covariates)) column(name, values)
}

function timeInR(folder, name) {
  const script = fileURLToPath(new URL('./reference.R', import.meta.url))
  const result = spawnSync('Rscript', [script, folder, name], { encoding: 'utf8' })
  const seconds = Number(result.stdout?.trim())
  return Number.isFinite(seconds) && result.stdout.trim() !== '' ? seconds : undefined
}

function printRow(name, size, seconds, reference) {
  const peak = process.resourceUsage().maxRSS / 1024
  const share = reference === undefined ? '' : `1/${(reference / seconds).toFixed(1)}`
  console.log(
    `${name.padEnd(16)} ${String(size).padStart(8)} ${seconds.toFixed(4).padStart(11)} ${peak.toFixed(0).padStart(9)}   ${(reference === undefined ? '-' : reference.toFixed(3)).padEnd(10)} ${share}`,
  )
}

/** Version of R, for the heading. */
export function versionOfR() {
  try {
    return execFileSync('Rscript', ['--version'], {
      encoding: 'utf8',
      stdio: ['ignore', 'pipe', 'pipe'],
    }).trim()
  } catch {
    return 'R is not installed: no comparison'
  }
}
