import { createRequire, isBuiltin } from 'node:module'
import { join, relative, sep } from 'node:path'
import { fileURLToPath } from 'node:url'
import { packageFolder } from './cellModules.js'
import {
  type Compiler,
  type DoorName,
  frontDoor,
  packageName,
  type SyntaxNode,
  withoutReadyImports,
  wordsOf,
} from './frontDoor.js'

/** What turns cells into code, of the kernel's own making. */
interface Converter {
  convert(earlier: string, code: string): object
  inspect(earlier: string, code: string, at: number): object | undefined
  complete(earlier: string, code: string, at: number): Completion
}

interface Completion {
  readonly start: number
  readonly end: number
  readonly candidates: readonly string[]
}

interface WatchHost {
  resolveTypeReferenceDirectiveReferences?: unknown
}

type Watch = (path: string, ...more: unknown[]) => { close(): void }
type Look = (path: string, ...more: unknown[]) => unknown

interface WatchingCompiler extends Compiler {
  readonly sys: Record<'watchFile' | 'watchDirectory', Watch> & Record<(typeof looks)[number], Look>
  createWatchCompilerHost(files: unknown, options: object, ...more: unknown[]): WatchHost
  resolveTypeReferenceDirective(name: string, from: string, options: object, host: object): unknown
}

/** The calls by which the compiler looks at files. */
const looks = ['readFile', 'fileExists', 'directoryExists', 'getDirectories', 'readDirectory'] as const

const toolkit = fileURLToPath(new URL('../..', import.meta.url))
const fewGlobals = join(toolkit, 'packages/cell-globals/index.d.ts')

/** Words of Node that the few globals leave out: a cell that has one is compiled with the types of all of Node. */
const moreOfNode =
  /['"]node:|(?:from|import)\s*\(?\s*['"]\.{1,2}\/|\b(?:Buffer|NodeJS|require|module|global|fetch|Headers|Request|Response|URL|URLSearchParams|TextEncoder|TextDecoder|AbortController|AbortSignal|performance|crypto|queueMicrotask|setInterval|clearInterval|setImmediate|clearImmediate|Blob|Event|EventTarget|__dirname|__filename)\b|\bprocess\s*\.\s*(?!(?:env|platform|version|cwd|exit|memoryUsage|resourceUsage)\b)|\bconsole\s*\.\s*(?!(?:log|info|warn|error|table|time|timeEnd)\b)/

/** What a kernel knows of its cells beside what it keeps itself. */
export interface CellCompiler {
  readonly compiler: Compiler
  readonly door: ReadonlyMap<string, DoorName>
}

/**
 * Gives the kernel's compiler what a notebook needs wherever it lies: the packages of the toolkit, the names of the front
 * door without import lists, and of the types of Node only what a cell uses, since reading all takes a second and 60 MB.
 * To be called before the kernel starts.
 *
 * @param kernelFolder folder of the kernel's compiled code
 */
export function equipCompiler(kernelFolder: string): CellCompiler {
  const require = createRequire(join(kernelFolder, 'main.js'))
  const place = require.resolve('@tslab/typescript-for-tslab')
  const compiler = require(place) as WatchingCompiler
  watchOwnFilesOnly(compiler)
  lookAnywhere(compiler)
  require.cache[place]!.exports = withCellOptions(compiler)
  const door = frontDoor(compiler)
  const made = require('./converter.js') as { createConverter(options: object): Converter }
  const plain = made.createConverter
  made.createConverter = (options) => equipped(plain(options), compiler, door)
  return { compiler, door }
}

/** Files of the toolkit and of packages do not change under a kernel; watching them takes time and handles. */
function watchOwnFilesOnly({ sys }: WatchingCompiler): void {
  const { watchFile, watchDirectory } = sys
  const apart = (path: string): boolean =>
    path.includes('/node_modules/') || path.startsWith(toolkit.replaceAll(sep, '/'))
  const closed = { close: () => undefined }
  sys.watchFile = (path, ...more) => (apart(path) ? closed : watchFile(path, ...more))
  sys.watchDirectory = (path, ...more) => (apart(path) ? closed : watchDirectory(path, ...more))
}

/**
 * Shows the compiler the packages of the toolkit as if they were installed where the notebook lies. Types that it infers
 * have to be written down under a name that an import from there could have.
 */
function lookAnywhere({ sys }: WatchingCompiler): void {
  // Inside an installed package a search upwards finds the toolkit, and a name through two folders of packages is refused.
  if (process.cwd().split(sep).includes('node_modules')) return
  const folder = `${process.cwd().replaceAll(sep, '/')}/node_modules/`
  const forwarded = (path: string): string => {
    if (!path.startsWith(folder)) return path
    const [, name, rest] = /^((?:@[^/]+\/)?[^/]+)(.*)$/s.exec(path.slice(folder.length)) ?? []
    const real = name === undefined ? undefined : packageFolder(name)
    return real === undefined ? path : `${real.replaceAll(sep, '/')}${rest}`
  }
  for (const look of looks) {
    const plain = sys[look]
    sys[look] = (path, ...more) => plain(forwarded(path), ...more)
  }
}

/** The compiler with the options of cells; its own properties cannot be changed, so that it is given a twin. */
function withCellOptions(compiler: WatchingCompiler): object {
  const twin = {}
  for (const name of Object.keys(compiler)) {
    Object.defineProperty(twin, name, {
      get: () => (name === 'createWatchCompilerHost' ? hostOfCells : compiler[name as keyof Compiler]),
      enumerable: true,
    })
  }
  const hostOfCells: WatchingCompiler['createWatchCompilerHost'] = (files, given, ...more) => {
    const options = { ...given, types: [] }
    const host = compiler.createWatchCompilerHost(files, options, ...more)
    const few = { primary: true, resolvedFileName: fewGlobals, isExternalLibraryImport: true }
    host.resolveTypeReferenceDirectiveReferences = (
      references: readonly (string | { readonly fileName: string })[],
      from: string,
    ) =>
      references.map((reference) => {
        const name = typeof reference === 'string' ? reference : reference.fileName
        if (name === 'node') return { resolvedTypeReferenceDirective: few }
        return compiler.resolveTypeReferenceDirective(name, from, options, host)
      })
    return host
  }
  return twin
}

function equipped(converter: Converter, compiler: Compiler, door: ReadonlyMap<string, DoorName>): Converter {
  const allOfNode = nodeTypes()
  let types = fewGlobals
  const prepared = (earlier: string, code: string): readonly [string, string] => {
    const own = declaredIn(compiler, earlier)
    const text = withoutReadyImports(compiler, code, (name) => door.has(name) && !own.has(name))
    if (allOfNode !== undefined && (moreOfNode.test(text) || importsBuiltin(text))) types = allOfNode
    const wanted = [...wordsOf(compiler, text)].filter((name) => door.has(name) && !own.has(name))
    const lines = wanted.map((name) => importLine(name, door.get(name)!))
    return [[importOf(types), ...lines, earlier].join('\n'), text]
  }
  return {
    ...converter,
    convert: (earlier, code) => converter.convert(...prepared(earlier, code)),
    inspect: (earlier, code, at) => converter.inspect(...prepared(earlier, code), at),
    complete: (earlier, code, at) => {
      const found = converter.complete(...prepared(earlier, code), at)
      return withDoorNames(found, code, [...door.keys()])
    },
  }
}

function importsBuiltin(text: string): boolean {
  return [...text.matchAll(/(?:from|import)\s*\(?\s*['"]([\w/]+)['"]/g)].some(([, name]) => isBuiltin(name!))
}

/** The types of Node that came with the kernel; undefined where they are not installed. */
function nodeTypes(): string | undefined {
  try {
    return createRequire(import.meta.url)
      .resolve('@types/node/package.json')
      .replace('package.json', 'index')
  } catch {
    return undefined
  }
}

function importOf(path: string): string {
  return `import ${JSON.stringify(path.replaceAll(sep, '/').replace(/\.d\.ts$/, ''))};`
}

function importLine(name: string, { module, exported }: DoorName): string {
  const named = name === exported ? name : `${exported} as ${name}`
  const path = relative(toolkit, module).replaceAll(sep, '/')
  return `import { ${named} } from "${packageName}/${path}";`
}

/** Names that earlier cells declared, as the kernel keeps their declarations. */
function declaredIn(compiler: Compiler, earlier: string): ReadonlySet<string> {
  const { statements = [] } = compiler.createSourceFile('earlier.d.ts', earlier, compiler.ScriptTarget.Latest)
  const named = statements.flatMap((statement): readonly (SyntaxNode | undefined)[] => [
    statement.name,
    ...(statement.declarationList?.declarations ?? []).map(({ name }) => name),
    statement.importClause?.name,
    statement.importClause?.namedBindings?.name,
    ...(statement.importClause?.namedBindings?.elements ?? []).map(({ name }) => name),
  ])
  return new Set(named.flatMap((node) => (node?.text === undefined ? [] : [node.text])))
}

/** Names of the front door that begin as the word at the cursor, unless it is a property of something. */
function withDoorNames(found: Completion, code: string, names: readonly string[]): Completion {
  const word = code.slice(found.start, found.end)
  const before = code.slice(0, found.start)
  if (word === '' || /[.'"`]\s*$/.test(before)) return found
  const more = names.filter((name) => name.startsWith(word) && !found.candidates.includes(name))
  return { ...found, candidates: [...more.sort(), ...found.candidates] }
}
