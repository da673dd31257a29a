import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { HoldfastError } from '../../src/core/errors.js'
import { checkRecords } from '../../src/records/read/readDataset.js'
import { sheetFields } from '../../src/vocabulary/fields.js'
import { mapColumns } from './mapping.js'
import { csvOf, oneSheet, practice, type Row, temporaryFolder, today } from './practice.js'

/** Reads bytes as a data set and as something to be mapped: nothing but a typed error may come out. */
async function survives(path: string): Promise<void> {
  for (const work of [() => checkRecords(path, { today }), () => mapColumns(path)]) {
    const thrown = await work().then(
      () => undefined,
      (error: unknown) => error,
    )
    if (thrown !== undefined) expect(thrown).toBeInstanceOf(HoldfastError)
  }
}

const anyText = fc.oneof(
  fc.string({ maxLength: 30 }),
  fc.string({ unit: 'grapheme', maxLength: 12 }),
  fc.constantFrom(
    '',
    '"',
    '""',
    ',',
    ';',
    '\t',
    '\n',
    '\r',
    '=1+1',
    '35',
    '0,35',
    '1.250',
    '2020-02-30',
    '01/02/2020',
    'x',
    'NaN',
    '1e400',
    '-1',
    '99999999999999999999',
    '\u0000',
    '\ufeff',
    '36',
    '75',
    'screw_loosening',
  ),
)

describe('fuzzed input', () => {
  const folder = temporaryFolder()
  const path = join(folder, 'fuzz.csv')

  it('random bytes give a typed error or a list of problems', async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 600 }), async (bytes) => {
        writeFileSync(path, bytes)
        await survives(path)
      }),
      { numRuns: 400, seed: 20_250_101 },
    )
  })

  it('random bytes behind the beginnings of known formats do so too', async () => {
    const beginnings = ['1f8b08', '504b0304', 'd0cf11e0a1b11ae1', 'fffe', 'feff', 'efbbbf', '3c3f786d6c'].map(
      (hex) => Buffer.from(hex, 'hex'),
    )
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...beginnings),
        fc.uint8Array({ maxLength: 600 }),
        async (begin, bytes) => {
          writeFileSync(path, Buffer.concat([begin, bytes]))
          await survives(path)
        },
      ),
      { numRuns: 400, seed: 20_250_102 },
    )
  })

  it('tables with any text in any cell do so too', async () => {
    const headers = sheetFields.one_sheet.map((field) => field.name)
    const table = fc
      .tuple(
        fc.shuffledSubarray(headers, { minLength: 4 }),
        fc.array(fc.array(anyText, { maxLength: 50 }), { maxLength: 8 }),
      )
      .map(([header, rows]) =>
        [header.join(','), ...rows.map((row) => row.slice(0, header.length + 1).join(','))].join('\n'),
      )
    await fc.assert(
      fc.asyncProperty(table, async (text) => {
        writeFileSync(path, text)
        await survives(path)
      }),
      { numRuns: 400, seed: 20_250_103 },
    )
  })

  it('a sound sheet with a few cells replaced never gives NaN days or rows that nobody counts', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(fc.nat(39), fc.nat(10), anyText), { maxLength: 4 }),
        async (changes) => {
          const rows: Record<string, string>[] = oneSheet(40)
          for (const [row, column, text] of changes) {
            const field = Object.keys(rows[0]!)[column]!
            rows[row]![field] = `"${text.replaceAll('"', '""')}"`
          }
          writeFileSync(path, csvOf(rows))
          const { records, quality } = await checkRecords(path, { today, setAsideLimit: 1 })
          if (records === undefined) return
          const { read, setAside } = quality.rows.restorations
          const repeated = quality.problems
            .filter((one) => one.code === 'identical-row')
            .reduce((sum, one) => sum + one.count, 0)
          expect(records.restorations.rowCount).toBe(read - setAside - repeated)
          const days = records.visits.day('visit_date')
          expect(days.every((day) => day >= 0)).toBe(true)
        },
      ),
      { numRuns: 200, seed: 20_250_104 },
    )
  })

  it('the order of rows does not matter', async () => {
    const tables = practice(12)
    const summary = async (order: readonly number[]): Promise<unknown> => {
      const place = temporaryFolder()
      for (const [name, rows] of Object.entries(tables) as [string, Row[]][]) {
        const sorted = rows
          .map((row, index) => ({ row, at: order[index % order.length]! * 1_000 + index }))
          .sort((left, right) => left.at - right.at)
          .map(({ row }) => row)
        writeFileSync(join(place, `${name}.csv`), csvOf(sorted))
      }
      const { records } = await checkRecords(place, { today })
      const { labels, codes } = records!.restorations.category('restoration_id')
      const { visits } = records!
      return [...codes]
        .map((code, row) =>
          [
            labels[code],
            ...visits.day('visit_date').slice(visits.firstRow[row], visits.firstRow[row + 1]),
          ].join(' '),
        )
        .sort()
    }
    const first = await summary([0])
    await fc.assert(
      fc.asyncProperty(fc.array(fc.nat(50), { minLength: 12, maxLength: 12 }), async (order) => {
        expect(await summary(order)).toEqual(first)
      }),
      { numRuns: 20, seed: 20_250_105 },
    )
  })
})
