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
