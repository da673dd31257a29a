import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { ProblemList } from '../../src/records/problems.js'
import { importCsv } from '../../src/records/read/importCsv.js'
import { inspectFile } from '../../src/records/read/inspect.js'
import { countsOf } from '../../src/records/read/textTable.js'

const folder = mkdtempSync(join(tmpdir(), 'holdfast-csv-'))
afterAll(() => rmSync(folder, { recursive: true }))

async function read(content: string, problems = new ProblemList([])) {
  const path = join(folder, 'rows.csv')
  writeFileSync(path, content)
  return importCsv(path, 'rows.csv', await inspectFile(path), problems)
}

describe('rows of a text file', () => {
  it('all reach the table, in their order, however many pieces the file is read in', async () => {
    const rows = Array.from({ length: 30_000 }, (_one, row) => `P${row},"a, ""b"" ${row % 7}",${row % 3}`)
    const { columns, rowCount } = await read(`id,note,code\n${rows.join('\r\n')}\n`)
    expect(rowCount).toBe(30_000)
    const [id, note, code] = columns
    expect(id!.values[id!.codes[29_999]!]).toBe('P29999')
    expect(note!.values[note!.codes[8]!]).toBe('a, "b" 1')
    expect(code!.values).toEqual(['', '0', '1', '2'])
  })

  it.each([254, 255, 256, 65_534, 65_535, 65_536])(
    'keep %d different texts apart: codes take as many bytes as they need',
    async (count) => {
      const texts = Array.from({ length: count }, (_one, row) => `T${row}`)
      const { columns } = await read(
        `id,first\n${texts.map((text, row) => `${text},${row === 0 ? 'x' : ''}`).join('\n')}\n`,
      )
      const [id, first] = columns
      expect(id!.values).toEqual(['', ...texts])
      expect([...id!.codes]).toEqual(texts.map((_one, row) => row + 1))
      expect(first!.codes.BYTES_PER_ELEMENT).toBe(1)
      expect([...countsOf(id!)]).toEqual([0, ...texts.map(() => 1)])
    },
  )

  it('end the reading where one of them cannot be taken', async () => {
    const problems = new ProblemList([])
    problems.add = () => {
      throw new RangeError('no room')
    }
    const long = `id,code\n${'1,2\n'.repeat(60)}3,4,5\n${'6,7\n'.repeat(60)}`
    await expect(read(long, problems)).rejects.toThrow('no room')
  })
})
