import { Presets, SingleBar } from 'cli-progress'

/** Shows how far a long piece of work has come, on a terminal only, so that piped output stays clean. */
export interface Progress {
  update(share: number): void
  stop(): void
}

/** Starts a progress bar on standard error. */
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
  bar.start(100, 0)
  return {
    update: (share) => bar.update(Math.round(100 * share)),
    stop: () => bar.stop(),
  }
}
