import { mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { hostname, tmpdir } from 'node:os'
import { join } from 'node:path'
import { isAlive } from './alone.js'

/** Folders for temporary files may be shared by machines, whose numbers of processes say nothing of each other. */
const machine = hostname().replace(/[^A-Za-z0-9]+/g, '') || 'machine'

/**
 * Makes a folder for temporary files that carries the number of the process, so that a later run knows whether it was
 * left behind.
 *
 * @param purpose one word
 */
export function openScratch(purpose: string): string {
  return mkdtempSync(join(tmpdir(), `holdfast-${purpose}-${machine}-${process.pid}-`))
}

/** Removes the temporary folders of runs that were killed: rows of a practice may lie in them. */
export function sweepScratch(): void {
  const ours = new RegExp(`^holdfast-[a-z]+-${machine}-(\\d+)-[A-Za-z0-9]{6}$`)
  let names: readonly string[]
  try {
    names = readdirSync(tmpdir())
  } catch {
    return
  }
  for (const name of names) {
    const holder = ours.exec(name)?.[1]
    if (holder === undefined || isAlive(Number(holder))) continue
    try {
      rmSync(join(tmpdir(), name), { recursive: true, force: true })
    } catch {
      // Another user's: that user's next run removes it.
    }
  }
}
