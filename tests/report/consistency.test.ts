import { describe, expect, test } from 'vitest'
import { type AuditResult, auditCohort } from '../../src/analysis/audit.js'
import { auditKindNames } from '../../src/report/auditKindNames.js'
import { caseSeriesDocument } from '../../src/report/caseSeriesDocument.js'
import type { CitedNumber } from '../../src/report/document.js'
import { leafletDocument } from '../../src/report/leafletDocument.js'
import { documentMarkdown, escapeMarkdown } from '../../src/report/markdown.js'
import { slidesDocument } from '../../src/report/slides/slidesDocument.js'
import { auditReport, outsideReport } from '../../src/report/writeReport.js'
import { practice, type TestRestoration, times } from '../analysis/practice.js'
import {
  claimFaults,
  columnFaults,
  contradictionsIn,
  horizonFaults,
  intervalFaults,
  numbersIn,
  wordFaults,
} from './consistency.js'
import { everyAnalysis } from './everyAnalysis.js'
import { phrasesOf } from './wordChecks.js'

const options = { date: '2026-05-04', version: '0.1.0' }
const of =
  (...restorations: readonly TestRestoration[]) =>
  (): AuditResult =>
    auditCohort(practice(restorations))
const both = (count: number, one: TestRestoration) => [
  ...times(count, one),
  ...times(count, { ...one, repeated: true }),
]

/** Practices in which sentences, tables and figures come apart first. */
const corpus: Readonly<Record<string, () => AuditResult>> = {
  'every section': everyAnalysis,
  'no event': of(...both(20, { checks: [300, 900] })),
  'one event': of(...both(20, { checks: [300, 900] }), { loose: 200, checks: [90] }),
  'one crown': of({ checks: [400] }),
  'one crown, loose': of({ loose: 100 }),
  'everybody lost on day 0': of(...both(15, { checks: [0] }), { checks: [1] }),
  'one group': of(...times(40, { checks: [300, 1300] }), ...times(6, { loose: 500, checks: [200] })),
  'one patient': of(...both(8, { checks: [300, 1200], patient: 1 }), { loose: 300, patient: 1 }),
  'one of each': of(...times(1, { checks: [400] }), ...times(1, { loose: 300, repeated: true })),
  'nothing known of handling': of(
    ...times(30, { checks: [300, 1300], repeated: 'unknown' }),
    ...times(4, { loose: 250, repeated: 'unknown' }),
  ),
  'everybody loose': of(...both(12, { loose: 300, checks: [100] })),
  'many lost': of(
    ...both(20, { checks: [300, 1300] }),
    ...both(15, { checks: [] }),
    ...both(3, { loose: 200 }),
  ),
  'several clinics': of(
    ...['A', 'B', 'C'].flatMap((clinic) => both(15, { checks: [200, 1200], clinic, operator: `${clinic}1` })),
    ...['A', 'B'].flatMap((clinic) => both(3, { loose: 300, clinic, operator: `${clinic}1` })),
  ),
}

describe.each(Object.entries(corpus))('the documents of a practice with %s', (_name, made) => {
  test('say one thing, the same in every length, kind and format', () => {
    const audit = made()
    const { document, companions } = auditReport(audit, options)
    const documents = {
      summary: companions!.lengths.summary,
      report: document,
      supplement: companions!.lengths.supplement,
      start: companions!.start,
      series: caseSeriesDocument(audit, options),
      leaflet: leafletDocument(audit, options),
      'leaflet that compares': leafletDocument(audit, { ...options, comparison: true }),
      slides: slidesDocument(audit, options),
    }
    expect(contradictionsIn(audit, documents)).toEqual([])
    const formats = ['slides'] as const
    const outside = Object.fromEntries(
      auditKindNames.flatMap((kind) => {
        const { document, slides } = outsideReport(audit, { ...options, kind, formats, comparison: true })
        return [[kind, document] as const, ...(slides === undefined ? [] : [['slides', slides] as const])]
      }),
    )
    expect(contradictionsIn(audit, outside).filter((one) => !one.includes('horizon'))).toEqual([])
    for (const one of Object.values(documents)) {
      const markdown = documentMarkdown(one)
      for (const phrase of one.sections.flatMap(({ blocks }) => blocks.flatMap(phrasesOf))) {
        for (const { text, path } of numbersIn(phrase)) expect(markdown, path).toContain(escapeMarkdown(text))
      }
    }
  }, 60_000)
})

describe('the checker', () => {
  const cited = (path: string, value: number): CitedNumber => ({
    kind: 'number',
    text: String(value),
    path,
    format: 'percent',
    value,
  })
  const audit = { tightening: { verdict: 'open' } } as unknown as AuditResult

  test('finds each of the faults that it looks for', () => {
    expect(wordFaults(['These 1 restorations'])).toHaveLength(1)
    expect(wordFaults(['5 years not estimable (not estimable)'])).toHaveLength(1)
    expect(wordFaults(['11 restorations, 1 restoration'])).toEqual([])
    expect(intervalFaults([cited('a.estimate', 1), cited('b.lower', 0), cited('b.upper', 2)])).toHaveLength(2)
    expect(intervalFaults([cited('a.estimate', 1), cited('a.lower', 1), cited('a.upper', 1)])).toHaveLength(1)
    expect(
      horizonFaults(['a risk of some size was ', cited('tightening.lead.difference.estimate', 1)]),
    ).toHaveLength(1)
    expect(
      claimFaults(
        ['Repeated was associated with a risk that was ', cited('tightening.lead.difference.estimate', 1)],
        audit,
      ),
    ).toHaveLength(1)
    expect(
      columnFaults({
        kind: 'table',
        id: 'table-x',
        caption: '',
        columns: [{ title: 'Risk by 3 years', align: 'end', csvTitles: [] }],
        rows: [[{ content: [cited('tightening.lead.difference.estimate', 1)], csv: [] }]],
        notes: [],
      }),
    ).toHaveLength(1)
  })
})
