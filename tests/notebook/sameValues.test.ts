import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { auditCohort, buildCohort, openRecords } from '../../src/index.js'
import { sectionBundle } from '../../src/notebook/auditSections.js'
import { type CellOutput, readNotebook } from '../../src/notebook/notebookFile.js'
import { incidenceTable, retentionTable } from '../../src/notebook/resultTables.js'
import { shown as shownCell, type ValueTable } from '../../src/notebook/valueTable.js'

/**
 * What the notebooks of the project show of the demo data, compared with one audit of it, which the report is made of. The
 * committed outputs are those of a run (notebooks.test.ts).
 */
const root = join(import.meta.dirname, '../..')
const names = readdirSync(join(root, 'notebooks')).filter((name) => name.endsWith('.ipynb'))

/** Everything that a notebook shows as text. */
function shown(start: string): string {
  const name = names.find((one) => one.startsWith(start))!
  return readNotebook(join(root, 'notebooks', name))
    .cells.flatMap((cell) => (cell.outputs as CellOutput[] | undefined) ?? [])
    .map(({ data }) => [(data as Record<string, string | string[]>)['text/plain'] ?? ''].flat().join(''))
    .join('\n')
}

/** Rows of tables in a text, by their first cell: every way in which a row of that name stands there. */
function rowsOf(text: string): ReadonlyMap<string, readonly string[]> {
  const rows = new Map<string, string[]>()
  for (const line of text.split('\n')) {
    const [name, ...cells] = line.split(/ {2,}/)
    if (cells.length > 0) rows.set(name!, [...(rows.get(name!) ?? []), cells.join(' | ')])
  }
  return rows
}

const rowsOfTable = ({ rows }: ValueTable): readonly (readonly [string, string])[] =>
  rows.map(([name, ...cells]) => [String(name), cells.map(shownCell).join(' | ')] as const)

let audit: ReturnType<typeof auditCohort>
beforeAll(async () => {
  audit = auditCohort(buildCohort(await openRecords(join(root, 'data-demo'))))
}, 120_000)

describe('the same quantity has the same value', () => {
  it('in the rates and risks of notebooks 02 and 09, and in the report', () => {
    const expected = rowsOfTable(incidenceTable(audit.incidence))
    expect(expected.length).toBeGreaterThan(5)
    const seen = rowsOf(shown('02'))
    for (const [name, cells] of expected) expect(seen.get(name)).toContain(cells)
    const all = rowsOf(shown('09')).get('All')!
    expect(all.filter((cells) => cells === expected[0]![1])).toHaveLength(2)
  })

  it('in the retention of notebooks 03 and 09, and in the report', () => {
    const expected = rowsOfTable(retentionTable(audit.retention))
    const seen = rowsOf(shown('03'))
    for (const [name, cells] of expected) expect(seen.get(name)).toContain(cells)
    expect(rowsOf(shown('09')).get('All')).toContain(expected[0]![1])
  })

  it('in the answer of notebooks 04 and 08, word for word that of the report', async () => {
    const answer = String((await sectionBundle(audit, 'answer'))!['text/plain'])
    expect(answer).toMatch(/percentage points \(95% interval /)
    expect(shown('04')).toContain(answer)
    expect(shown('08')).toContain(answer)
    for (const id of ['abstract', 'methods', 'limitations', 'checklist'] as const) {
      expect(shown('08')).toContain(String((await sectionBundle(audit, id))!['text/plain']))
    }
    expect(shown('04')).toContain(String((await sectionBundle(audit, 'fair'))!['text/plain']))
  })

  it('in the planning of notebook 07: the risk, and how well risk and difference are known', async () => {
    const planning = shown('07')
    const { restorations, patients, horizons } = audit.incidence.overall
    const { estimate } = horizons.find(({ years }) => years === 3)!.risk
    const risk = `${(100 * (estimate as number)).toFixed(1)}%`
    expect(planning).toContain(
      `From ${restorations} restorations of ${patients} patients the risk by 3 years is put at ${risk}`,
    )
    const answer = String((await sectionBundle(audit, 'answer'))!['text/plain'])
    const [, lower, upper] = /95% interval −([\d.]+) to \+([\d.]+)/.exec(answer)!
    const [, width] = /by 3 years is known to ([\d.]+) percentage points/.exec(planning)!
    expect(Math.abs(Number(width) - (Number(lower) + Number(upper)) / 2)).toBeLessThanOrEqual(0.1)
  })

  it('wherever a notebook counts who is followed', () => {
    const { restorations, patients } = audit.incidence.overall
    for (const name of names) {
      for (const [, followed, of] of shown(name.slice(0, 2)).matchAll(
        /(\d[\d,]*) restorations of (\d[\d,]*) patients are followed/g,
      )) {
        expect([name, followed, of]).toEqual([name, String(restorations), String(patients)])
      }
    }
  })

  it('or the difference is explained where it stands: pooled counts are those of two groups, up to a day, on a grid', () => {
    const pooling = readFileSync(join(root, 'notebooks/06-pooling-with-colleagues.ipynb'), 'utf8')
    expect(pooling).toContain('The numbers lie a little apart from those of notebooks 02 to 04')
  })
})
