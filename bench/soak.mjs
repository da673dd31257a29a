/**
 * A week in little: many audits of generated practices, one after the other in one process, as a long-lived notebook or a
 * server would run them. After every tenth audit rubbish is collected and it is looked at what the process holds.
 *
 *   node --expose-gc bench/soak.mjs [--audits 1000] [--restorations 60] [--keep FILE]
 *
 * Every tenth audit writes the whole report with its pictures, the others `answer.json` and `results.json`.
 */
import { appendFileSync, existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { openPictureDrawer } from '../dist/charts/pictureDrawer.js'
import { auditDataset } from '../dist/cli/auditDataset.js'
import { demoSettings } from '../dist/demo/settings.js'
import { writeDemo } from '../dist/demo/writeDemo.js'

const words = process.argv.slice(2)
const value = (name, otherwise) => (words.includes(name) ? words[words.indexOf(name) + 1] : otherwise)
const audits = Number(value('--audits', 1_000))
const restorations = Number(value('--restorations', 60))
const kept = value('--keep', undefined)

/** Audits before the first look: modules load and functions are compiled in them. */
const warm = 50

const made = { iso: '2026-01-31', day: 20_484 }
const folder = mkdtempSync(join(tmpdir(), 'soak-'))
const drawer = openPictureDrawer()
const looks = []
const failures = new Map()
try {
  for (let i = 1; i <= audits; i++) {
    const records = join(folder, 'records')
    await writeDemo(records, demoSettings({ seed: i, restorations }))
    const order = { dataset: records, outDir: join(folder, 'report'), made }
    await auditDataset(i % 10 === 0 ? order : { ...order, formats: [] }, drawer).catch((error) => {
      failures.set(error.code ?? String(error), (failures.get(error.code ?? String(error)) ?? 0) + 1)
    })
    if (i % 10 === 0) look(i)
  }
} finally {
  await drawer.close()
  rmSync(folder, { recursive: true, force: true })
}
tell()

function look(audit) {
  globalThis.gc()
  globalThis.gc()
  const { rss, heapUsed, external, arrayBuffers } = process.memoryUsage()
  const resources = {}
  for (const kind of process.getActiveResourcesInfo()) resources[kind] = (resources[kind] ?? 0) + 1
  const found = {
    audit,
    heap: heapUsed / 2 ** 20,
    rss: rss / 2 ** 20,
    external: (external + arrayBuffers) / 2 ** 20,
    files: existsSync('/proc/self/fd') ? readdirSync('/proc/self/fd').length : 0,
    resources: Object.values(resources).reduce((sum, one) => sum + one, 0),
    kinds: Object.entries(resources)
      .map(([kind, count]) => `${count} ${kind}`)
      .sort()
      .join(', '),
    folders: readdirSync(tmpdir()).filter(
      (name) => name.startsWith('holdfast-') && name.includes(`-${process.pid}-`),
    ).length,
    beside: readdirSync(folder).filter((name) => name.startsWith('.')).length,
  }
  looks.push(found)
  if (kept !== undefined) appendFileSync(kept, `${JSON.stringify(found)}\n`)
  if (audit % 100 === 0)
    console.log(
      `${audit}: heap ${found.heap.toFixed(1)} MB, resident ${found.rss.toFixed(0)} MB, ${found.files} open files, ${found.resources} resources (${found.kinds}), ${found.folders + found.beside} folders left`,
    )
}

/** Level and slope over the audits after the first; the error of the slope from the means of ten blocks in a row. */
function tell() {
  console.log(
    `\n${audits} audits of about ${restorations} restorations, ${Math.floor(audits / 10)} with their report`,
  )
  for (const [code, count] of failures) console.log(`  refused: ${code} ${count} times`)
  const after = looks.filter(({ audit }) => audit > warm)
  if (after.length < 20) return console.log('  too few to tell a slope: name more with --audits')
  for (const [what, field, unit] of [
    ['heap', 'heap', 'MB'],
    ['resident memory', 'rss', 'MB'],
    ['memory outside the heap', 'external', 'MB'],
    ['open files', 'files', ''],
    ['resources', 'resources', ''],
    ['folders left', 'folders', ''],
  ]) {
    const values = after.map((one) => one[field])
    const { slope, error } = fitted(after.map((one) => [one.audit / 1000, one[field]]))
    console.log(
      `  ${what}: ${values[0].toFixed(1)} to ${values.at(-1).toFixed(1)} ${unit}, ${Math.min(...values).toFixed(1)} to ${Math.max(...values).toFixed(1)}; ${slope.toFixed(2)} ${unit} per 1,000 audits (standard error ${error.toFixed(2)})`,
    )
  }
}

function fitted(points) {
  const size = Math.max(1, Math.floor(points.length / 10))
  const blocks = []
  for (let at = 0; at + size <= points.length; at += size) {
    const block = points.slice(at, at + size)
    blocks.push([0, 1].map((side) => block.reduce((sum, point) => sum + point[side], 0) / size))
  }
  const n = blocks.length
  const [mx, my] = [0, 1].map((side) => blocks.reduce((sum, point) => sum + point[side], 0) / n)
  const sxx = blocks.reduce((sum, [x]) => sum + (x - mx) ** 2, 0)
  const slope = blocks.reduce((sum, [x, y]) => sum + (x - mx) * (y - my), 0) / sxx
  const rest = blocks.reduce((sum, [x, y]) => sum + (y - my - slope * (x - mx)) ** 2, 0)
  return { slope, error: n > 2 ? Math.sqrt(rest / (n - 2) / sxx) : 0 }
}
