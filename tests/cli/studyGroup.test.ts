import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { exampleProtocol } from '../../src/pooling/protocol/protocol.js'
import { type Ended, runHoldfast } from './runHoldfast.js'

const folder = mkdtempSync(join(tmpdir(), 'study-group-'))
const names = ['Praxis Müller', 'Praxis Muller', 'Harbour']
const day = ['--date', '2026-02-01']
const run = (...words: readonly string[]): Promise<Ended> => runHoldfast(folder, [...words, ...day])
const site = (i: number): readonly string[] => ['--practice', `place-${i}`, '--out', 'received']
const share = (i: number, ...words: readonly string[]): Promise<Ended> => run('share', ...words, ...site(i))
const ready = (i: number, ...words: readonly string[]): Promise<Ended> =>
  share(i, `records-${i}`, '--protocol', 'group.json', ...words)
const pool = (...words: readonly string[]): Promise<Ended> =>
  run('pool', 'received', '--protocol', 'group.json', '--out', 'release', '--formats', 'none', ...words)

beforeAll(async () => {
  const agreed = { ...exampleProtocol, release: { from: null, cutoff: '2024-12-31' } }
  writeFileSync(join(folder, 'group.json'), JSON.stringify(agreed))
  for (const i of [0, 1, 2]) {
    await runHoldfast(folder, ['demo', `records-${i}`, '--seed', String(i + 1), '--restorations', '120'])
  }
}, 120_000)
afterAll(() => rmSync(folder, { recursive: true, force: true }))

describe('a study group by the command line', () => {
  it('goes from ready notes to the report; every step prints the next, and can be run again', async () => {
    expect((await ready(0)).stderr).toContain('no name was given')
    for (const i of [0, 1, 2]) {
      const { code, stdout, stderr } = await ready(i, '--name', names[i]!)
      expect([code, stderr]).toEqual([0, ''])
      expect(stdout).toMatch(/Next: send the ready note/)
    }
    const notes = readdirSync(join(folder, 'received')).filter((name) =>
      name.startsWith('ready-praxis-muller-'),
    )
    expect(notes).toHaveLength(2)
    const bytes = readFileSync(join(folder, 'received', notes[0]!))
    cpSync(join(folder, 'records-0'), join(folder, 'renamed'), { recursive: true })
    const renamed = await share(0, 'renamed', '--protocol', 'group.json')
    expect(renamed.stdout).toContain('Ready note, the same as before')
    expect(readFileSync(join(folder, 'received', notes[0]!))).toEqual(bytes)
    expect((await share(0, 'renamed', '--protocol', 'group.json', '--name', 'Another')).stderr).toContain(
      'under the name Praxis Müller',
    )

    expect((await pool()).stdout).toContain('the same command with --list')
    expect((await pool('--list')).stdout).toMatch(/Code of the list: (\d{4} ){5}\d{4}/)
    const list = join('release', 'for-sites', 'list-1.json')
    const calls: string[] = []
    for (const i of [0, 1]) {
      const { stdout } = await share(i, '--list', list)
      calls.push(stdout.match(/Next: call (.*?), by a number that you know/)![1]!)
    }
    expect((await pool()).stdout).toContain('Waiting for the answers of: Harbour')
    const last = await share(2, '--list', list)
    const again = await share(2, '--list', list)
    calls.push(again.stdout.match(/Next: call (.*?), by a number that you know/)![1]!)
    // The calls go round the whole list.
    expect([...calls].sort()).toEqual([...names].sort())
    expect(again.stdout).toContain('Answer, the same as before')
    expect(again.stdout.match(/Code.*/)![0]).toBe(last.stdout.match(/Code.*/)![0])
    const done = await pool()
    expect([done.code, done.stderr]).toEqual([0, ''])
    const answer = JSON.parse(readFileSync(join(folder, 'release', 'answer.json'), 'utf8')) as object
    expect(answer).toMatchObject({ schema: 'holdfast-answer-1', practices: 3 })
    const totals = await share(0, '--totals', join('release', 'for-sites', 'totals.json'))
    expect(totals.stdout).toContain('Page of this practice')
    expect((await run('void', '--list', list, ...site(0))).stderr).toContain('has answered the list')
  }, 240_000)

  it('keeps what is there when another run uses the place, and refuses what holds keys', async () => {
    writeFileSync(join(folder, 'place-0', 'in-use.lock'), `${process.pid}\n`)
    const busy = await ready(0)
    expect(busy.code).toBe(2)
    expect(busy.stderr).toContain('another run uses the practice place')
    writeFileSync(join(folder, 'place-0', 'in-use.lock'), '999999\n')
    expect((await ready(0)).code).toBe(0)
    writeFileSync(join(folder, 'place-0', 'in-use.lock'), String(process.pid))
    expect((await ready(0)).code).toBe(0)
    const file = readdirSync(join(folder, 'place-0')).find((name) => name.startsWith('practice-'))!
    mkdirSync(join(folder, 'wrong'))
    cpSync(join(folder, 'place-0', file), join(folder, 'wrong', file))
    const sent = await run('pool', 'wrong', '--protocol', 'group.json', '--out', 'other')
    expect(sent.stderr).toContain('this file holds keys, and must stay where it was made')
  }, 120_000)
})
