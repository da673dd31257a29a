import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Readable } from 'node:stream'
import { parse } from 'csv-parse/sync'
import fc from 'fast-check'
import { afterAll, describe, expect, it } from 'vitest'
import { ProblemList } from '../../src/records/problems.js'
import { importCsv, splitting } from '../../src/records/read/importCsv.js'
import { inspectFile } from '../../src/records/read/inspect.js'
import { takePlainRows } from '../../src/records/read/plainRows.js'

const folder = mkdtempSync(join(tmpdir(), 'holdfast-plain-'))
afterAll(() => rmSync(folder, { recursive: true }))

async function rowsOf(pieces: readonly Buffer[], { separator = ',', longest = 1_000 } = {}) {
  const rows: (readonly string[])[] = []
  const whole = await takePlainRows(Readable.from(pieces), { separator, longest }, (cells) => {
    rows.push(cells)
  })
  return { rows, whole }
}

/** Rows of a file, the header first. */
async function rowsOfFile(bytes: Buffer): Promise<readonly (readonly string[])[]> {
  const path = join(folder, 'rows.csv')
  writeFileSync(path, bytes)
  const inspection = await inspectFile(path)
  expect(inspection.quotes).toBe(false)
  const { columns, rowCount } = await importCsv(path, 'rows.csv', inspection, new ProblemList([]))
  const below = Array.from({ length: rowCount }, (_one, row) =>
    columns.map(({ values, codes }) => values[codes[row]!]!),
  )
  return [columns.map(({ header }) => header), ...below]
}

/** Bytes cut at given places, so that letters and ends of lines fall apart. */
function cut(bytes: Buffer, places: readonly number[]): readonly Buffer[] {
  const at = [0, ...places.map((place) => place % (bytes.length + 1)).sort((a, b) => a - b), bytes.length]
  return at.slice(1).map((end, i) => bytes.subarray(at[i]!, end))
}

const signs = [
  'a',
  '7',
  '.',
  ' ',
  '\u00a0',
  '\t',
  'é',
  '€',
  '🦷',
  ',',
  ',',
  ';',
  '\n',
  '\r\n',
  '\r',
  '\u2028',
  '',
]

describe('rows of a text without quotation marks', () => {
  it('are those that the parser of quoted texts finds, wherever the pieces are cut (csv-parse)', async () => {
    const texts = fc.array(fc.constantFrom(...signs), { maxLength: 60 }).map((all) => all.join(''))
    await fc.assert(
      fc.asyncProperty(
        texts,
        fc.constantFrom(',' as const, ';' as const, '\t' as const),
        fc.array(fc.nat(), { maxLength: 6 }),
        fc.boolean(),
        async (text, separator, places, marked) => {
          const bytes = Buffer.from(`${marked ? '\ufeff' : ''}${text}`)
          const expected = parse(bytes, splitting(separator))
          expect(await rowsOf(cut(bytes, places), { separator })).toEqual({ rows: expected, whole: true })
        },
      ),
      { numRuns: 2_000 },
    )
  })

  it('are read in every encoding', async () => {
    const text = 'patient,né\r\nP1,Ünal\r\n'
    const rows = [
      ['patient', 'né'],
      ['P1', 'Ünal'],
    ]
    const utf16 = Buffer.from(`\ufeff${text}`, 'utf16le')
    for (const bytes of [
      Buffer.from(text),
      Buffer.from(`\ufeff${text}`),
      utf16,
      Buffer.from(utf16).swap16(),
      Buffer.from(text, 'latin1'),
    ]) {
      expect(await rowsOfFile(bytes)).toEqual(rows)
    }
  })

  it('all reach the table, however many pieces the file is read in', async () => {
    const rows = Array.from({ length: 60_000 }, (_one, row) => [`P${row}`, `named ${row % 7}`, `${row % 3}`])
    const text = [['id', 'note', 'code'], ...rows].map((row) => row.join(';')).join('\r\n')
    expect(await rowsOfFile(Buffer.from(text))).toEqual([['id', 'note', 'code'], ...rows])
  })

  it('end where one is longer than may be, with those before it taken', async () => {
    expect(await rowsOf([Buffer.from('a,b\n123456\nc')], { longest: 5 })).toEqual({
      rows: [['a', 'b']],
      whole: false,
    })
    expect(await rowsOf([Buffer.from('a,b\n12'), Buffer.from('3456')], { longest: 5 })).toEqual({
      rows: [['a', 'b']],
      whole: false,
    })
  })
})
