import { readFile } from 'node:fs/promises'
import { basename } from 'node:path'
import { UsageError } from '../core/errors.js'

/** Environment variable that may name the place of the practice. */
export const practiceVariable = 'HOLDFAST_PRACTICE'

/** The place in which a practice keeps its keys and its ledger. */
export function practicePlace(given: string | undefined): string {
  const place = given ?? process.env[practiceVariable]
  if (place !== undefined && place !== '') return place
  throw new UsageError({
    code: 'no-practice-place',
    problem: 'no place was named in which the practice keeps its keys and its ledger.',
    expected: `--practice and one folder of the practice's own, always the same, or the environment variable ${practiceVariable}.`,
    mend: 'write --practice our-practice, with a folder that is backed up and never sent.',
  })
}

/** The folder for what is sent, which cannot be left out where something is written. */
export function requireOut(out: string | undefined): string {
  if (out !== undefined) return out
  throw new UsageError({
    code: 'no-out',
    problem: 'no folder was named for what is sent.',
    expected: '--out and a folder.',
    mend: 'write --out to-send.',
  })
}

/** A file that the user named, as text. */
export async function readNamed(path: string, what: string): Promise<string> {
  try {
    return await readFile(path, 'utf8')
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException
    if (code !== 'ENOENT' && code !== 'EISDIR') throw error
    throw new UsageError({
      code: 'no-such-file',
      problem: `${what} ${basename(path)} is not there.`,
      expected: 'the path of a file.',
      mend: 'check the path.',
    })
  }
}
