import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { openEngine } from '../../src/cli/engine.js'
import { layoutOf, wholeNumbers } from '../../src/pooling/protocol/layout.js'
import {
  type CountRow,
  countedOf,
  countedParts,
  rowScoreTables,
  squaresSize,
} from '../../src/pooling/site/countedParts.js'
import { countsQuery, scoreValues, squaresQuery } from '../../src/pooling/site/countedSql.js'
import { numbersOfParts } from '../../src/pooling/site/numbers.js'
import { agreedOn, numbersOfRows, syntheticPractice } from './syntheticGroup.js'

const folder = mkdtempSync(join(tmpdir(), 'counted-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const { protocol } = agreedOn()
const rows = syntheticPractice(
  protocol,
  { name: 'St. John\'s, "Küste"', restorations: 900, eventShare: 0.15, groupShare: 0.4, clinics: 3 },
  5,
)

function written(): string {
  const path = join(folder, 'rows.csv')
  const names = ['single', 'repeated in the window']
  const lines = Array.from({ length: rows.n }, (_one, row) =>
    [
      `"${rows.clinics[rows.clinic[row]!]!.replaceAll('"', '""')}"`,
      `r${row}`,
      `p${rows.patient[row]}`,
      rows.timeDays[row],
      Math.max(0, rows.entryDays[row]!),
      rows.status[row],
      names[rows.group[row]!],
    ].join(','),
  )
  const head = 'clinic_id,restoration_id,patient_id,time_days,entry_days,status,exposure'
  writeFileSync(path, `${[head, ...lines, 'x,other,p1,100,0,0,other'].join('\n')}\n`)
  return path
}

describe('rows at risk that cannot be counted are refused', () => {
  const head = 'restoration_id,patient_id,time_days,status,exposure'
  const refused = async (header: string, line: string, of = protocol): Promise<string> => {
    const path = join(folder, 'refused.csv')
    const more = ','.repeat(header.split(',').length - head.split(',').length)
    writeFileSync(path, `${header}\nr0,p0,100,0,single${more}\n${line}\n`)
    try {
      await (await openEngine(path, of)).close()
      return 'taken'
    } catch (error) {
      return (error as Error).message.split('. Expected')[0]!.replace(/^.*cannot be counted: /, '')
    }
  }

  it.each([
    ['days that are no number', 'r1,p1,NaN,0,single', '1 rows have no whole day of leaving'],
    ['days without end', 'r1,p1,Infinity,0,single', '1 rows have no whole day of leaving'],
    ['days of ten thousand years', 'r1,p1,4000000,0,single', '1 rows have no whole day of leaving'],
    ['an empty patient', 'r1," ",100,0,single', '1 rows have no patient'],
    ['an empty restoration', '"",p1,100,0,single', '1 rows have no restoration'],
    [
      'a group in other letters',
      'r1,p1,100,0,Single ',
      '1 rows have an exposure that is a group but for letter case or blanks',
    ],
    ['another group', 'r1,p1,100,0,other', 'taken'],
  ])('by %s', async (_what, line, words) => {
    expect(await refused(head, line)).toBe(words)
  })

  it('by a column that is there twice, in whatever case', async () => {
    const words = 'the columns status are there twice'
    expect(await refused(`${head},Status`, 'r1,p1,100,0,single,1')).toBe(words)
  })

  it('by a row without a delivery, where days were shared before', async () => {
    const second = { ...protocol, release: { from: '2020-06-30', cutoff: '2024-12-31' } }
    const words = '2 rows have no delivery date'
    expect(await refused(`${head},delivery_date`, 'r1,p1,100,0,single,', second)).toBe(words)
  })
})

describe('rows at risk counted inside the embedded engine', () => {
  it.each(['a table of scores', 'scores in the query'])(
    'give the message of the same rows, with %s',
    async (way) => {
      const engine = await openEngine(written(), protocol)
      try {
        const all = 'SELECT * FROM rows_asked_for'
        const counted = countedOf((await engine.ask(countsQuery(all))) as readonly CountRow[], protocol)
        const size = squaresSize(protocol)
        const scores = rowScoreTables(counted, protocol)
        await engine.giveScores(scores, size)
        const given = way === 'a table of scores' ? 'SELECT * FROM given_scores' : scoreValues(scores, size)
        const [squares] = await engine.ask(squaresQuery(all, given, size))
        const endpoint = protocol.endpoints[0]!
        const short = { ...squares, restorations: rows.n - 1 }
        expect(() => countedParts(counted, short, protocol)).toThrow('did not count the same restorations')
        const { sums } = numbersOfParts({ [endpoint]: countedParts(counted, squares!, protocol) }, protocol)
        const layout = layoutOf(protocol)
        expect(wholeNumbers(sums, layout)).toEqual(wholeNumbers(numbersOfRows(rows, protocol).sums, layout))
      } finally {
        await engine.close()
      }
    },
  )
})
