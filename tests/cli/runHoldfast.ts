import { execFile } from 'node:child_process'
import { join } from 'node:path'

/** Root of the checkout. */
export const root = join(import.meta.dirname, '../..')

/** How a command ended. */
export interface Ended {
  readonly code: number
  readonly stdout: string
  readonly stderr: string
}

/** Runs the built command in a folder. */
export function runHoldfast(
  folder: string,
  words: readonly string[],
  environment: Readonly<Record<string, string>> = {},
): Promise<Ended> {
  return new Promise((resolve) => {
    execFile(
      process.execPath,
      [join(root, 'dist/cli/main.js'), ...words],
      { cwd: folder, maxBuffer: 1 << 26, env: { ...process.env, ...environment } },
      (error, stdout, stderr) =>
        resolve({ code: error === null ? 0 : Number(error.code ?? 99), stdout, stderr }),
    )
  })
}
