import { Readable } from 'node:stream'
import { parse } from 'csv-parse/sync'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { TextEncoding } from '../../src/records/read/inspect.js'
import { takePlainRows } from '../../src/records/read/plainRows.js'

async function rowsOf(
  pieces: readonly Buffer[],
  { encoding = 'utf-8' as TextEncoding, separator = ',', longest = 1_000 } = {},
) {
  const rows: (readonly string[])[] = []
  const whole = await takePlainRows(Readable.from(pieces), { encoding, separator, longest }, (cells) => {
    rows.push(cells)
  })
  return { rows, whole }
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
        fc.constantFrom(',', ';', '\t'),
        fc.array(fc.nat(), { maxLength: 6 }),
        fc.boolean(),
        async (text, separator, places, marked) => {
          const bytes = Buffer.from(`${marked ? '\ufeff' : ''}${text}`)
          const expected = parse(bytes, {
            bom: true,
            delimiter: separator,
            record_delimiter: ['\r\n', '\n', '\r'],
            relax_column_count: true,
            relax_quotes: true,
            trim: true,
          })
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
    expect(await rowsOf(cut(utf16, [3, 21]), { encoding: 'utf-16le' })).toEqual({ rows, whole: true })
    expect(await rowsOf([Buffer.from(utf16).swap16()], { encoding: 'utf-16be' })).toEqual({
      rows,
      whole: true,
    })
    expect(await rowsOf([Buffer.from(text, 'latin1')], { encoding: 'windows-1252' })).toEqual({
      rows,
      whole: true,
    })
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
