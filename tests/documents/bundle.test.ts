import { mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parse } from 'csv-parse/sync'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { formatPercent } from '../../src/core/format.js'
import { spreadsheetText, tableCsv } from '../../src/documents/bundle.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { tablesOf } from '../../src/documents/model/contents.js'
import { plainText } from '../../src/documents/model/document.js'
import { replaceFolder } from '../../src/documents/replaceFolder.js'
import { resultsFormat } from '../../src/documents/results.js'
import { writeAuditReport } from '../../src/documents/writeReport.js'
import { rowRanges } from '../../src/questions/quality/section.js'
import { everyAnalysis } from './everyAnalysis.js'
import { fixtures } from './fixture.js'

const options = { date: '2026-05-04', version: '0.1.0' }
const usual = fixtures.usual!()
let folder = ''

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'report-'))
})

afterAll(async () => {
  await rm(folder, { recursive: true, force: true })
})

const tableOf = (name: string, audit = usual) =>
  tablesOf(auditDocument(audit, options)).find((table) => table.id === `table-${name}`)!

describe('tables as CSV', () => {
  test('carry estimates in three columns without units, as the report rounds them', () => {
    const rows = parse(tableCsv(tableOf('risks')), { columns: true }) as Record<string, string>[]
    const risk = usual.incidence.overall.horizons[1]!.risk
    expect(rows[0]).toMatchObject({
      Group: 'All restorations',
      '3 years, %': formatPercent(Number(risk.estimate)).replace('%', ''),
      '3 years, %, lower limit': formatPercent(Number(risk.interval.lower)).replace('%', ''),
      '3 years, %, upper limit': formatPercent(Number(risk.interval.upper)).replace('%', ''),
      'At risk, 3 years': String(usual.incidence.overall.horizons[1]!.atRisk),
    })
  })

  test('have as many rows and columns as they say', () => {
    for (const name of Object.keys(fixtures)) {
      for (const table of tablesOf(auditDocument(fixtures[name]!(), options))) {
        const rows = parse(tableCsv(table)) as string[][]
        expect(rows).toHaveLength(table.rows.length + 1)
      }
    }
  })

  test('keep negative numbers numbers', () => {
    const arms = parse(tableCsv(tableOf('comparison-arms', everyAnalysis()))) as string[][]
    const differences = arms.slice(1).flatMap((cells) => cells.filter((cell) => cell.startsWith('-')))
    expect(differences.length).toBeGreaterThan(0)
    for (const cell of differences) expect(Number(cell)).toBeLessThan(0)
  })

  test.each(['=1+1', '+1', '-1', '@SUM(A1)', '\tx', '\rx', ' =1', '|calc', '%0A'])(
    'show %j as text in a spreadsheet',
    (text) => {
      expect(spreadsheetText(text)).toBe(`'${text}`)
    },
  )

  test('leave ordinary text alone', () => {
    expect(spreadsheetText('single crown (1-2)')).toBe('single crown (1-2)')
  })

  test('escape formulas of the data', () => {
    const csv = tableCsv(tableOf('files', fixtures.hostile!()))
    expect((parse(csv) as string[][])[1]![0]).toMatch(/^'=1\+1/)
  })

  test('tell in words what cannot be estimated', () => {
    const rows = parse(tableCsv(tableOf('risks', fixtures['nothing estimable']!()))) as string[][]
    expect(rows[1]).toContain('not estimable')
  })
})

describe('the table of problems', () => {
  test('has every problem, the gravest first, with its rows', () => {
    const { problems } = usual.summary.quality
    const rows = tableOf('problems').rows
    expect(rows).toHaveLength(problems.length)
    expect(plainText(rows[0]![0]!.content)).toBe('The date lies before the delivery of the restoration.')
    const setAside = tableOf('set-aside').rows.map((row) => plainText(row[2]!.content))
    expect(setAside).toEqual(['212, 988, 1901', '17, 18, 402, 403, 911'])
  })
})

test('rows are written as ranges, and what was cut is known', () => {
  expect(rowRanges([5, 3, 4, 9, 11, 12], 99)).toEqual({ text: '3–5, 9, 11, 12', shown: 6 })
  expect(rowRanges([1, 2, 3, 4], 2)).toEqual({ text: '1, 2', shown: 2 })
})

describe('a written report', () => {
  test('is three lengths of one evidence with figures, tables and results beside them', async () => {
    const outDir = join(folder, 'new', 'report')
    const { htmlPath, files } = await writeAuditReport(usual, { ...options, outDir })
    expect(htmlPath).toBe(`${outDir}/report.html`)
    expect((await readdir(outDir)).sort()).toEqual([
      'figures',
      'index.html',
      'provenance.json',
      'report.docx',
      'report.html',
      'report.md',
      'results.json',
      'results.schema.json',
      'summary.docx',
      'summary.html',
      'summary.md',
      'supplement.docx',
      'supplement.html',
      'supplement.md',
      'tables',
    ])
    expect(await readdir(join(folder, 'new'))).toEqual(['report'])
    for (const size of ['90mm', '190mm']) {
      expect(files).toContain(`figures/retention-${size}.svg`)
      expect(files).toContain(`figures/retention-${size}.vl.json`)
    }
    expect(files).toContain('tables/risks.csv')
    const results = JSON.parse(await readFile(join(outDir, 'results.json'), 'utf8'))
    expect(results).toMatchObject({ version: '0.1.0', settings: { seed: 20260504 } })
  })

  test('is the same, byte for byte, when it is made again', async () => {
    const [one, two] = [join(folder, 'one'), join(folder, 'two')]
    const { files } = await writeAuditReport(usual, { ...options, outDir: one })
    await writeAuditReport(usual, { ...options, outDir: two })
    for (const file of files) {
      const [first, second] = [await readFile(join(one, file)), await readFile(join(two, file))]
      expect(first.equals(second), file).toBe(true)
    }
  })
})

describe('the folder of a report', () => {
  const results = { path: 'results.json', content: JSON.stringify({ format: resultsFormat }) }
  const page = { path: 'report.html', content: 'earlier' }

  test('is replaced as a whole', async () => {
    const outDir = join(folder, 'again')
    await replaceFolder(outDir, [page, results, { path: 'figures/old.svg', content: 'old' }])
    await replaceFolder(`${outDir}/`, [{ ...page, content: 'later' }, results])
    expect((await readdir(outDir)).sort()).toEqual(['report.html', 'results.json'])
    expect(await readFile(join(outDir, 'report.html'), 'utf8')).toBe('later')
    expect((await readdir(folder)).filter((name) => name.startsWith('.again'))).toEqual([])
  })

  test('is refused where it holds anything else', async () => {
    const outDir = join(folder, 'taken')
    await mkdir(outDir)
    await writeFile(join(outDir, 'letters.txt'), 'mine')
    await expect(replaceFolder(outDir, [page, results])).rejects.toThrow(
      'the folder taken holds files that are not those of a report. Expected: a folder that does not exist, is empty, or holds an earlier report and nothing else. Mend: name another folder with --out, or move these files away.',
    )
    expect(await readFile(join(outDir, 'letters.txt'), 'utf8')).toBe('mine')
  })

  test('is refused where it only looks like a report', async () => {
    const outDir = join(folder, 'alike')
    await mkdir(outDir)
    await writeFile(join(outDir, 'report.html'), 'mine')
    await writeFile(join(outDir, 'results.json'), '{"format":"another"}')
    await expect(replaceFolder(outDir, [page, results])).rejects.toThrow('not those of a report')
  })

  test('is refused where the name is that of a file', async () => {
    const outDir = join(folder, 'file')
    await writeFile(outDir, 'mine')
    await expect(replaceFolder(outDir, [page, results])).rejects.toThrow(
      'file is a file. Expected: the name of a folder. Mend: name another folder with --out.',
    )
  })

  test('is as it was when writing fails', async () => {
    const outDir = join(folder, 'kept')
    await replaceFolder(outDir, [page, results])
    const impossible = [{ path: 'report.html', content: undefined as unknown as string }]
    await expect(replaceFolder(outDir, impossible)).rejects.toThrow()
    expect(await readFile(join(outDir, 'report.html'), 'utf8')).toBe('earlier')
    expect((await readdir(folder)).filter((name) => name.startsWith('.kept'))).toEqual([])
  })
})
