import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { queryObjects } from 'node:v8'
import { afterAll, afterEach, describe, expect, it } from 'vitest'
import { ProblemList } from '../../src/records/problems.js'
import { inspectFile } from '../../src/records/read/inspect.js'
import { locateSource } from '../../src/records/read/locate.js'
import { KeptProblems, openReadingThread } from '../../src/records/read/readingBeside.js'
import { readTables } from '../../src/records/read/readTables.js'
import { isKnownHeader } from '../../src/records/understand/headerSynonyms.js'

/** The thread as built: a thread cannot run the sources. */
const built = new URL('../../dist/records/read/readingThread.js', import.meta.url)

const folder = mkdtempSync(join(tmpdir(), 'holdfast-beside-'))
afterAll(() => rmSync(folder, { recursive: true }))

const threads = process.env.HOLDFAST_THREADS
afterEach(() => {
  if (threads === undefined) delete process.env.HOLDFAST_THREADS
  else process.env.HOLDFAST_THREADS = threads
})

const restorations = `restoration_id,patient_id,delivery_date\n${Array.from({ length: 500 }, (_one, i) => `R${i},P${i % 300},2021-03-${10 + (i % 9)}`).join('\n')}\n`
const tightenings = `restoration_id,tightening_date,applied_torque_ncm\nR1,2021-03-11,35\nR2,2021-03-12\nR3,2021-03-13,35,7\nTotal,,105\n`
const visits = `Visits of the year\n\nrestoration_id,visit_date,finding\n${'R1,2022-03-11,none\n'.repeat(1500)}${'R2,2022-03-11\n'.repeat(1200)}`

function practice(name: string, files: Readonly<Record<string, string>>): string {
  const path = join(folder, name)
  mkdirSync(path)
  for (const [file, content] of Object.entries(files)) writeFileSync(join(path, `${file}.csv`), content)
  return path
}

async function read(path: string, thread?: { readonly file: URL; readonly leastBytes: number }) {
  const problems = new ProblemList(['row-too-long'])
  const shares: number[] = []
  const source = await locateSource(path, problems)
  const tables = await readTables(source, problems, {
    headerOf: () => ({ isHeader: isKnownHeader }),
    onProgress: (share) => shares.push(share),
    ...(thread === undefined ? {} : { thread }),
  })
  return { tables, problems: problems.all(), shares }
}

function threadOf(name: string, code: string): URL {
  const path = join(folder, `${name}.mjs`)
  writeFileSync(path, code)
  return pathToFileURL(path)
}

/** Columns of codes that are still to be had, once nobody's are given back. */
function columnsHeld(): number {
  return queryObjects(Int32Array, { format: 'count' })
}

describe('files read in two threads', () => {
  const path = practice('three', { restorations, tightenings, visits })

  it('are the same tables with the same problems in the same order', async () => {
    const here = await read(path)
    const beside = await read(path, { file: built, leastBytes: 0 })
    expect(beside.tables).toEqual(here.tables)
    expect(beside.problems).toStrictEqual(here.problems)
    expect(here.problems.map(({ code, place, count }) => [code, place.file, count])).toEqual([
      ['row-too-long', 'tightenings.csv', 1],
      ['row-too-short', 'tightenings.csv', 1],
      ['row-too-short', 'visits.csv', 1200],
      ['total-row', 'tightenings.csv', 1],
      ['header-below-top', 'visits.csv', 1],
    ])
    expect(beside.shares.at(-1)).toBe(1)
    expect([...beside.shares].sort((one, other) => one - other)).toEqual(beside.shares)
  })

  it('are kept by nobody but the one who asked, also before the thread has ended', async () => {
    const rows = 1000
    const large = practice('large', {
      restorations,
      visits: `restoration_id,finding\n${'R1,none\n'.repeat(rows)}`,
    })
    const source = await locateSource(large, new ProblemList())
    const file = source.files.find(({ name }) => name === 'visits.csv')!
    const thread = openReadingThread(1, { file: built, leastBytes: 0 })!
    const order = {
      path: file.path,
      name: file.name,
      inspection: await inspectFile(file.path),
      header: {},
      knowsHeaders: true,
    }
    const rowsRead = async () => {
      // What the one who asks holds is given back, too.
      const far = new Int32Array(1)
      const read = await thread.read(order, (bytes) => far.fill(bytes))
      return read?.text.rowCount
    }
    const before = columnsHeld()
    // In the turn in which the table came: all of an audit is computed in it.
    const read = await rowsRead()
    const after = columnsHeld()
    expect(read).toBe(rows)
    expect(after).toBe(before)
    thread.close()
  })

  it('say of an empty one what is said without the thread', async () => {
    const bare = practice('bare', { restorations, tightenings, visits: '\n\n' })
    const here = await read(bare)
    expect(await read(bare, { file: built, leastBytes: 0 })).toMatchObject({
      tables: here.tables,
      problems: here.problems,
    })
    expect(here.problems.map(({ code }) => code)).toContain('empty-file')
  })

  it.each([
    ['cannot be loaded', "throw new Error('no thread today')"],
    [
      'fails',
      "import { parentPort } from 'node:worker_threads'\nparentPort.once('message', () => { throw new Error('lost') })",
    ],
    [
      'ends',
      "import { parentPort } from 'node:worker_threads'\nparentPort.once('message', () => process.exit(0))",
    ],
  ])('are read by the one thread where the other %s', async (what, code) => {
    const thread = { file: threadOf(what.replaceAll(' ', '-'), code), leastBytes: 0 }
    const { tables, problems } = await read(path, thread)
    const here = await read(path)
    expect(tables).toEqual(here.tables)
    expect(problems).toStrictEqual(here.problems)
  })

  it('need a second thread only where there is enough to read, and where more than one may be used', () => {
    expect(openReadingThread(999, { file: built, leastBytes: 1000 })).toBeUndefined()
    process.env.HOLDFAST_THREADS = '1'
    expect(openReadingThread(1000, { file: built, leastBytes: 1000 })).toBeUndefined()
  })

  it('keep their problems as they are stated: whoever hears of them knows what is set aside by name', () => {
    const kept = new KeptProblems()
    const kind = {
      severity: 'stop',
      code: 'x',
      problem: 'p.',
      expected: 'e.',
      mend: 'm.',
      leavesOut: 'row',
    } as const
    for (let row = 0; row < 1500; row++) kept.add(kind, row)
    kept.add(kind, undefined, 4)
    const [found, ...more] = kept.found()
    expect(more).toEqual([])
    expect(found).toMatchObject({ kind, count: 1504 })
    expect(found!.rows).toHaveLength(ProblemList.listedRows)
  })
})
