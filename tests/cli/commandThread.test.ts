import { mkdtempSync, rmSync, truncateSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { runsInThread } from '../../src/cli/commandThread.js'
import { runHoldfast } from './runHoldfast.js'

const folder = mkdtempSync(join(tmpdir(), 'holdfast-thread-'))
afterAll(() => rmSync(folder, { recursive: true }))

function file(name: string, bytes = 10): string {
  const path = join(folder, name)
  writeFileSync(path, 'a,b\n')
  truncateSync(path, bytes)
  return path
}

describe('a command', () => {
  it('runs in a thread where it may hold much', () => {
    const small = file('small.csv')
    expect(runsInThread(['audit', 'data-demo'])).toBe(false)
    expect(runsInThread(['audit', small, '--out', join(folder, 'none')])).toBe(false)
    for (const words of [
      ['audit', file('large.csv', 9 << 20)],
      ['audit', small, '--corrections', file('many.json', 9 << 20)],
      // A workbook and a packed file hold more than they take.
      ['audit', file('book.xlsx')],
      ['audit', file('sheet.csv.gz')],
      ['audit', small, '--each'],
      ['audit', '--out', small],
      ['audit', join(folder, 'nowhere.csv')],
      ['audit'],
      ['check', small],
      ['demo', folder],
    ])
      expect([words, runsInThread(words)]).toEqual([words, true])
    for (const words of [['notebook', small], ['--help'], ['audit', '--help'], []])
      expect([words, runsInThread(words)]).toEqual([words, false])
  })

  it('says the same, and ends with the same code, on the main thread and in a thread', async () => {
    const ended = async (path: string) => {
      const { code, stdout, stderr } = await runHoldfast(folder, [
        'audit',
        path,
        '--out',
        join(folder, 'made'),
      ])
      return { code, stdout, stderr: stderr.replaceAll(path, 'sheet.csv') }
    }
    writeFileSync(join(folder, 'one.csv'), 'name,weight\nA,1\n')
    writeFileSync(join(folder, 'two.csv'), `name,weight\nA,1\n${'\n'.repeat(9 << 20)}`)
    const small = await ended('one.csv')
    expect(small.code).not.toBe(0)
    expect(small.stderr).toMatch(/Mend: /)
    expect(await ended('two.csv')).toEqual(small)
  })
})
