import { mkdir } from 'node:fs/promises'
import { join } from 'node:path'
import { whileHolding } from '../../core/alone.js'
import { UsageError } from '../../core/errors.js'

/**
 * Does something while no other run uses a folder.
 *
 * @throws UsageError `place-in-use` where another run that is still alive has it
 */
export async function whileLocked<T>(folder: string, work: () => Promise<T>): Promise<T> {
  await mkdir(folder, { recursive: true, mode: 0o700 })
  return whileHolding(join(folder, 'in-use.lock'), inUse, work)
}

function inUse(): UsageError {
  return new UsageError({
    code: 'place-in-use',
    problem: 'another run uses the practice place at this moment.',
    expected: 'one run at a time.',
    mend: 'wait until the other run has ended; if there is none, remove the file in-use.lock.',
  })
}
