import { open, readdir, readFile, rename, rm, stat } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'
import { UsageError } from './errors.js'

/** How long a run waits for another that writes to the same place, in milliseconds: writing takes a moment. */
const patience = 10_000

/**
 * Does something while no other run writes to a place. The lock is a file beside the place.
 *
 * @param place file or folder that is written; what holds it has to be there
 * @throws UsageError `place-busy` where another run that is alive has it for longer than ten seconds
 */
export function whileAlone<Result>(place: string, work: () => Promise<Result>): Promise<Result> {
  const name = basename(place)
  return whileHolding(join(dirname(place), `.${name}.lock`), () => busy(name), work)
}

/**
 * Does something while this run holds a lock: a file with the number of the process. One that a killed run left behind
 * does not count.
 *
 * @param refusal what is thrown where another run that is alive has it for longer than ten seconds
 */
export async function whileHolding<Result>(
  lock: string,
  refusal: () => UsageError,
  work: () => Promise<Result>,
): Promise<Result> {
  for (let waited = 0; !(await isTaken(lock)); waited += 100) {
    if (waited >= patience) throw refusal()
    await new Promise((resolve) => setTimeout(resolve, 100))
  }
  try {
    return await work()
  } finally {
    await rm(lock, { force: true })
  }
}

async function isTaken(lock: string): Promise<boolean> {
  try {
    const file = await open(lock, 'wx', 0o600)
    try {
      await file.writeFile(`${process.pid}\n`)
    } finally {
      await file.close()
    }
    return true
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error
  }
  if (await isAbandoned(lock)) await rm(lock, { force: true })
  return false
}

/** Whether nobody holds the lock any more: its process is gone, or it was cut short before it was written. */
async function isAbandoned(lock: string): Promise<boolean> {
  const text = await readFile(lock, 'utf8').catch(() => undefined)
  if (text === undefined) return false
  if (/^\d+\n$/.test(text)) return !isAlive(Number(text))
  const age = await stat(lock).then(
    ({ mtimeMs }) => Date.now() - mtimeMs,
    () => 0,
  )
  return age > 2_000
}

function isAlive(holder: number): boolean {
  try {
    process.kill(holder, 0)
    return true
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM'
  }
}

function busy(name: string): UsageError {
  return new UsageError({
    code: 'place-busy',
    problem: `another run is writing to ${name} at this moment.`,
    expected: 'one run at a time in one place.',
    mend: `wait until the other run has ended; if there is none, remove the file .${name}.lock beside it.`,
  })
}

/**
 * Puts right what killed runs left beside a folder: where one was stopped between moving the folder aside and putting
 * the new one in its place, the folder comes back; the rest is removed. Only while the place is locked.
 *
 * @param folder that is about to be written
 * @param isLeftover whether a name beside it is one of a temporary folder of such runs
 * @param aside where in a temporary folder the earlier folder lies; '' for the temporary folder itself
 */
export async function clearLeftovers(
  folder: string,
  isLeftover: (name: string) => boolean,
  aside: (name: string) => string | undefined,
): Promise<void> {
  const parent = dirname(folder)
  const names = (await readdir(parent)).filter(isLeftover)
  for (const name of names) {
    const inner = aside(name)
    const isThere = await stat(folder).catch(() => undefined)
    if (inner !== undefined && isThere === undefined)
      await rename(join(parent, name, inner), folder).catch(() => undefined)
  }
  await Promise.all(names.map((name) => rm(join(parent, name), { recursive: true, force: true })))
}
