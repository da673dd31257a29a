import { readFileSync } from 'node:fs'
import { open, readdir, readFile, rename, rm, stat } from 'node:fs/promises'
import { hostname } from 'node:os'
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
 * Does something while this run holds a lock: a file that names the process and its machine. One that a killed run left
 * behind does not count; whether a run on another machine that writes to the same disk is alive cannot be told, so that
 * its lock does. No clock is read: it may be put back while a run waits.
 *
 * @param refusal what is thrown where another run has it for longer than ten seconds
 */
export async function whileHolding<Result>(
  lock: string,
  refusal: () => UsageError,
  work: () => Promise<Result>,
): Promise<Result> {
  let cutShort = 0
  for (let waited = 0; !(await isTaken(lock)); waited += step) {
    if (waited >= patience) throw refusal()
    const holder = await holderOf(lock)
    // Between making the file and writing it lies a moment; where it lasts, the run was killed in it.
    cutShort = holder === 'cut short' ? cutShort + step : 0
    if (holder === 'gone' || cutShort > 2_000) await rm(lock, { force: true })
    else await new Promise((resolve) => setTimeout(resolve, step))
  }
  try {
    return await work()
  } finally {
    await rm(lock, { force: true })
  }
}

const step = 100

async function isTaken(lock: string): Promise<boolean> {
  try {
    const file = await open(lock, 'wx', 0o600)
    try {
      await file.writeFile(`${process.pid} ${startOf(process.pid)} ${machine}\n`)
    } finally {
      await file.close()
    }
    return true
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error
    return false
  }
}

const machine = hostname().replace(/\s+/g, '-')

async function holderOf(lock: string): Promise<'alive' | 'gone' | 'cut short'> {
  const text = await readFile(lock, 'utf8').catch(() => undefined)
  if (text === undefined) return 'alive'
  const found = /^(\d+)(?: (\S+) (\S+))?\n$/.exec(text)
  if (found === null) return 'cut short'
  const [, pid, start, host = machine] = found
  if (host !== machine) return 'alive'
  const holder = Number(pid)
  return isAlive(holder) && (start === undefined || start === startOf(holder)) ? 'alive' : 'gone'
}

/** Whether a process of this machine is alive. */
export function isAlive(holder: number): boolean {
  try {
    process.kill(holder, 0)
    return true
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM'
  }
}

/**
 * When a process began, in ticks since the machine started: after a restart of the machine another may have its number.
 * `-` where the system does not say.
 */
function startOf(pid: number): string {
  try {
    // The name of the program comes before it, in brackets, and may hold anything.
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8')
    return stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? '-'
  } catch {
    return '-'
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
