import { describe, expect, it } from 'vitest'
import { competingCauses } from '../src/vocabulary/endpoints.js'
import { exposureGroups } from '../src/vocabulary/exposure.js'
import { readSources, shapeOf } from './sourceReader.js'

/** Rooms from the ground floor up, and the rooms that each may import from, as DEVELOPERS.md states them. */
const questionRooms = ['cohort', 'statistics', 'messages', 'vocabulary', 'core']
const lower = ['questions', 'charts', 'pooling', 'records', ...questionRooms]
const mayImport: Readonly<Record<string, readonly string[]>> = {
  core: [],
  vocabulary: ['core'],
  messages: ['vocabulary', 'core'],
  statistics: ['core'],
  records: ['vocabulary', 'core'],
  cohort: ['records', 'vocabulary', 'core'],
  pooling: ['cohort', 'statistics', 'vocabulary', 'core'],
  charts: ['pooling', 'cohort', 'messages', 'vocabulary', 'core'],
  // Of the records, only the reading of columns.
  questions: ['charts', 'records', ...questionRooms],
  documents: ['questions', 'charts', 'pooling', 'messages', 'vocabulary', 'core'],
  notebook: ['documents', ...lower],
  demo: ['records', 'vocabulary', 'core'],
  studies: ['core'],
  verification: ['demo', 'studies', ...lower],
  cli: ['verification', 'demo', 'notebook', 'documents', ...lower],
}

/** Words of the trade that the ground floor of numerics must not know. */
const tradeWords = /\b(restoration|implant|crown|tooth|torque|tightening|dental|screw)s?\b/i

const sources = readSources()

const imports = new Map(sources.map(({ path, imports: targets }) => [path, targets]))

function roomOf(path: string): string {
  return path.split('/')[0]!
}

/** Breaches of the floors: what the test of the real tree and the test of the test both use. */
function breaches(all: ReadonlyMap<string, readonly string[]>): readonly string[] {
  return [...all].flatMap(([path, targets]) => {
    const room = roomOf(path)
    if (room === 'index.ts') return []
    return targets
      .filter((target) => roomOf(target) !== room && !(mayImport[room] ?? []).includes(roomOf(target)))
      .map((target) => `${path} imports ${target}`)
  })
}

/** First circle of imports found, as a path of files. */
function circle(all: ReadonlyMap<string, readonly string[]>): readonly string[] | undefined {
  const state = new Map<string, 'open' | 'done'>()
  const path: string[] = []
  const visit = (file: string): readonly string[] | undefined => {
    if (state.get(file) === 'done') return undefined
    if (state.get(file) === 'open') return [...path.slice(path.indexOf(file)), file]
    state.set(file, 'open')
    path.push(file)
    for (const target of all.get(file) ?? []) {
      const found = visit(target)
      if (found !== undefined) return found
    }
    path.pop()
    state.set(file, 'done')
    return undefined
  }
  for (const file of all.keys()) {
    const found = visit(file)
    if (found !== undefined) return found
  }
  return undefined
}

/** Where a clock is read or chance drawn that is no part of a result: names of temporary files, days of today, keys. */
const clocksAllowed: Readonly<Record<string, readonly string[]>> = {
  'notebook/kernel.ts': ['randomUUID'],
  'notebook/today.ts': ['new Date()'],
  'pooling/identity/practice.ts': ['randomBytes'],
  'documents/replaceFolder.ts': ['randomUUID'],
}

/**
 * English that still stands outside the messages, in sentences by room. These numbers only shrink; a room that is not
 * named here has none. Errors, types and names of methods do not count, nor do the vocabulary, the words by which
 * headers and codes are recognised (records) and the help of the command line, which are English by nature.
 */
const englishLeft: Readonly<Record<string, number>> = {}

const englishByNature = ['vocabulary', 'records', 'cli', 'demo', 'verification', 'studies']

/** Names of exposure groups and covariates are codes, though they read like words. */
const codesInWords: readonly string[] = [...exposureGroups, ...competingCauses]

/** Titles and designs of papers, and statements of another language: no sentences of ours. */
const dataFiles = [
  'questions/literature/publishedFigures.ts',
  'pooling/site/countedSql.ts',
  'documents/wording/bibliography.ts',
]

/** Rooms whose texts are said by messages: a text there is shown and never read. */
const saying = ['charts', 'documents', 'notebook', 'questions']

/** Texts that are read all the same, since they are no words that say a result. These numbers only shrink. */
const readTexts: Readonly<Record<string, number>> = {
  // where a line breaks
  'charts/curveLayout.ts': 1,
  'notebook/valueTable.ts': 1,
  // a table of numbers, written as a text
  'charts/textWidth.ts': 1,
  // the grammar of SVG, HTML, Markdown, PDF
  'charts/svg.ts': 7,
  'notebook/auditSections.ts': 1,
  'notebook/notebookHtml.ts': 2,
  'documents/formats/markdown.ts': 1,
  'documents/formats/pdf.ts': 1,
  // the source of cells, and what a kernel says of it
  'notebook/cellCompiler.ts': 3,
  'notebook/cellErrors.ts': 3,
  'notebook/cellModules.ts': 1,
  'notebook/parameters.ts': 2,
  'notebook/run.ts': 2,
  // names of files, of blocks of a document, of layers and schemas of a specification
  'notebook/runOver.ts': 1,
  'notebook/saveChart.ts': 2,
  'notebook/studyFolder.ts': 3,
  'notebook/valueKinds.ts': 1,
  'documents/model/contents.ts': 1,
  'documents/formats/officePackage.ts': 1,
  'documents/replaceFolder.ts': 2,
}

/** Sums and products in charts of questions: places and units on the axes. These numbers only shrink. */
const arithmeticLeft: Readonly<Record<string, number>> = {
  'questions/clinicFunnel/chart.ts': 3,
  'questions/comparison/chart.ts': 4,
  'questions/hazardOverTime/chart.ts': 1,
  'questions/incidence/chart.ts': 2,
  'questions/protocolChange/chart.ts': 9,
  'questions/repeats/chart.ts': 3,
  'questions/retention/chart.ts': 4,
  'questions/series/chart.ts': 51,
  'questions/wait/chart.ts': 2,
}

describe('the architecture', () => {
  it('has only the rooms that it names', () => {
    const rooms = new Set(sources.map(({ room }) => room).filter((room) => room !== 'index.ts'))
    expect([...rooms].filter((room) => !(room in mayImport))).toEqual([])
  })

  it('lets rooms import from lower floors only', () => {
    expect(breaches(imports)).toEqual([])
  })

  it('has no circle of imports', () => {
    expect(circle(imports)).toBeUndefined()
  })

  it('keeps answers apart from what is said and drawn of them', () => {
    const offenders = sources.filter(
      ({ path, imports: targets }) =>
        /^questions\/\w+\/answer\.ts$/.test(path) &&
        targets.some((target) => /\/(section|chart|question)\.ts$|^(messages|charts)\//.test(target)),
    )
    expect(offenders.map(({ path }) => path)).toEqual([])
  })

  it('keeps input and output out of the statistics', () => {
    const offenders = sources.filter(
      ({ room, packages, words }) =>
        room === 'statistics' &&
        (packages.some((name) => /^node:(?!worker_threads|os)/.test(name)) || words.includes('console')),
    )
    expect(offenders.map(({ path }) => path)).toEqual([])
  })

  it('keeps clocks and chance to the core and to what is no result', () => {
    const found = sources.flatMap(({ path, room, clocksAndChance }) =>
      room === 'core' || clocksAndChance.length === 0
        ? []
        : [[path, [...new Set(clocksAndChance)].sort()] as const],
    )
    expect(Object.fromEntries(found)).toEqual(clocksAllowed)
  })

  it('keeps words of the trade out of the statistics', () => {
    const offenders = sources.filter(
      ({ room, words }) => room === 'statistics' && words.some((word) => tradeWords.test(word)),
    )
    expect(offenders.map(({ path }) => path)).toEqual([])
  })

  it('keeps English in the messages', () => {
    const counts: Record<string, number> = {}
    for (const { path, room, sentences } of sources) {
      if (room === 'messages' || englishByNature.includes(room) || dataFiles.includes(path)) continue
      const own = sentences.filter((one) => !codesInWords.includes(one)).length
      if (own > 0) counts[room] = (counts[room] ?? 0) + own
    }
    const more = Object.entries(counts).filter(([room, count]) => count > (englishLeft[room] ?? 0))
    expect(more, 'put new sentences into src/messages').toEqual([])
  })

  it('asks names of methods by their terms, never as text', () => {
    const own = ['verification', 'demo', 'records']
    expect(
      sources
        .filter(({ room, methodsRead }) => !own.includes(room) && methodsRead.length > 0)
        .map(({ path, methodsRead }) => [path, methodsRead]),
      'compose names of terms (methodOf) and ask them with core/method.ts',
    ).toEqual([])
  })

  it('reads no meaning out of words', () => {
    const more = sources.filter(
      ({ path, room, takenApart }) => saying.includes(room) && takenApart.length > (readTexts[path] ?? 0),
    )
    expect(
      more.map(({ path, takenApart }) => [path, takenApart]),
      'let the result carry a code',
    ).toEqual([])
  })

  it('lets charts compute nothing', () => {
    const charts = sources.filter(({ path }) => /^questions\/\w+\/chart\.ts$/.test(path))
    const more = charts.filter(({ path, arithmetic }) => arithmetic > (arithmeticLeft[path] ?? 0))
    expect(more.map(({ path, arithmetic }) => [path, arithmetic])).toEqual([])
    const statistics = [...charts, ...sources.filter(({ room }) => room === 'charts')].filter(
      ({ imports: targets }) => targets.some((target) => target.startsWith('statistics/')),
    )
    expect(statistics.map(({ path }) => path)).toEqual([])
  })

  it('loads charts and frames lazily only', () => {
    const heavy = ['vega', 'vega-lite', 'danfojs-node', 'canvas', 'vega-embed']
    const offenders = sources.filter(({ loads }) => loads.some((name) => heavy.includes(name)))
    expect(offenders.map(({ path }) => path)).toEqual([])
  })
})

describe('what the test reads', () => {
  it('is every import, however it is written', () => {
    const {
      imports: found,
      loads,
      packages,
    } = shapeOf(
      'statistics/some.ts',
      `import type { A } from
         '../records/columns.js'
       export { b } from './b.js'
       import { c, type D } from "vega"
       type E = import('../cohort/cohort.js').Cohort
       // import { no } from '../cli/no.js'
       const text = "import { no } from '../cli/no.js'"
       const later = async () => import('danfojs-node')`,
    )
    expect(found).toEqual(['records/columns.ts', 'statistics/b.ts', 'cohort/cohort.ts'])
    expect([loads, packages]).toEqual([['vega'], ['vega', 'danfojs-node']])
  })

  it('is breaches and circles', () => {
    const [low, high] = ['statistics/rates.ts', 'questions/incidence/answer.ts']
    expect(breaches(new Map([[low, [high]]]))).toEqual([
      'statistics/rates.ts imports questions/incidence/answer.ts',
    ])
    const both = new Map([
      [low, [high]],
      [high, [low]],
    ])
    expect(circle(both)).toEqual([
      'statistics/rates.ts',
      'questions/incidence/answer.ts',
      'statistics/rates.ts',
    ])
  })

  it('is where words are taken apart', () => {
    const { takenApart } = shapeOf(
      'charts/some.ts',
      `const one = text.replaceAll('_', ' '); const two = said.startsWith('also ')
       const [first] = said.split(', '); const bare = method.replace(/^difference, /, '')
       const marked = /^also \\p{L}+/u.test(said)
       const line = text.split('\\n'); const short = text.replace(/[a-z]+-\\d{3}(?<rest>.*)/, '')
       const part = parts.at(0); const held = list.includes('also this')`,
    )
    expect(takenApart).toEqual(['_', 'also ', ', ', '/^difference, /', '/^also \\p{L}+/u'])
  })

  it('is names of methods taken as text', () => {
    const { methodsRead } = shapeOf(
      'documents/some.ts',
      `const [first] = one.method.split(', '); const robust = method.includes('robust'); const bare = method.slice(1)
       const said = /exact/.test(curve.method); const both = \`\${fit.method}, by patient\`
       const kept = methodOf(...one.method, 't-reference'); const asked = names[method]; const key = keyOf(method)`,
    )
    expect(methodsRead).toEqual([
      "one.method.split(', ')",
      "method.includes('robust')",
      'method.slice(1)',
      '/exact/.test(curve.method)',
      'fit.method}, by patient`',
    ])
  })

  it('is clocks, chance, sums and sentences, but no errors, types or single words', () => {
    const { clocksAndChance, arithmetic, sentences } = shapeOf(
      'charts/some.ts',
      `const now = new Date(); const day = new Date(0); const then = Date . now()
       const half = (a + b) / 2
       const said = 'The interval holds both directions.'
       const put = \`There are \${n} restorations left\`
       const code = 'not-a-sentence'; const two = 'two words'
       type State = 'not known at all'
       function refused(): UsageError { return new UsageError({ problem: 'no file has this name.' }) }
       const faults: readonly ErrorText[] = ['the day is missing; write it']
       const shape = z.number('must be a number of years')
       const style = css\`main{margin:0 auto;padding:2rem 1rem}p::after{content:"to be read too"}\``,
    )
    expect(clocksAndChance).toEqual(['new Date()', 'Date.now'])
    expect(arithmetic).toBe(2)
    expect(sentences).toEqual([
      'The interval holds both directions.',
      'There are … restorations left',
      'to be read too',
    ])
  })
})
