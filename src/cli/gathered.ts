import { createHash } from 'node:crypto'
import { existsSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { fileURLToPath } from 'node:url'
import { setFlagsFromString } from 'node:v8'
import { Script } from 'node:vm'

/** What the gathered program holds: each part is loaded when it is asked for. */
export interface GatheredParts {
  readonly commandLine: () => Promise<typeof import('./commandLine.js')>
  readonly answersThread: () => Promise<unknown>
  readonly auditThread: () => Promise<unknown>
  readonly chainsThread: () => Promise<unknown>
  readonly readingThread: () => Promise<unknown>
  readonly pictureThread: () => Promise<unknown>
  readonly render: () => Promise<typeof import('../charts/render.js')>
}

/** The program in one file, with what the engine had compiled of it when it was built. */
export interface GatheredProgram {
  readonly parts: GatheredParts
  /** Whether the engine took what was compiled before: it refuses what another version of it made. */
  readonly compiledBefore: boolean
  /**
   * Keeps what is compiled of the program by now beside it, where nothing was kept that this engine takes and the folder may be
   * written to.
   */
  keepCompiled(): void
}

/** Where the program stands in one file, and what was compiled of it. */
export interface GatheredFiles {
  readonly program: URL
  readonly compiled: URL
}

/** The files as scripts/bundleCommand.mjs and scripts/compileAhead.mjs make them. */
export const gatheredFiles: GatheredFiles = Object.freeze({
  program: new URL('../bundled/holdfast.cjs', import.meta.url),
  compiled: new URL('../bundled/holdfast.compiled', import.meta.url),
})

/** Signs of the comment with the digest of the program with which its file begins, and bytes of the digest of what was compiled. */
const nameSigns = 67
const digestBytes = 32

/**
 * Bytes of a function that the engine runs before it optimises it, six times as many as usual: a command that ends after seconds
 * spent half its processor time on optimising what it hardly ran again (docs/speed.md).
 */
const optimisedAfter = '--interrupt-budget=400000'

/**
 * Whether what is left of young objects is collected by several threads at once: they wait for each other, while both processors
 * have better to do (20,000 restorations: 18.9 s of processor time in place of 22.5).
 */
const collectedByOne = '--no-parallel-scavenge'

/**
 * The program in one file; undefined where it is missing, or older than the modules.
 *
 * @param files default {@link gatheredFiles}
 */
export function gatheredProgram(files: GatheredFiles = gatheredFiles): GatheredProgram | undefined {
  const made = builtAt(files.program)
  const modules = builtAt(new URL('../.tsbuildinfo', import.meta.url)) ?? 0
  if (made === undefined || made < modules) return undefined
  setFlagsFromString(optimisedAfter)
  setFlagsFromString(collectedByOne)
  const path = fileURLToPath(files.program)
  // The file is written in ASCII: read as Latin-1 it stays at one byte a sign.
  const source = readFileSync(path, 'latin1')
  const cachedData = keptCompiled(source, files.compiled)
  const script = new Script(`(function (module, require, __filename, importHere) {${source}\n})`, {
    filename: path,
    ...(cachedData === undefined ? {} : { cachedData }),
  })
  const module = { exports: {} as { readonly parts: GatheredParts } }
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
      const fresh = `${path}.${process.pid}.part`
      try {
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
