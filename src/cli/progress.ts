import { Presets, SingleBar } from 'cli-progress'
import { stopwatch } from '../core/stopwatch.js'

/** Shows how far a long piece of work has come, on a terminal only, so that piped output stays clean. */
export interface Progress {
  update(share: number): void
  stop(): void
}

/** A shorter wait needs no bar. */
const shownAfterMilliseconds = 2_000

/** Where progress is shown, and by which clock; another in tests. */
export interface ProgressPlace {
  readonly stream: NodeJS.WritableStream & { readonly isTTY?: boolean }
  readonly elapsed: () => number
}

/** A progress bar on standard error, shown from two seconds on. */
export function startProgress(title: string, place: Partial<ProgressPlace> = {}): Progress {
  const { stream = process.stderr, elapsed = stopwatch() } = place
  if (stream.isTTY !== true) return { update: () => undefined, stop: () => undefined }
  const bar = new SingleBar(
    {
      format: `${title} {bar} {percentage}%`,
      stream,
      clearOnComplete: true,
      hideCursor: true,
    },
    Presets.shades_classic,
  )
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

/** Work in stages that follow each other, each with a bar of its own. */
export interface StagedProgress {
  update(stage: string, share: number): void
  stop(): void
}

/** A bar for the stage at hand, counted from the start of the whole; the last is stopped where the next begins. */
export function startStages(place: Partial<ProgressPlace> = {}): StagedProgress {
  const { elapsed = stopwatch() } = place
  let current: { readonly stage: string; readonly bar: Progress } | undefined
  return {
    update: (stage, share) => {
      if (current?.stage !== stage) {
        current?.bar.stop()
        current = { stage, bar: startProgress(stage, { ...place, elapsed }) }
      }
      current.bar.update(share)
    },
    stop: () => current?.bar.stop(),
  }
}
