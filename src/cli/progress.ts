import { createRequire } from 'node:module'
import { isMainThread, parentPort, workerData } from 'node:worker_threads'
import { stopwatch } from '../core/stopwatch.js'

/** Shows how far a long piece of work has come, on a terminal only, so that piped output stays clean. */
export interface Progress {
  update(share: number): void
  stop(): void
}

/** Work in stages that follow each other, each with the share of it that is done, from 0 to 1, where it is known. */
export interface StagedProgress {
  update(stage: string, share?: number): void
  stop(): void
}

/** What a command in a thread tells of its progress; without a stage there is nothing to show any more. */
export interface ProgressReport {
  readonly stage?: string
  readonly share?: number
}

/** Signs of a bar. */
const barWidth = 40

/** A shorter wait needs no bar. */
const shownAfterMilliseconds = 2_000

/** Where progress is shown, and by which clock; another in tests. */
export interface ProgressPlace {
  readonly stream: NodeJS.WritableStream & { readonly isTTY?: boolean }
  readonly elapsed: () => number
}

/** The progress of work of one stage. */
export function startProgress(stage: string, place: Partial<ProgressPlace> = {}): Progress {
  const stages = startStages(place)
  return { update: (share) => stages.update(stage, share), stop: stages.stop }
}

/**
 * The stage at hand on standard error, shown from two seconds on, counted from the start of the whole; a command that
 * runs in a thread tells the main thread, which shows it.
 */
export function startStages(place: Partial<ProgressPlace> = {}): StagedProgress {
  if (place.stream === undefined && !isMainThread) return toldToMainThread()
  const { stream = process.stderr, elapsed = stopwatch() } = place
  if (stream.isTTY !== true) return { update: () => undefined, stop: () => undefined }
  let current: { readonly stage: string; readonly line: StageLine } | undefined
  return {
    update: (stage, share) => {
      if (current?.stage !== stage) {
        current?.line.stop()
        current = { stage, line: openLine(stage, { stream, elapsed }) }
      }
      current.line.update(share)
    },
    stop: () => {
      current?.line.stop()
      current = undefined
    },
  }
}

function toldToMainThread(): StagedProgress {
  const terminal = (workerData as { readonly terminal?: boolean } | null)?.terminal === true
  const tell = (report: ProgressReport): void => {
    if (terminal) parentPort?.postMessage(report)
  }
  return {
    update: (stage, share) => tell({ stage, ...(share === undefined ? {} : { share }) }),
    stop: () => tell({}),
  }
}

/** Tells what a command in a thread is doing; on the main thread nothing is shown of it. */
export function announce(stage: string, share?: number): void {
  if (!isMainThread) toldToMainThread().update(stage, share)
}

interface StageLine {
  update(share: number | undefined): void
  stop(): void
}

/** One stage: its name, a bar where its share is known, and the seconds since the start. */
function openLine(stage: string, { stream, elapsed }: ProgressPlace): StageLine {
  let share: number | undefined
  // Only a terminal needs it, and every command would wait for it.
  const { Presets, SingleBar } = createRequire(import.meta.url)(
    'cli-progress',
  ) as typeof import('cli-progress')
  const bar = new SingleBar(
    {
      format: (options, { progress }) => {
        const seconds = `${Math.floor(elapsed() / 1000)} s`
        if (share === undefined) return `${stage}, ${seconds}`
        const done = Math.round(progress * barWidth)
        const bar =
          `${options.barCompleteChar}`.repeat(done) + `${options.barIncompleteChar}`.repeat(barWidth - done)
        return `${stage} ${bar} ${Math.round(100 * progress)}%, ${seconds}`
      },
      stream,
      clearOnComplete: true,
      hideCursor: true,
    },
    Presets.shades_classic,
  )
  let isShown = false
  const show = (): void => {
    const percent = Math.round(100 * (share ?? 0))
    if (isShown) bar.update(percent)
    else if (elapsed() >= shownAfterMilliseconds) {
      isShown = true
      bar.start(100, percent)
    }
  }
  const later = setTimeout(show, Math.max(0, shownAfterMilliseconds - elapsed())).unref()
  return {
    update: (done) => {
      share = done
      show()
    },
    stop: () => {
      clearTimeout(later)
      bar.stop()
    },
  }
}
