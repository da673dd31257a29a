import { createHash } from 'node:crypto'
import { existsSync, readdirSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { basename, dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { Script } from 'node:vm'
import { threadId } from 'node:worker_threads'
import { engineFlags, giveFlags } from './engineFlags.js'

/**
 * What is gathered into programs of one file each: a thread loads no more than it runs, since all of a program is taken in at
 * once. Each part is loaded when it is asked for.
 */
export interface GatheredPrograms {
  readonly command: {
    readonly commandLine: () => Promise<typeof import('./commandLine.js')>
    readonly auditThread: () => Promise<unknown>
  }
  readonly answers: {
    readonly answersThread: () => Promise<typeof import('./answersThread.js')>
    readonly chainsThread: () => Promise<unknown>
  }
  readonly pictures: {
    readonly pictureThread: () => Promise<typeof import('../charts/pictureThread.js')>
    readonly render: () => Promise<typeof import('../charts/render.js')>
  }
  readonly reading: { readonly readingThread: () => Promise<unknown> }
}

/** Name of a program. */
export type ProgramName = keyof GatheredPrograms

/** A program in one file, with what the engine had compiled of it when it was built. */
export interface GatheredProgram<Parts> {
  readonly parts: Parts
  /** Whether the engine took what was compiled before: it refuses what another version of it made. */
  readonly compiledBefore: boolean
  /**
   * Keeps what is compiled of the program by now beside it, where nothing was kept that this engine takes and the folder may be
   * written to.
   */
  keepCompiled(): void
}

/** Where a program stands in one file, and what was compiled of it. */
export interface GatheredFiles {
  readonly program: URL
  readonly compiled: URL
}

/** The files of a program as scripts/bundleCommand.mjs and scripts/compileAhead.mjs make them. */
export function gatheredFiles(name: ProgramName): GatheredFiles {
  return {
    program: new URL(`../bundled/${name}.cjs`, import.meta.url),
    compiled: new URL(`../bundled/${name}.compiled`, import.meta.url),
  }
}

/** Signs of the comment with the digest of the program with which its file begins, and bytes of the digest of what was compiled. */
const nameSigns = 67
const digestBytes = 32

/**
 * A program in one file; undefined where it is missing, or older than the modules.
 *
 * @param files default those of the build
 */
export function gatheredProgram<Name extends ProgramName>(
  name: Name,
  files: GatheredFiles = gatheredFiles(name),
): GatheredProgram<GatheredPrograms[Name]> | undefined {
  const made = builtAt(files.program)
  const modules = builtAt(new URL('../.tsbuildinfo', import.meta.url)) ?? 0
  if (made === undefined || made < modules) return undefined
  giveFlags(engineFlags(process.versions.v8))
  const path = fileURLToPath(files.program)
  // The file is written in ASCII: read as Latin-1 it stays at one byte a sign.
  const source = readFileSync(path, 'latin1')
  const cachedData = keptCompiled(source, files.compiled)
  const script = new Script(`(function (module, require, __filename, importHere) {${source}\n})`, {
    filename: path,
    ...(cachedData === undefined ? {} : { cachedData }),
  })
  const module = { exports: {} as { readonly parts: GatheredPrograms[Name] } }
  const importHere = (name: string): Promise<unknown> => import(name)
  script.runInThisContext()(module, createRequire(files.program), path, importHere)
  const compiledBefore = cachedData !== undefined && script.cachedDataRejected !== true
  return {
    parts: module.exports.parts,
    compiledBefore,
    keepCompiled: () => {
      if (compiledBefore) return
      const data = script.createCachedData()
      const path = fileURLToPath(files.compiled)
      const fresh = `${path}.${process.pid}-${threadId}.part`
      try {
        removeLeftOver(path)
        writeFileSync(fresh, Buffer.concat([nameOf(source), digestOf(data), data]))
        renameSync(fresh, path)
      } catch {
        // An installation that belongs to somebody else stays as it is, and compiles anew each time.
        rmSync(fresh, { force: true })
      }
    },
  }
}

/**
 * Runs a part of a program as a thread. What a thread goes through before its first order is kept compiled, where the build has not
 * kept it, as in an installed package.
 */
export async function runGatheredThread<Name extends ProgramName>(
  name: Name,
  part: keyof GatheredPrograms[Name],
): Promise<void> {
  const program = gatheredProgram(name)!
  const start = program.parts[part] as () => Promise<{ readonly rehearsed?: Promise<unknown> }>
  const { rehearsed } = await start()
  if (rehearsed === undefined) return
  await rehearsed
  program.keepCompiled()
}

/**
 * What was compiled of exactly this program, if it is whole: the engine itself compares lengths only, and would run what is
 * damaged.
 */
function keptCompiled(source: string, file: URL): Buffer | undefined {
  if (!existsSync(file)) return undefined
  const kept = readFileSync(file)
  const data = kept.subarray(nameSigns + digestBytes)
  const whole = kept.subarray(nameSigns, nameSigns + digestBytes).equals(digestOf(data))
  return whole && kept.subarray(0, nameSigns).equals(nameOf(source)) ? data : undefined
}

/** Removes what was being kept when a thread or a command was ended. */
function removeLeftOver(path: string): void {
  const folder = dirname(path)
  for (const name of readdirSync(folder))
    if (name.startsWith(`${basename(path)}.`) && name.endsWith('.part'))
      rmSync(join(folder, name), { force: true })
}

/** The comment in front of the program, which names it by its digest. */
function nameOf(source: string): Buffer {
  return Buffer.from(source.slice(0, nameSigns), 'latin1')
}

function digestOf(data: Uint8Array): Buffer {
  return createHash('sha256').update(data).digest()
}

function builtAt(file: URL): number | undefined {
  return statSync(fileURLToPath(file), { throwIfNoEntry: false })?.mtimeMs
}
