import { readdirSync, readFileSync, truncateSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openEngine } from '../../src/cli/engine.js'
import { parseJson } from '../../src/core/jsonText.js'
import { readNotebook } from '../../src/notebook/notebookFile.js'
import { exampleProtocol, readProtocol } from '../../src/pooling/protocol/protocol.js'
import { parsePlan, planText } from '../../src/questions/plan/planFile.js'
import { openPseudonymKey, PseudonymKey } from '../../src/records/identities/pseudonymKey.js'
import { noAnswers, readAnswers } from '../../src/records/interview/answers.js'
import { ProblemList } from '../../src/records/problems.js'
import { readCorrections } from '../../src/records/read/corrections.js'
import { readDataPackage } from '../../src/records/read/locate.js'
import { parseColumnMap } from '../../src/records/understand/columnMap.js'
import { readReferenceCases } from '../../src/verification/referenceCase.js'
import { root, runHoldfast } from '../cli/runHoldfast.js'
import { folderWithSheet } from './faults.js'

describe('JSON that somebody else has written', () => {
  it('may begin with a byte order mark', () => {
    expect(parseJson('\ufeff{"a": ["\\"[", 1]}')).toEqual({ a: ['"[', 1] })
    expect(parsePlan('\ufeff{"written": "2026-01-05"}').primary.horizonYears).toBe(3)
  })

  it('is refused where it is nested without end, and read where it is not', () => {
    expect(parseJson(`${'['.repeat(200)}${']'.repeat(200)}`)).toHaveLength(1)
    expect(() => parseJson(`${'['.repeat(201)}${']'.repeat(201)}`)).toThrow('nested too deeply')
    expect(parseJson(JSON.stringify({ text: '['.repeat(1_000) }))).toHaveProperty('text')
    expect(() => readProtocol('{"a":'.repeat(100_000))).toThrow('it is not JSON')
  })

  const deep = `${'{"a":'.repeat(100_000)}1${'}'.repeat(100_000)}`
  it.each([
    ['plan', 'plan.json', ['audit', 'practice.csv', '--plan', 'plan.json', '--formats', 'none'], 2],
    ['column map', 'practice.csv.map.json', ['check', 'practice.csv'], 1],
    ['answers', 'answers.json', ['map', 'practice.csv', '--answers', 'answers.json'], 1],
    ['notebook', 'deep.ipynb', ['notebook', 'deep.ipynb'], 2],
    ['message', 'ready.json', ['pool', 'ready.json', '--protocol', 'ready.json', '--out', 'to-send'], 2],
  ] as const)('nested without end as a %s: one plain sentence', async (_what, name, words, code) => {
    const folder = folderWithSheet()
    writeFileSync(join(folder, name), deep)
    const ended = await runHoldfast(folder, words)
    expect(ended.stderr).not.toMatch(/\n\s+at |fault of the software|RangeError/)
    expect(ended.stderr).toContain('Mend: ')
    expect(ended.code).toBe(code)
  })

  it('is read with a byte order mark by a command', async () => {
    const folder = folderWithSheet()
    writeFileSync(join(folder, 'plan.json'), `\ufeff{"written": "2018-01-05"}`)
    const words = ['audit', 'practice.csv', '--plan', 'plan.json', '--formats', 'none', '--out', 'made']
    const ended = await runHoldfast(folder, [...words, '--date', '2026-01-31'])
    expect(ended.stderr).toBe('')
    expect(ended.code).toBe(0)
  })
})

describe('a byte order mark', () => {
  const marked = async (name: string, text: string): Promise<string> => {
    const path = join(folderWithSheet(), name)
    writeFileSync(path, `\ufeff${text}`, { mode: 0o600 })
    return path
  }

  it('is read over in every text file that a user or another program may have written', async () => {
    const corrections = await marked('c.csv', 'file,row,column,old,new,why\na.csv,2,sex,f,m,slip\n')
    expect((await readCorrections(corrections)).map(({ row }) => row)).toEqual([2])
    const map = { holdfastColumnMap: 1, confirmed: true, sheets: [] }
    // What is in it is judged, so that it was read.
    expect(() => parseColumnMap(`\ufeff${JSON.stringify(map)}`, 'a.map.json')).toThrow('array to have >=1')
    expect((await readAnswers(await marked('a.json', JSON.stringify(noAnswers)))).sheets).toEqual({})
    const key = await marked('key.json', new PseudonymKey(undefined).toJson())
    expect(await openPseudonymKey(key)).toBeInstanceOf(PseudonymKey)
    const problems = new ProblemList()
    const described = await marked('datapackage.json', JSON.stringify({ state: 'shareable', resources: [] }))
    await readDataPackage(dirname(described), problems)
    expect(
      problems
        .all()
        .map(({ problem }) => problem)
        .join(),
    ).not.toContain('not JSON')
    const bare = { nbformat: 4, nbformat_minor: 5, metadata: {}, cells: [] }
    expect(readNotebook(await marked('n.ipynb', JSON.stringify(bare))).cells).toEqual([])
    expect(readProtocol(`\ufeff${JSON.stringify(exampleProtocol)}`).protocol).toEqual(exampleProtocol)
    const cases = dirname(await marked('cases.json', JSON.stringify({ topic: 'none', cases: [] })))
    expect(readReferenceCases(cases)).toEqual([])
  })

  it('cannot be forgotten: JSON of others is read by one function', () => {
    const sources = readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' })
      .filter((name) => name.endsWith('.ts'))
      .filter((name) => /JSON\.parse\(/.test(readFileSync(join(root, 'src', name), 'utf8')))
      .filter((name) => !/^studies\/|^verification\/simulation\//.test(name))
    // What the toolkit reads here is its own: catalogues, a list made by the build, messages of its kernel, its version.
    expect(sources.sort()).toEqual([
      'core/jsonText.ts',
      'documents/formats/pageScript.ts',
      'messages/catalogue.ts',
      'notebook/frontDoor.ts',
      'notebook/kernel.ts',
      'notebook/studyFolder.ts',
      'notebook/version.ts',
    ])
  })
})

describe('Parquet', () => {
  it('that is damaged or no Parquet is refused in one sentence', async () => {
    const folder = folderWithSheet()
    const { DuckDBInstance } = await import('@duckdb/node-api')
    const instance = await DuckDBInstance.create(':memory:')
    const connection = await instance.connect()
    const whole = join(folder, 'rows.parquet')
    await connection.run(
      `COPY (SELECT 'P' || i AS patient, 'R' || i AS restoration, i AS time, 0 AS status FROM range(5000) t(i)) TO '${whole}' (FORMAT parquet)`,
    )
    connection.closeSync()
    instance.closeSync()
    const bytes = readFileSync(whole)
    const damages: Readonly<Record<string, () => void>> = {
      'cut short': () => truncateSync(whole, bytes.length >> 1),
      'another file': () => writeFileSync(whole, 'restoration,time\n'),
      'a changed middle': () => writeFileSync(whole, Buffer.from(bytes).fill(0x5a, 40, bytes.length - 12)),
      empty: () => writeFileSync(whole, ''),
    }
    for (const damage of Object.values(damages)) {
      damage()
      await expect(openEngine(whole, exampleProtocol as never)).rejects.toMatchObject({
        code: 'unreadable-rows-at-risk',
        message: expect.stringMatching(/^rows\.parquet: the rows at risk cannot be read/),
      })
    }
  })
})

it('a plan that was written here can be read with Windows line ends', () => {
  const plan = parsePlan('{"written": "2026-01-05"}')
  const { source: _source, sha256: _hash, ...fields } = plan
  expect(parsePlan(planText(fields as never).replaceAll('\n', '\r\n')).primary).toEqual(plan.primary)
})
