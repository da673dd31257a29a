import { readdir, readFile, stat } from 'node:fs/promises'
import { join } from 'node:path'
import { UsageError } from '../core/errors.js'
import { demoPackageName } from './dataPackage.js'
import { demoFiles } from './tables.js'

const ownFiles = new Set([...Object.values(demoFiles), 'datapackage.json', 'truth.json', 'README.md'])

/** Beginning of the name of the folder in which demo data are made before they are renamed. */
export const temporaryPrefix = '.holdfast-demo-'

/** What is at a place to which demo data shall be written. */
export type DemoTargetState = 'absent' | 'empty' | 'demo'

/**
 * Whether demo data may be written to a place: there is nothing, an empty folder, or demo data.
 *
 * @throws UsageError where something else is there, which is never overwritten
 */
export async function demoTarget(target: string, asGiven: string): Promise<DemoTargetState> {
  const found = await stat(target).catch(ignoreAbsent)
  if (found === undefined) return 'absent'
  if (!found.isDirectory()) throw notAFolder(asGiven)
  const names = await readdir(target)
  if (names.length === 0) return 'empty'
  const own = names.every((name) => ownFiles.has(name) || name.startsWith(temporaryPrefix))
  if (!own || !(await saysDemo(join(target, 'datapackage.json')))) throw notADemoFolder(asGiven)
  return 'demo'
}

function ignoreAbsent(error: NodeJS.ErrnoException): undefined {
  if (error.code === 'ENOENT') return undefined
  throw error
}

async function saysDemo(path: string): Promise<boolean> {
  try {
    const content: unknown = JSON.parse(await readFile(path, 'utf8'))
    return (
      typeof content === 'object' &&
      content !== null &&
      'name' in content &&
      content.name === demoPackageName &&
      'generated' in content &&
      content.generated === true
    )
  } catch {
    return false
  }
}

function notAFolder(asGiven: string): UsageError {
  return new UsageError({
    code: 'not-a-folder',
    problem: `${asGiven} is a file.`,
    expected: 'a folder, or a name that is not taken yet.',
    mend: 'give another name.',
  })
}

function notADemoFolder(asGiven: string): UsageError {
  return new UsageError({
    code: 'not-a-demo-folder',
    problem: `${asGiven} holds files that are not demo data, and nothing was written.`,
    expected: 'a new or empty folder, or one with demo data only.',
    mend: 'give another folder, or move those files away.',
  })
}
