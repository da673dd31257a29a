/** Times the road from records to report, stage by stage, each size in a process of its own. */
import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { timePairs } from './roadPairs.mjs'

/** Restorations; 0 for the committed demo data. */
const sizes = [0, 20_000]

/** Options beyond the name ask for the whole command, in pairs and by size; without them the stages are timed. */
export async function timeRoad(words) {
  if (process.env.HOLDFAST_BEFORE !== undefined || words.some((word) => word.startsWith('--')))
    return timePairs(words)
  timeStages()
}

function timeStages() {
  const folder = mkdtempSync(join(tmpdir(), 'bench-'))
  try {
    for (const restorations of sizes) {
      const data = join(folder, `data-${restorations}`)
      const stages = JSON.parse(
        execFileSync(
          process.execPath,
          [fileURLToPath(new URL('./roadStages.mjs', import.meta.url)), data, String(restorations)],
          {
            encoding: 'utf8',
          },
        ),
      )
      console.log(`\n${stages.restorations} restorations`)
      for (const [stage, seconds] of stages.seconds)
        console.log(`  ${stage.padEnd(12)} ${seconds.toFixed(3).padStart(8)} s`)
      console.log(
        `  ${'together'.padEnd(12)} ${stages.seconds
          .reduce((sum, [, one]) => sum + one, 0)
          .toFixed(3)
          .padStart(8)} s, peak ${stages.peakMegabytes} MB`,
      )
    }
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}
