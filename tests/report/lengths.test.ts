import { beforeAll, describe, expect, test } from 'vitest'
import { type AuditResult, auditCohort } from '../../src/analysis/audit.js'
import { contentsOf } from '../../src/report/bundle.js'
import { figuresOf, numbersOf, tablesOf } from '../../src/report/contents.js'
import { documentHtml } from '../../src/report/html.js'
import { findBrowser, pdfOfHtml } from '../../src/report/pdf.js'
import { drawFigures } from '../../src/report/pictures.js'
import { auditReport } from '../../src/report/writeReport.js'
import { practice, times } from '../analysis/practice.js'
import { everyAnalysis } from './everyAnalysis.js'

const chromium = await findBrowser()
const options = { date: '2026-05-04', version: '0.1.0' }

/** Practices as they come: one with every section there is, a small one, one without an event. */
const practices: Readonly<Record<string, () => AuditResult>> = {
  'every section': everyAnalysis,
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
  beforeAll(() => {
    const audit = audited()
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
    'prints on %s: summary one page, report at most eight, or four',
    async (paper) => {
      if (chromium === undefined) {
        process.stderr.write(
          'NOT RUN: pages of summary and report. There is no Chromium; apt-get install chromium.\n',
        )
        return
      }
      const { document, companions } = report
      const pages = async (one: typeof document): Promise<number> => {
        const html = documentHtml(one, await drawFigures(one), paper)
        const pdf = Buffer.from(await pdfOfHtml(html, { date: '2026-05-04' })).toString('latin1')
        return pdf.match(/\/Type\s*\/Page\b(?!s)/g)!.length
      }
      expect(await pages(companions!.lengths.summary)).toBe(1)
      expect(await pages(document)).toBeLessThanOrEqual(few ? 4 : 8)
    },
    120_000,
  )
})
