import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { csvOf, oneSheet } from '../records/practice.js'
import { runHoldfast } from './runHoldfast.js'

const folder = mkdtempSync(join(tmpdir(), 'holdfast-names-'))

afterAll(() => rmSync(folder, { recursive: true, force: true }))

const people = ['Anna Schmidt', 'Müller, Hans', 'Zoë Papadopoulou', 'José García', 'Mary O’Brien']

it('an audit of a file whose keys are names ends in a report in which nobody is named', async () => {
  const rows = oneSheet(120).map((row, index) => ({
    ...row,
    patient_id: `${people[(index >> 1) % 5]} ${'I'.repeat(1 + Math.floor(index / 10))}`,
  }))
  writeFileSync(join(folder, 'kronen.csv'), csvOf(rows, ';'))
  const words = [
    'audit',
    'kronen.csv',
    '--out',
    'report',
    '--formats',
    'markdown,word',
    '--date',
    '2026-01-31',
  ]
  const { code, stdout, stderr } = await runHoldfast(folder, words)
  expect(code).toBe(0)
  expect(stderr).toContain('60 keys that identify go under pseudonyms from here on')
  expect(statSync(join(folder, 'holdfast-key.json')).mode & 0o777).toBe(0o600)
  const answer = JSON.parse(readFileSync(join(folder, 'report/answer.json'), 'utf8'))
  expect(answer.restorations.analysed).toBe(120)
  const written = readdirSync(join(folder, 'report'), { recursive: true, encoding: 'utf8' })
    .map((name) => join(folder, 'report', name))
    .filter((path) => statSync(path).isFile())
  expect(written.length).toBeGreaterThan(5)
  const said = `${stdout}${stderr}${written.map((path) => readFileSync(path, 'utf8')).join('\n')}`
  for (const part of ['Schmidt', 'Müller', 'Papadop', 'García', 'Brien']) expect(said).not.toContain(part)
  // The next year finds the same pseudonyms, and the key is not drawn anew.
  const key = readFileSync(join(folder, 'holdfast-key.json'), 'utf8')
  expect((await runHoldfast(folder, ['check', 'kronen.csv', '--date', '2026-01-31'])).code).toBe(0)
  expect(readFileSync(join(folder, 'holdfast-key.json'), 'utf8')).toBe(key)
}, 240_000)
