import { readFileSync, rmSync, writeFileSync } from 'node:fs'
import { hostname } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { runHoldfast } from '../cli/runHoldfast.js'
import { folderWithSheet, leftIn } from './faults.js'

const audit = ['audit', 'practice.csv', '--formats', 'none', '--out', 'made', '--date', '2026-01-31']

/** Puts the clock of a program to other moments: each reading of it is the next of these, and the last ever after. */
const clock = (...moments: readonly string[]): string => `
const moments = ${JSON.stringify(moments)}.map((moment) => new Date(moment).getTime())
const Real = Date
globalThis.Date = class extends Real {
  constructor(...given) { given.length === 0 ? super(Real.now.call(Date)) : super(...given) }
  static now() { return moments.length > 1 ? moments.shift() : moments[0] }
}
Real.now = globalThis.Date.now
`

async function atClock(folder: string, words: readonly string[], moments: readonly string[], zone = 'UTC') {
  const hook = join(folder, 'clock.mjs')
  writeFileSync(hook, clock(...moments))
  const ended = await runHoldfast(folder, words, { NODE_OPTIONS: `--import=file://${hook}`, TZ: zone })
  rmSync(hook)
  return ended
}

it('a clock that is set back between runs, and while one runs, changes nothing of an audit', async () => {
  const folder = folderWithSheet()
  const answer = () => readFileSync(join(folder, 'made', 'answer.json'), 'utf8')
  expect(await atClock(folder, audit, ['2026-03-01T12:00:00Z'])).toMatchObject({ code: 0, stderr: '' })
  const first = answer()
  const back = ['2026-03-01T12:00:00Z', '2026-02-28T12:00:00Z', '1999-12-31T23:59:59Z']
  expect(await atClock(folder, audit, back)).toMatchObject({ code: 0, stderr: '' })
  expect(answer()).toBe(first)
  expect(leftIn(folder)).toEqual([])
})

it('a lock is judged by who holds it, not by the clock', async () => {
  const folder = folderWithSheet()
  const lock = join(folder, '.made.lock')
  const gone = `4194305 77 ${hostname().replace(/\s+/g, '-')}\n`
  // Cut short before it was written, by a run whose clock went ahead of ours: taken over too.
  for (const text of [gone, '']) {
    writeFileSync(lock, text)
    const ended = await atClock(folder, audit, ['2001-01-01T00:00:00Z'])
    expect(ended).toMatchObject({ code: 0, stderr: '' })
    expect(leftIn(folder)).toEqual([])
  }
  // The number of a process that is alive, which began at another moment: the machine was started anew in between.
  writeFileSync(lock, `${process.pid} 1 ${hostname().replace(/\s+/g, '-')}\n`)
  expect(await runHoldfast(folder, audit)).toMatchObject({ code: 0 })
  // Whether a run on another machine is alive cannot be told.
  writeFileSync(lock, '4194305 77 another-machine\n')
  const refused = await runHoldfast(folder, audit)
  expect(refused.stderr).toContain('another run is writing to made at this moment.')
  expect(refused.code).toBe(2)
})

it('the night in which the clock goes forward or back is one day', async () => {
  const folder = folderWithSheet()
  const printed = []
  for (const [moment, zone] of [
    ['2025-03-30T00:30:00Z', 'Europe/Berlin'],
    ['2025-03-30T01:30:00Z', 'Europe/Berlin'],
    ['2025-10-26T00:30:00Z', 'Europe/Berlin'],
    ['2025-10-26T01:30:00Z', 'Europe/Berlin'],
    ['2025-10-04T15:45:00Z', 'Australia/Lord_Howe'],
    ['2025-11-02T05:30:00Z', 'America/Havana'],
  ] as const) {
    const { code } = await atClock(folder, ['plan', 'plan.json'], [moment], zone)
    expect(code).toBe(0)
    printed.push(JSON.parse(readFileSync(join(folder, 'plan.json'), 'utf8')).written)
    for (const name of ['plan.json', 'plan.md']) rmSync(join(folder, name))
  }
  expect(printed).toEqual([
    '2025-03-30',
    '2025-03-30',
    '2025-10-26',
    '2025-10-26',
    '2025-10-05',
    '2025-11-02',
  ])
})
