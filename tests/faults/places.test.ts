import { execFile } from 'node:child_process'
import { chmodSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openPseudonymKey, writePseudonymKey } from '../../src/records/identities/pseudonymKey.js'
import { root, runHoldfast } from '../cli/runHoldfast.js'
import { contentOf, folderWithSheet, leftIn } from './faults.js'

const audit = (out: string): readonly string[] => [
  'audit',
  'practice.csv',
  '--formats',
  'none',
  '--out',
  out,
  '--date',
  '2026-01-31',
]

const writing: readonly (readonly [name: string, words: (out: string) => readonly string[]])[] = [
  ['audit', audit],
  ['template', (out) => ['template', out]],
  ['demo', (out) => ['demo', out, '--restorations', '300']],
  [
    'deidentify',
    (out) => [
      ...['deidentify', 'practice.csv', '--out', out, '--accept-small-groups', '1'],
      ...['--date', '2026-01-31'],
    ],
  ],
  ['recall', (out) => ['recall', 'practice.csv', '--out', out, '--date', '2026-01-31']],
  ['plan', (out) => ['plan', out]],
  ['study', (out) => ['study', out]],
  [
    'merge',
    (out) => [
      ...['merge', 'practice.csv', 'practice.csv', '--keep', 'later', '--out', out],
      ...['--date', '2026-01-31'],
    ],
  ],
]

/** One plain sentence or a few, and no trace of the software. */
function expectPlain(text: string): void {
  expect(text).not.toMatch(/\n\s+at |node:internal|fault of the software/)
  expect(text.trim().split('\n').length).toBeLessThanOrEqual(2)
  expect(text).toMatch(/Mend: /)
}

describe('a folder that nobody may write to', () => {
  it.each(writing)('%s says so and writes nothing', async (_name, words) => {
    const folder = folderWithSheet()
    const closed = join(folder, 'closed')
    mkdirSync(closed)
    chmodSync(closed, 0o555)
    // Rights do not bind the superuser; the system's own tree does.
    const place = process.getuid?.() === 0 ? '/sys/holdfast' : join(closed, 'made')
    const { code, stderr } = await runHoldfast(folder, words(place))
    chmodSync(closed, 0o755)
    expect([1, 2]).toContain(code)
    expectPlain(stderr)
    expect(leftIn(folder)).toEqual([])
  })
})

describe('a disk without room', () => {
  it.each(writing)('%s says so, and what was there before stays', async (_name, words) => {
    const folder = folderWithSheet()
    const before = contentOf(folder)
    // A limit on the size of files refuses a write in its middle, as a full disk does.
    const { code, stderr } = await limited(folder, words('made'), 1)
    if (code === 0) return // what it writes is smaller than the least limit there is
    expect([1, 2]).toContain(code)
    expectPlain(stderr)
    const after = contentOf(folder)
    expect(after).toEqual(before)
    expect(leftIn(folder)).toEqual([])
  })

  it('stops an audit in the middle of its results', async () => {
    const folder = folderWithSheet()
    expect((await limited(folder, audit('made'), 1)).code).toBe(1)
  })
})

function limited(folder: string, words: readonly string[], kilobytes: number) {
  return new Promise<{ code: number; stderr: string }>((resolve) => {
    execFile(
      'bash',
      [
        '-c',
        `trap '' XFSZ; ulimit -f ${kilobytes}; exec "$@"`,
        'bash',
        process.execPath,
        join(root, 'dist/cli/main.js'),
        ...words,
      ],
      { cwd: folder },
      (error, _stdout, stderr) => resolve({ code: error === null ? 0 : Number(error.code ?? 99), stderr }),
    )
  })
}

describe('two runs at once', () => {
  it('write one folder one after the other', async () => {
    const folder = folderWithSheet()
    const runs = await Promise.all([runHoldfast(folder, audit('made')), runHoldfast(folder, audit('made'))])
    expect(runs.map(({ code, stderr }) => [code, stderr])).toEqual([
      [0, ''],
      [0, ''],
    ])
    expect(leftIn(folder)).toEqual([])
    expect(JSON.parse(readFileSync(join(folder, 'made/answer.json'), 'utf8'))).toHaveProperty('howOften')
  })

  it('are refused where the other does not end, and not by a run that was killed', async () => {
    const folder = folderWithSheet()
    writeFileSync(join(folder, '.made.lock'), `${process.pid}\n`)
    const refused = await runHoldfast(folder, ['template', 'made'])
    expect(refused.stderr).toBe(
      'another run is writing to made at this moment. Expected: one run at a time in one place. Mend: wait until the other run has ended; if there is none, remove the file .made.lock beside it.\n',
    )
    expect(refused.code).toBe(2)
    writeFileSync(join(folder, '.made.lock'), '4194305\n')
    expect((await runHoldfast(folder, ['template', 'made'])).code).toBe(0)
    expect(leftIn(folder)).toEqual([])
  })
})

describe('two runs with one key file', () => {
  it('lose no pseudonym: the one that comes second is told to run again', async () => {
    const path = join(folderWithSheet(), 'key.json')
    const [one, other] = [await openPseudonymKey(path), await openPseudonymKey(path)]
    await writePseudonymKey(path, one)
    const written = readFileSync(path, 'utf8')
    await expect(writePseudonymKey(path, other)).rejects.toMatchObject({ code: 'key-file-changed' })
    expect(readFileSync(path, 'utf8')).toBe(written)
    await writePseudonymKey(path, one)
  })
})

describe('names and clocks', () => {
  it('are the same to an audit: umlauts and spaces, time zones at both ends, Windows line ends, a byte order mark', async () => {
    const plain = folderWithSheet()
    expect((await runHoldfast(plain, audit('made'))).code).toBe(0)
    const answer = readFileSync(join(plain, 'made/answer.json'), 'utf8')
    const odd = folderWithSheet('Praxis Müller & Söhne, Übung 2025 ')
    const text = readFileSync(join(odd, 'practice.csv'), 'utf8')
    writeFileSync(join(odd, 'practice.csv'), `\ufeff${text.replaceAll('\n', '\r\n')}`)
    renameSync(join(odd, 'practice.csv'), join(odd, 'Kronen März 2025.csv'))
    for (const zone of ['Pacific/Kiritimati', 'Pacific/Pago_Pago']) {
      const words = audit('Bericht für März').map((one) =>
        one === 'practice.csv' ? 'Kronen März 2025.csv' : one,
      )
      const { code, stderr } = await runHoldfast(odd, words, { TZ: zone })
      expect(stderr).toBe('')
      expect(code).toBe(0)
      expect(readFileSync(join(odd, 'Bericht für März/answer.json'), 'utf8')).toBe(answer)
    }
  })
})
