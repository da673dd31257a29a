import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { dayFromIso } from '../../src/core/calendar.js'
import type { Report } from '../../src/documents/bundle.js'
import { documentMarkdown, escapeMarkdown } from '../../src/documents/formats/markdown.js'
import { auditKindNames } from '../../src/documents/kinds/auditKindNames.js'
import { documentOfKind } from '../../src/documents/kinds/auditKinds.js'
import { caseSeriesDocument } from '../../src/documents/kinds/caseSeriesDocument.js'
import { changeDocument } from '../../src/documents/kinds/changeDocument.js'
import { leafletDocument } from '../../src/documents/kinds/leafletDocument.js'
import { ownDocument } from '../../src/documents/kinds/ownPage.js'
import { proposalDocument } from '../../src/documents/kinds/proposalDocument.js'
import { slidesDocument } from '../../src/documents/kinds/slides/slidesDocument.js'
import type { CitedNumber, ReportDocument } from '../../src/documents/model/document.js'
import { documentLanguages, type TranslatedDocument } from '../../src/documents/model/documentLanguages.js'
import { auditReport, outsideReport } from '../../src/documents/writeReport.js'
import { dictionaryFields } from '../../src/notebook/dictionary.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { whatIsNeeded } from '../../src/questions/needed/answer.js'
import { defaultPlan } from '../../src/questions/plan/planFile.js'
import { plannedStudy } from '../../src/questions/plan/plannedStudy.js'
import { compareReports } from '../../src/questions/twoReports/answer.js'
import { watchPractice } from '../../src/questions/watching/answer.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { practice, type TestRestoration, times } from '../questions/practice.js'
import {
  claimFaults,
  columnFaults,
  contradictionsIn,
  horizonFaults,
  intervalFaults,
  numbersIn,
  saidTwice,
  wordFaults,
} from './consistency.js'
import { everyAnalysis, simulatedCohort } from './everyAnalysis.js'
import { phrasesOf } from './wordChecks.js'

const options = { date: '2026-05-04', version: '0.1.0' }

/** A practice with its audit. */
interface Audited {
  readonly cohort: Cohort
  readonly audit: AuditResult
}

const of =
  (...restorations: readonly TestRestoration[]) =>
  (): Audited => {
    const cohort = practice(restorations)
    return { cohort, audit: auditCohort(cohort) }
  }
const both = (count: number, one: TestRestoration) => [
  ...times(count, one),
  ...times(count, { ...one, repeated: true }),
]

/** Practices in which sentences, tables and figures come apart first. */
const corpus: Readonly<Record<string, () => Audited | Promise<Audited>>> = {
  'every section': () => ({ cohort: simulatedCohort('immortal time'), audit: everyAnalysis() }),
  'the demo data': async () => {
    const folder = join(import.meta.dirname, '../../data-demo')
    const cohort = buildCohort(await readRecords(folder, { today: dayFromIso('2026-05-04')! }))
    return { cohort, audit: auditCohort(cohort) }
  },
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
  'one clinic and operator, nothing else recorded': of(
    ...both(25, { checks: [300, 1300], operator: 'A1', fields: { connection: undefined } }),
    ...both(4, { loose: 400, operator: 'A1', fields: { connection: undefined } }),
  ),
  'years that can be compared': of(
    ...[8, 6, 4, 3, 2].flatMap((loose, year) => {
      const delivery = 14_600 + 365 * year
      return [...times(loose, { delivery, loose: 180 }), ...both(16, { delivery, checks: [366, 740, 1110] })]
    }),
  ),
  'several clinics': of(
    ...['A', 'B', 'C'].flatMap((clinic) => both(15, { checks: [200, 1200], clinic, operator: `${clinic}1` })),
    ...['A', 'B'].flatMap((clinic) => both(3, { loose: 300, clinic, operator: `${clinic}1` })),
  ),
}

/** Every document there is of one practice, in both editions. */
function documentsOf({ cohort, audit }: Audited): Readonly<Record<string, ReportDocument>> {
  const { document, companions } = auditReport(audit, options)
  const own = { source: audit.summary.source, date: options.date }
  const formats = ['slides'] as const
  const outside = auditKindNames.flatMap((kind) => {
    const made = outsideReport(audit, { ...options, kind, formats, comparison: true })
    return [
      [`outside ${kind}`, made.document] as const,
      ...(made.slides === undefined ? [] : [['outside slides', made.slides] as const]),
    ]
  })
  return {
    summary: companions!.lengths.summary,
    report: document,
    supplement: companions!.lengths.supplement,
    start: companions!.start,
    series: caseSeriesDocument(audit, options),
    leaflet: leafletDocument(audit, options),
    'leaflet that compares': leafletDocument(audit, { ...options, comparison: true }),
    slides: slidesDocument(audit, options),
    ...Object.fromEntries(outside),
    changes: changeDocument(compareReports(audit, audit), {
      ...options,
      versions: { before: '0.1.0', after: '0.1.0' },
    }),
    needed: ownDocument(whatIsNeeded(cohort), own),
    watch: ownDocument(watchPractice(cohort), own),
  }
}

/** One document in another language. */
function translated(audit: AuditResult, document: TranslatedDocument, language: string): ReportDocument {
  const spoken = { ...options, language }
  const whole = (): Report => auditReport(audit, { ...spoken, formats: ['slides'] })
  switch (document) {
    case 'summary':
    case 'supplement':
      return whole().companions!.lengths[document]
    case 'report':
      return whole().document
    case 'slides':
      return whole().slides!
    case 'outside':
      return outsideReport(audit, spoken).document
    default:
      return documentOfKind(audit, document, { ...spoken, comparison: true })
  }
}

/** What leaves has numbers of its own, and so have pages on one question: each is compared with itself only. */
const apart = /^(?:outside|changes|needed|watch)/

describe.each(Object.entries(corpus))('the documents of a practice with %s', (_name, made) => {
  test('say one thing, the same in every length, kind, edition, format and language', async () => {
    const audited = await made()
    const { audit } = audited
    const documents = documentsOf(audited)
    const together = Object.fromEntries(Object.entries(documents).filter(([name]) => !apart.test(name)))
    expect(contradictionsIn(audit, together)).toEqual([])
    for (const [name, document] of Object.entries(documents).filter(([one]) => apart.test(one))) {
      const found = contradictionsIn(audit, { [name]: document })
      expect(found.filter((one) => !one.includes('horizon'))).toEqual([])
    }
    for (const one of Object.values(documents)) {
      // A number that opens a paragraph is kept from being taken for a list.
      const markdown = documentMarkdown(one).replaceAll('\\.', '.')
      for (const phrase of one.sections.flatMap(({ blocks }) => blocks.flatMap(phrasesOf))) {
        for (const { text, path } of numbersIn(phrase)) expect(markdown, path).toContain(escapeMarkdown(text))
      }
    }
    // Wherever a document is whole in another language, that is read too: a new language needs no line here.
    for (const [document, there] of Object.entries(documentLanguages)) {
      for (const language of there.filter((one) => one !== 'en')) {
        const made = translated(audit, document as TranslatedDocument, language)
        const found = contradictionsIn(audit, { [`${document} in ${language}`]: made })
        // The check of horizons reads English; “null” is German for nought.
        expect(found.filter((one) => !/horizon|in de: null in/.test(one))).toEqual([])
      }
    }
  }, 120_000)
})

test('the draft of a protocol shows no seam', () => {
  const document = proposalDocument(plannedStudy(defaultPlan), {
    date: options.date,
    fields: dictionaryFields(),
  })
  const phrases = document.sections.flatMap(({ blocks }) => blocks.flatMap(phrasesOf))
  expect(phrases.flatMap((one) => [...wordFaults(one), ...intervalFaults(one)])).toEqual([])
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
      saidTwice([
        { kind: 'paragraph', tone: 'note', content: ['In the model: 2 of 46 restorations lack a value.'] },
        {
          kind: 'list',
          items: [['2 of 46 restorations lack a value.'], ['It is said here alone, and nowhere else.']],
        },
      ]),
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
