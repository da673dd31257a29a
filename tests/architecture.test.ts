import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'
import { describe, expect, it } from 'vitest'

/** Rooms from the ground floor up, and the rooms that each may import from, as DEVELOPERS.md states them. */
const questionRooms = ['cohort', 'statistics', 'messages', 'vocabulary', 'core']
const lower = ['questions', 'charts', 'analysis', 'pooling', 'records', ...questionRooms]
const mayImport: Readonly<Record<string, readonly string[]>> = {
  core: [],
  vocabulary: ['core'],
  messages: ['vocabulary', 'core'],
  statistics: ['core'],
  records: ['vocabulary', 'core'],
  cohort: ['records', 'vocabulary', 'core'],
  // What is still in analysis moves into questions, one question after the other.
  analysis: ['questions', ...questionRooms],
  pooling: ['cohort', 'statistics', 'vocabulary', 'core'],
  charts: ['analysis', 'pooling', 'cohort', 'messages', 'vocabulary', 'core'],
  // Of the records, only the reading of columns.
  questions: ['analysis', 'charts', 'records', ...questionRooms],
  report: ['questions', 'charts', 'analysis', 'pooling', 'messages', 'vocabulary', 'core'],
  notebook: ['report', ...lower],
  demo: ['records', 'vocabulary', 'core'],
  studies: ['core'],
  verification: ['demo', 'studies', ...lower],
  cli: ['verification', 'demo', 'notebook', 'report', ...lower],
}

/** Words of the trade that the ground floor of numerics must not know. */
const tradeWords = /\b(restoration|implant|crown|tooth|torque|tightening|dental|screw)s?\b/i

const sourceRoot = resolve(import.meta.dirname, '../src')
const files = (readdirSync(sourceRoot, { recursive: true }) as string[])
  .filter((name) => name.endsWith('.ts'))
  .map((name) => join(sourceRoot, name))

/** Every module specifier of a file: static, type, re-exported and dynamic imports. */
function importsOf(file: string): readonly string[] {
  const text = readFileSync(file, 'utf8')
  const pattern = /(?:from\s+|import\s+|import\()\s*['"]([^'"]+)['"]/g
  return [...text.matchAll(pattern)].map((match) => match[1]!)
}

function roomOf(file: string): string {
  return relative(sourceRoot, file).split('/')[0]!
}

const localImports = new Map(
  files.map((file) => [
    file,
    importsOf(file)
      .filter((name) => name.startsWith('.'))
      .map((name) => resolve(dirname(file), name.replace(/\.js$/, '.ts'))),
  ]),
)

/** Breaches of the floors: what the test of the real tree and the test of the test both use. */
function breaches(imports: ReadonlyMap<string, readonly string[]>): readonly string[] {
  return [...imports].flatMap(([file, targets]) => {
    const room = roomOf(file)
    if (room === 'index.ts') return []
    return targets
      .filter((target) => roomOf(target) !== room && !(mayImport[room] ?? []).includes(roomOf(target)))
      .map((target) => `${relative(sourceRoot, file)} imports ${relative(sourceRoot, target)}`)
  })
}

/** First circle of imports found, as a path of files. */
function circle(imports: ReadonlyMap<string, readonly string[]>): readonly string[] | undefined {
  const state = new Map<string, 'open' | 'done'>()
  const path: string[] = []
  const visit = (file: string): readonly string[] | undefined => {
    if (state.get(file) === 'done') return undefined
    if (state.get(file) === 'open') return [...path.slice(path.indexOf(file)), file]
    state.set(file, 'open')
    path.push(file)
    for (const target of imports.get(file) ?? []) {
      const found = visit(target)
      if (found !== undefined) return found
    }
    path.pop()
    state.set(file, 'done')
    return undefined
  }
  for (const file of imports.keys()) {
    const found = visit(file)
    if (found !== undefined) return found.map((name) => relative(sourceRoot, name))
  }
  return undefined
}

describe('the architecture', () => {
  it('has only the rooms that it names', () => {
    const rooms = new Set(files.map(roomOf).filter((room) => room !== 'index.ts'))
    expect([...rooms].filter((room) => !(room in mayImport))).toEqual([])
  })

  it('lets rooms import from lower floors only', () => {
    expect(breaches(localImports)).toEqual([])
  })

  it('has no circle of imports', () => {
    expect(circle(localImports)).toBeUndefined()
  })

  it('would notice a breach and a circle', () => {
    const low = join(sourceRoot, 'statistics/rates.ts')
    const high = join(sourceRoot, 'analysis/incidence.ts')
    expect(breaches(new Map([[low, [high]]]))).toEqual(['statistics/rates.ts imports analysis/incidence.ts'])
    expect(
      circle(
        new Map([
          [low, [high]],
          [high, [low]],
        ]),
      ),
    ).toEqual(['statistics/rates.ts', 'analysis/incidence.ts', 'statistics/rates.ts'])
  })

  it('keeps input, output, clock and chance out of the statistics', () => {
    const forbidden =
      /\b(Math\.random|Date\.now|new Date|process\.(env|argv|stdout|stderr|cwd|hrtime|exit)|console\.|from 'node:(?!worker_threads|os))/
    const offenders = files
      .filter((file) => roomOf(file) === 'statistics' && forbidden.test(readFileSync(file, 'utf8')))
      .map((file) => relative(sourceRoot, file))
    expect(offenders).toEqual([])
  })

  it('keeps words of the trade out of the statistics', () => {
    const offenders = files
      .filter((file) => roomOf(file) === 'statistics')
      .filter((file) => tradeWords.test(readFileSync(file, 'utf8').replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, '')))
      .map((file) => relative(sourceRoot, file))
    expect(offenders).toEqual([])
  })

  it('loads charts and frames lazily only', () => {
    const heavy = /^import (?!type).*from ['"](vega|vega-lite|danfojs-node|canvas|vega-embed)['"]/m
    const offenders = files.filter((file) => heavy.test(readFileSync(file, 'utf8')))
    expect(offenders.map((file) => relative(sourceRoot, file))).toEqual([])
  })
})
