import { Presets, SingleBar } from 'cli-progress'
import { stopwatch } from '../core/stopwatch.js'

/** Shows how far a long piece of work has come, on a terminal only, so that piped output stays clean. */
export interface Progress {
  update(share: number): void
  stop(): void
}

/** A shorter wait needs no bar. */
const shownAfterMilliseconds = 2_000

/** A progress bar on standard error, shown from two seconds on. */
export function startProgress(title: string): Progress {
  if (!process.stderr.isTTY) return { update: () => undefined, stop: () => undefined }
  const bar = new SingleBar(
    {
      format: `${title} {bar} {percentage}%`,
      stream: process.stderr,
      clearOnComplete: true,
      hideCursor: true,
    },
    Presets.shades_classic,
  )
  const elapsed = stopwatch()
  let isShown = false
  return {
    update: (share) => {
      const percent = Math.round(100 * share)
      if (isShown) bar.update(percent)
      else if (elapsed() >= shownAfterMilliseconds) {
        isShown = true
        bar.start(100, percent)
      }
    },
    stop: () => bar.stop(),
  }
}
