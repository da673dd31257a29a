import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { DuckDBInstance } from '@duckdb/node-api'
import { afterAll, describe, expect, it } from 'vitest'
import { openEngine } from '../../src/cli/engine.js'
import { answerRound, answerWith } from '../../src/pooling/answerRound.js'
import { combineSummaries } from '../../src/pooling/combine.js'
import { type EngineSummary, engineParts, makeEngineSummary } from '../../src/pooling/engineSummary.js'
import type { AgreedProtocol } from '../../src/pooling/protocol.js'
import { groupNames, type SiteRows, stratumLevels } from '../../src/pooling/siteRows.js'
import { type MadeSummary, makeSiteSummary } from '../../src/pooling/siteSummary.js'
import { portableSql, rowsQuery } from '../../src/pooling/sqlText.js'
import { agreedOn, demoRows, making } from './demoGroup.js'
import { syntheticRows } from './syntheticRows.js'

const scratch = mkdtempSync(join(tmpdir(), 'sql-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

/** Rows at risk as a registry would write them. */
function csvOf(sites: readonly SiteRows[], { protocol }: AgreedProtocol): string {
  const fields = [...(protocol.strata === null ? [] : [protocol.strata]), ...protocol.balance]
  const names = fields.map(({ field }) => field)
  const head = ['clinic_id,restoration_id,patient_id,time_days,entry_days,status,exposure', ...names].join()
  const levels = stratumLevels(protocol)
  const lines = sites.flatMap((rows) =>
    rows.key.map((key, row) => {
      const words = ['censored', 'endpoint', 'competing']
      const own = protocol.balance.map((field, f) => field.levels[rows.balance[f]![row]!] ?? '')
      const stratum = protocol.strata === null ? [] : [levels[rows.stratum[row]!]!]
      return [
        rows.clinic,
        key,
        rows.patientKey[row],
        rows.timeDays[row],
        rows.entryDays[row],
        words[rows.status[row]!],
        groupNames(protocol)[rows.group[row]!],
        ...stratum,
        ...own,
      ].join()
    }),
  )
  return `${[head, ...lines].join('\n')}\n`
}

function fileOf(name: string, text: string): string {
  const path = join(scratch, name)
  writeFileSync(path, text)
  return path
}

async function parquetOf(csv: string): Promise<string> {
  const path = csv.replace('.csv', '.parquet')
  const instance = await DuckDBInstance.create(':memory:')
  const connection = await instance.connect()
  await connection.run(`COPY (SELECT * FROM read_csv('${csv}')) TO '${path}' (FORMAT parquet)`)
  connection.closeSync()
  instance.closeSync()
  return path
}

async function byEngine(file: string, agreed: AgreedProtocol): Promise<readonly EngineSummary[]> {
  const engine = await openEngine(file, agreed.protocol)
  const made: EngineSummary[] = []
  for (const clinic of engine.clinics) {
    made.push(await makeEngineSummary({ ...engine, clinic }, agreed, making))
  }
  await engine.close()
  return made
}

/** Equal to 1e-9 of each number, whatever else is in it. */
function expectSame(found: unknown, expected: unknown): void {
  if (typeof expected === 'number') {
    expect(Math.abs((found as number) - expected)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(expected)))
  } else if (typeof expected === 'object' && expected !== null) {
    expect(Object.keys(found as object).sort()).toEqual(Object.keys(expected).sort())
    for (const [name, value] of Object.entries(expected))
      expectSame((found as Record<string, unknown>)[name], value)
  } else expect(found).toEqual(expected)
}

function expectSameSummaries(found: readonly EngineSummary[], expected: readonly MadeSummary[]): void {
  expect(found).toHaveLength(expected.length)
  found.forEach((one, i) => {
    const { model, checksum, ...counts } = one.summary
    const { model: otherModel, checksum: _other, ...otherCounts } = expected[i]!.summary
    expect(counts).toEqual(otherCounts)
    expectSame(model, otherModel)
    expect(checksum).toMatch(/^[0-9a-f]{64}$/)
  })
}

const late = agreedOn({ gridDays: [0, 90, 180, 365, 730, 1095, 1500] })
const site = (clinic: string, seed: number, lateShare: number, patients: number): SiteRows =>
  syntheticRows(late.protocol, {
    clinic,
    patients,
    eventShare: 0.25,
    competingShare: 0.1,
    lateShare,
    seed,
  })

describe('counting inside the engine', () => {
  it('gives the summaries of the demo clinics, from CSV and from Parquet', async () => {
    const agreed = agreedOn()
    const rows = await demoRows(agreed)
    const expected = await Promise.all(rows.map((one) => makeSiteSummary(one, agreed, making)))
    const csv = fileOf('demo.csv', csvOf(rows, agreed))
    expectSameSummaries(await byEngine(csv, agreed), expected)
    expectSameSummaries(await byEngine(await parquetOf(csv), agreed), expected)
  }, 60_000)

  it('gives those of clinics with late entries, day 0 and several restorations in a patient', async () => {
    const rows = [site('A', 1, 0.5, 900), site('B', 2, 0, 300), site("C's", 3, 0.1, 500)]
    const expected = await Promise.all(rows.map((one) => makeSiteSummary(one, late, making)))
    const found = await byEngine(fileOf('late.csv', csvOf(rows, late)), late)
    expectSameSummaries(found, expected)
    expect(
      found.some(({ summary }) => summary.blocks.some(({ groups }) => groups[0]!.entered.some((n) => n > 0))),
    ).toBe(true)
  }, 60_000)

  it('gives the very same file twice, and the answers of the rounds', async () => {
    const rows = [site('A', 1, 0.5, 900)]
    const [made] = await Promise.all(rows.map((one) => makeSiteSummary(one, late, making)))
    const file = fileOf('rounds.csv', csvOf(rows, late))
    const [first, second] = [await byEngine(file, late), await byEngine(file, late)]
    expect(second[0]!.summary).toEqual(first[0]!.summary)
    const requestOf = (summary: MadeSummary['summary']) => {
      const { model } = combineSummaries([summary], late)
      if (model.state !== 'next-round') throw new Error(model.state)
      return model.request
    }
    const engine = await openEngine(file, late.protocol)
    const own = { ...engine, clinic: 'A' }
    for (const final of [false, true]) {
      const request = { ...requestOf(made!.summary), final }
      const byRows = answerRound(rows[0]!, late, made!, made!.record, request)
      const asked = { ...requestOf(first[0]!.summary), final, coefficients: request.coefficients }
      const parts = await engineParts(own, late.protocol, first[0]!, request.coefficients, final)
      const bySql = answerWith(() => parts, late, first[0]!, first[0]!.record, asked)
      expectSame(bySql.answer.sums, byRows.answer.sums)
      expectSame(bySql.answer.outerProducts, byRows.answer.outerProducts)
    }
    await engine.close()
  }, 60_000)

  it('allows one release only, since it notes no rows', async () => {
    const rows = site('A', 1, 0, 300)
    const file = fileOf('once.csv', csvOf([rows], late))
    const [{ record }] = (await byEngine(file, late)) as [EngineSummary]
    const engine = await openEngine(file, late.protocol)
    await expect(
      makeEngineSummary({ ...engine, clinic: 'A' }, late, { ...making, earlier: [record] }),
    ).rejects.toMatchObject({ code: 'release-not-comparable' })
    await expect(makeSiteSummary(rows, late, { ...making, earlier: [record] })).rejects.toMatchObject({
      code: 'release-not-comparable',
    })
    await engine.close()
  }, 30_000)
})

describe('rows at risk', () => {
  const good = csvOf([site('A', 1, 0.2, 200)], late)
  const changed = (column: number, value: string): string =>
    good
      .split('\n')
      .map((line, i) => (i === 3 ? replaced(line.split(','), column, value) : line))
      .join('\n')

  it.each([
    [
      'columns',
      good.replace('time_days', 'days'),
      'late.csv: the rows at risk cannot be counted: the columns time_days are missing. Expected: one row for each restoration, with the columns that docs/pooling.md names. Mend: mend the query that made the file, and make it again.',
    ],
    ['days', changed(3, '12.5'), '1 rows have no whole day of leaving'],
    ['no day', changed(3, ''), '1 rows have no whole day of leaving'],
    ['entry', changed(4, '99999'), '1 rows enter on no whole day, or after they leave'],
    ['status', changed(5, 'gone'), '1 rows have a status that is none of'],
    ['patient', changed(2, ''), '1 rows have no patient'],
    ['restoration', changed(1, 'A-0'), '1 rows repeat a restoration'],
  ])('are refused for their %s', async (_what, text, message) => {
    await expect(openEngine(fileOf('late.csv', text), late.protocol)).rejects.toThrow(message)
  })

  it('are refused where nobody is in the groups, or the file is no table', async () => {
    const other = fileOf(
      'other.csv',
      good.replaceAll('single', 'a').replaceAll('repeated in the window', 'b'),
    )
    await expect(openEngine(other, late.protocol)).rejects.toMatchObject({ code: 'no-rows' })
    await expect(openEngine(fileOf('x.txt', good), late.protocol)).rejects.toThrow('neither CSV nor Parquet')
    await expect(openEngine(join(scratch, 'none.csv'), late.protocol)).rejects.toThrow('is not a file')
  })
})

describe('the printed query', () => {
  it('gives the fine counts from a table of rows at risk, and holds no word of one engine', async () => {
    const rows = site('A', 1, 0.5, 400)
    const file = fileOf('printed.csv', csvOf([rows], late))
    const columns = csvOf([], late).trim().split(',')
    const source = { relation: 'rows_at_risk', columns, name: 'registry' }
    const sql = portableSql(late.protocol, source)
    expect(sql).not.toMatch(/TRY_CAST|read_csv|HUGEINT|GROUP BY ALL|\bLIST\b/)
    const instance = await DuckDBInstance.create(':memory:')
    const connection = await instance.connect()
    await connection.run(`CREATE TABLE rows_at_risk AS SELECT * FROM read_csv('${file}')`)
    const found = (await connection.runAndReadAll(sql)).getRowObjectsJS()
    const exits = found.filter((row) => Number(row.kind) < 3)
    expect(exits.reduce((sum, row) => sum + Number(row.restorations), 0)).toBe(rows.n)
    const days = rows.timeDays.reduce((sum, day) => sum + day, 0)
    expect(exits.reduce((sum, row) => sum + Number(row.days), 0)).toBe(days)
    expect(rowsQuery(late.protocol, source)).toContain('FROM rows_at_risk')
    connection.closeSync()
    instance.closeSync()
  })
})

function replaced(fields: readonly string[], column: number, value: string): string {
  return fields.map((field, i) => (i === column ? value : field)).join()
}
