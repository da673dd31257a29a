import { readFileSync } from 'node:fs'
import Module, { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { type DoorName, packageName } from './frontDoor.js'
import { rememberingNarrow } from './narrowCharts.js'

const require = createRequire(import.meta.url)
const toolkit = fileURLToPath(new URL('../..', import.meta.url))

const folders = new Map<string, string | undefined>()

/**
 * Folder of a package that a cell may import though it is not installed where the notebook lies: the toolkit itself, and
 * what it is installed with. Undefined for what is installed beside the notebook, and for what is nowhere.
 */
export function packageFolder(name: string): string | undefined {
  if (name === packageName) return toolkit.replace(/[\\/]$/, '')
  if (!folders.has(name)) {
    const here = createRequire(join(process.cwd(), 'cell.js'))
    folders.set(name, folderOf(here, name) === undefined ? folderOf(require, name) : undefined)
  }
  return folders.get(name)
}

/** The folder of an installed package, searched as Node does; packages may keep their package.json to themselves. */
function folderOf(from: NodeJS.Require, name: string): string | undefined {
  for (const folder of from.resolve.paths(name) ?? []) {
    try {
      readFileSync(join(folder, name, 'package.json'))
      return join(folder, name)
    } catch {
      // Not in this folder: the search goes on in the next.
    }
  }
  return undefined
}

interface Parent {
  readonly id: string
  readonly filename: string
  readonly paths: readonly string[]
}

interface Loader {
  _resolveFilename(request: string, parent: unknown, ...more: unknown[]): string
  _nodeModulePaths(folder: string): readonly string[]
}

/**
 * Lets `require` find the toolkit, and what it is installed with, wherever the notebook lies. What is installed beside the
 * notebook comes first, but for the toolkit itself: a kernel speaks for one version.
 */
export function resolveAnywhere(): void {
  const loader = Module as unknown as Loader
  const plain = loader._resolveFilename
  const filename = fileURLToPath(import.meta.url)
  const here: Parent = { id: filename, filename, paths: loader._nodeModulePaths(dirname(filename)) }
  loader._resolveFilename = function (request, parent, ...more) {
    if (request === packageName || request.startsWith(`${packageName}/`))
      return plain.call(this, request, here)
    try {
      return plain.call(this, request, parent, ...more)
    } catch (cause) {
      if ((cause as { code?: string }).code !== 'MODULE_NOT_FOUND' || /^[./]/.test(request)) throw cause
      try {
        return plain.call(this, request, here)
      } catch {
        throw cause
      }
    }
  }
}

/** What cells find under the names of the front door: each is loaded when it is first used. */
export function doorValues(door: ReadonlyMap<string, DoorName>): object {
  const values = Object.create(null) as object
  for (const [name, { module, exported }] of door) {
    Object.defineProperty(values, name, {
      get: () => {
        const value = (require(`${module}.js`) as Readonly<Record<string, unknown>>)[exported]
        return typeof value === 'function' && /(?:Chart|Diagram|Array)$/.test(name)
          ? rememberingNarrow(value as Parameters<typeof rememberingNarrow>[0])
          : value
      },
      // A cell that declares the name itself has its own from then on.
      set(this: object, value: unknown) {
        Object.defineProperty(this, name, { value, writable: true, enumerable: true, configurable: true })
      },
      enumerable: true,
    })
  }
  return values
}

/** The folder in which the kernel's compiled code lies. */
export const kernelFolder = join(dirname(require.resolve('tslab/package.json')), 'dist')
