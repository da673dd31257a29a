/** Times the reports of many practices, each by itself, as `holdfast audit DIR... --each` makes them. */
import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const cli = fileURLToPath(new URL('../dist/cli/main.js', import.meta.url))
const usage = new URL('./usage.mjs', import.meta.url).href

/** Numbers of practices: the second takes more time, and must not take more memory. */
const sizes = [20, 100]
/** About how many restorations each practice has. */
const restorations = 200

export function timeClinics() {
  const folder = mkdtempSync(join(tmpdir(), 'bench-'))
  try {
    const clinics = Array.from({ length: Math.max(...sizes) }, (_, index) =>
      join(folder, `clinic-${index + 1}`),
    )
    clinics.forEach((clinic, index) => {
      const demo = ['demo', clinic, '--seed', String(index + 1), '--restorations', String(restorations)]
      execFileSync(process.execPath, [cli, ...demo], { stdio: 'ignore' })
    })
    for (const size of sizes) {
      const started = performance.now()
      const out = join(folder, `reports-${size}`)
      const { status, output } = spawnSync(
        process.execPath,
        ['--import', usage, cli, 'audit', ...clinics.slice(0, size), '--each', '--out', out],
        { stdio: ['ignore', 'ignore', 'inherit', 'pipe'] },
      )
      const seconds = (performance.now() - started) / 1000
      if (status !== 0) throw new Error(`the reports of ${size} practices ended with code ${status}`)
      const { processorSeconds, peakMegabytes } = JSON.parse(String(output[3]))
      console.log(
        `\n${size} practices of about ${restorations} restorations, a report each: ${seconds.toFixed(1)} s, ` +
          `${processorSeconds.toFixed(1)} s of processor, peak ${peakMegabytes.toFixed(0)} MB`,
      )
    }
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}
