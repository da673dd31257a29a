import { join } from 'node:path'
import { beforeAll, describe, expect, test } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { dayFromIso } from '../../src/core/calendar.js'
import { contentsOf } from '../../src/documents/bundle.js'
import { documentHtml } from '../../src/documents/formats/html.js'
import { findBrowser, pdfOfHtml } from '../../src/documents/formats/pdf.js'
import { changeDocument } from '../../src/documents/kinds/changeDocument.js'
import { leafletDocument } from '../../src/documents/kinds/leafletDocument.js'
import { proposalDocument } from '../../src/documents/kinds/proposalDocument.js'
import { shortReport } from '../../src/documents/kinds/shortReport.js'
import { summaryDocument } from '../../src/documents/kinds/summaryDocument.js'
import { figuresOf, numbersOf, tablesOf } from '../../src/documents/model/contents.js'
import type { ReportDocument } from '../../src/documents/model/document.js'
import { auditReport } from '../../src/documents/writeReport.js'
import { dictionaryFields } from '../../src/notebook/dictionary.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { defaultPlan } from '../../src/questions/plan/planFile.js'
import { plannedStudy } from '../../src/questions/plan/plannedStudy.js'
import { compareReports } from '../../src/questions/twoReports/answer.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { practice, times } from '../questions/practice.js'
import { drawFigures } from './drawFigures.js'
import { everyAnalysis } from './everyAnalysis.js'
import { printedSheets } from './printedSheets.js'

const chromium = await findBrowser()
const options = { date: '2026-05-04', version: '0.1.0' }

async function auditOf(path: string): Promise<AuditResult> {
  const records = join(import.meta.dirname, '../..', path)
  return auditCohort(buildCohort(await readRecords(records, { today: dayFromIso('2026-05-04')! })))
}

/** Practices as they come: one with every section there is, a small one, one without an event. */
const practices: Readonly<Record<string, () => AuditResult | Promise<AuditResult>>> = {
  'every section': everyAnalysis,
  'the demo data': () => auditOf('data-demo'),
  '33 crowns': () =>
    auditCohort(
      practice([
        ...times(14, { checks: [200, 800, 1300] }),
        ...times(2, { loose: 300 }),
        ...times(15, { checks: [300, 900], repeated: true }),
        ...times(1, { loose: 500, repeated: true }),
        ...times(1, { checks: [] }),
      ]),
    ),
  'no events': () =>
    auditCohort(
      practice([...times(20, { checks: [200, 900] }), ...times(22, { checks: [250, 800], repeated: true })]),
    ),
}

describe.each(Object.entries(practices))('of a practice with %s', (_name, audited) => {
  let report: ReturnType<typeof auditReport>
  let few = false
  let audit: AuditResult
  beforeAll(async () => {
    audit = await audited()
    few = audit.incidence.overall.events < 10
    report = auditReport(audit, options)
  })

  test('the report and its supplement hold every table and figure once, each under a number of its own', () => {
    const { document, companions } = report
    const [short, rest] = [document, companions!.lengths.supplement].map((one) =>
      [...tablesOf(one), ...figuresOf(one)].map(({ id }) => id),
    )
    expect(new Set([...short!, ...rest!]).size).toBe(short!.length + rest!.length)
    const all = contentsOf(report)
    expect([...tablesOf(all), ...figuresOf(all)].map(({ id }) => id)).toEqual(
      expect.arrayContaining([...short!, ...rest!]),
    )
    for (const number of numbersOf(companions!.lengths.supplement).values()) expect(number).toMatch(/^S\d+$/)
  })

  test('the answer stands before its figure, and both before all else', () => {
    for (const one of [report.document, report.companions!.lengths.summary, report.companions!.start]) {
      const kinds = one.sections[0]!.blocks.map(({ kind }) => kind)
      expect(kinds[0]).toBe('paragraph')
      if (!few) expect(kinds.indexOf('figure')).toBeLessThanOrEqual(2)
    }
  })

  test('the forest has at most eight rows', () => {
    const forest = figuresOf(report.document).find(({ id }) => id === 'figure-comparison-forest')
    const rows = (forest?.page.description ?? '').split(';').length
    expect(rows).toBeLessThanOrEqual(8)
  })

  test.each(['A4', 'letter'] as const)(
    'prints on %s: summary and leaflet one page, changes two, report at most eight, or four',
    async (paper) => {
      if (chromium === undefined) {
        process.stderr.write(
          'NOT RUN: pages of summary and report. There is no Chromium; apt-get install chromium.\n',
        )
        return
      }
      const { document, companions } = report
      expect(await pagesOf(companions!.lengths.summary, paper)).toBe(1)
      expect(await pagesOf(leafletDocument(audit, { ...options, comparison: true }), paper)).toBe(1)
      const versions = { before: '0.1.0', after: '0.1.0' }
      const changes = changeDocument(compareReports(audit, audit), { ...options, versions })
      expect(await pagesOf(changes, paper)).toBeLessThanOrEqual(2)
      expect(await pagesOf(document, paper)).toBeLessThanOrEqual(few ? 4 : 8)
      const german = { ...options, language: 'de' }
      expect(await pagesOf(summaryDocument(audit, german), paper)).toBe(1)
      expect(await pagesOf(shortReport(audit, german), paper)).toBeLessThanOrEqual(few ? 4 : 8)
    },
    180_000,
  )
})

test('changes from three tables to one sheet, which has few of their fields, print on two pages', async () => {
  if (chromium === undefined) {
    process.stderr.write('NOT RUN: pages of changes. There is no Chromium; apt-get install chromium.\n')
    return
  }
  const two = compareReports(await auditOf('data-demo'), await auditOf('data-demo/one-sheet.csv'))
  const changes = changeDocument(two, { ...options, versions: { before: '0.1.0', after: '0.1.0' } })
  for (const paper of ['A4', 'letter'] as const) expect(await pagesOf(changes, paper)).toBe(2)
}, 120_000)

test.each(['A4', 'letter'] as const)(
  'the draft of a protocol prints on at most six pages of %s',
  async (paper) => {
    if (chromium === undefined) {
      process.stderr.write(
        'NOT RUN: pages of the protocol. There is no Chromium; apt-get install chromium.\n',
      )
      return
    }
    const fields = dictionaryFields()
    const document = proposalDocument(plannedStudy(defaultPlan), { date: '2026-05-04', fields })
    expect(await pagesOf(document, paper)).toBeLessThanOrEqual(6)
  },
  60_000,
)

/** Most of a sheet that may stay blank below its text, in millimetres: less than a third of what a sheet holds. */
const mostBlank = 75

/** Prints a document; no sheet but the last is left half empty, and nothing is so wide that the browser makes all smaller. */
async function pagesOf(document: ReportDocument, paper: 'A4' | 'letter'): Promise<number> {
  const html = documentHtml(document, await drawFigures(document), paper)
  const sheets = printedSheets(await pdfOfHtml(html, { date: '2026-05-04' }))
  for (const [index, { emptyBelow, shrunk }] of sheets.entries()) {
    if (index < sheets.length - 1) expect(emptyBelow, `sheet ${index + 1}`).toBeLessThan(mostBlank)
    expect(shrunk, `sheet ${index + 1}`).toBeCloseTo(1, 2)
  }
  return sheets.length
}
