import { readFileSync, truncateSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { parsePlan, planText } from '../../src/analysis/planFile.js'
import { openEngine } from '../../src/cli/engine.js'
import { parseJson } from '../../src/core/jsonText.js'
import { readProtocol } from '../../src/pooling/protocol/protocol.js'
import { runHoldfast } from '../cli/runHoldfast.js'
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
    const { exampleProtocol } = await import('../../src/pooling/protocol/protocol.js')
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
