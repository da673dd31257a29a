import { describe, expect, test } from 'vitest'
import { type AuditResult, auditCohort } from '../../src/analysis/audit.js'
import type { Lead } from '../../src/analysis/fairComparison.js'
import { readingOf } from '../../src/analysis/reading.js'
import { marksOfHundred, patientArray } from '../../src/charts/patientArray.js'
import { renderSvg } from '../../src/charts/render.js'
import { buildCohort } from '../../src/cohort/cohort.js'
import { noInterval, notEstimable, type Quantity } from '../../src/core/estimate.js'
import { randomStream } from '../../src/core/random.js'
import { citationsOf } from '../../src/report/citation.js'
import { type Phrase, plainText } from '../../src/report/document.js'
import { leafletDocument } from '../../src/report/leafletDocument.js'
import {
  comparisonForPaper,
  comparisonForPatient,
  leadSentence,
  riskForPaper,
  riskForPatient,
} from '../../src/report/wording.js'
import { fairScenarios } from '../../src/verification/simulation/fairScenarios.js'
import { simulatedPractice } from '../../src/verification/simulation/simulatedPractice.js'
import { practice, times } from '../analysis/practice.js'
import { expectedText } from './expectedText.js'
import { fixtures } from './fixture.js'
import { expectNoForbiddenWord, expectReadable, textsOfDocument } from './wordChecks.js'

const scenario = fairScenarios.find(({ name }) => name === 'half the hazard')!
const usual = auditCohort(buildCohort(simulatedPractice(scenario, randomStream(41))))

type Reader = 'clinician' | 'patient' | 'paper'
const sentences: Readonly<
  Record<Reader, (audit: AuditResult, cite: ReturnType<typeof citationsOf>) => Phrase>
> = {
  clinician: leadSentence,
  patient: comparisonForPatient,
  paper: comparisonForPaper,
}

function withLead(lead: Partial<Lead>, margin = 0.02): AuditResult {
  const fair = usual.fair!
  return {
    ...usual,
    fair: {
      ...fair,
      plan: { ...fair.plan, smallestDifference: margin },
      lead: {
        ...fair.lead,
        kind: 'estimate',
        scale: 'risk-difference',
        horizonYears: 3,
        smallestDifference: margin,
        ...lead,
      },
    },
  }
}

function read(reader: Reader, points: readonly [number, Quantity, Quantity], marginPoints: number): string {
  const share = (value: Quantity): Quantity => (typeof value === 'number' ? value / 100 : value)
  const interval = { lower: share(points[1]), upper: share(points[2]) }
  const contrast = { ...usual.fair!.lead.contrast, estimate: points[0] / 100, interval }
  const audit = withLead({ contrast, reading: readingOf(interval, marginPoints / 100) }, marginPoints / 100)
  const phrase = sentences[reader](audit, citationsOf(audit))
  expect(expectedText(phrase, audit)).toBe(plainText(phrase))
  return plainText(phrase)
}

const none = noInterval('one patient')

/** Every place of the interval against the margin: estimate, limits, in percentage points; what each reader is told. */
const places: readonly (readonly [
  string,
  readonly [number, Quantity, Quantity],
  Readonly<Record<Reader, string>>,
])[] = [
  [
    'wholly below −margin',
    [-6, -9, -3],
    {
      clinician: 'The whole interval lies beyond 2.0 percentage points',
      patient:
        'Among those tightened again, fewer had a loose screw. Within 3 years we estimate about 60 fewer in 1,000 with the second tightening; anything from 90 fewer to 30 fewer fits our records. That is more than the smallest difference that we would act on (20 in 1,000).',
      paper: 'the whole interval lies beyond the smallest difference that matters (2.0 percentage points)',
    },
  ],
  [
    'spanning −margin, below 0',
    [-3, -5, -1],
    {
      clinician:
        'Whether the difference reaches 2.0 percentage points, the smallest that matters by the plan, stays open.',
      patient: 'Whether that is as much as we would act on (20 in 1,000) is not sure.',
      paper:
        'values both short of and beyond the smallest difference that matters (2.0 percentage points) are compatible with the data',
    },
  ],
  [
    'between −margin and 0',
    [-1, -1.5, -0.5],
    {
      clinician: 'and short of 2.0 percentage points',
      patient:
        'we estimate about 10 fewer in 1,000 with the second tightening; anything from 15 fewer to 5 fewer fits our records. That is less than',
      paper: 'on the side of fewer events and short of the smallest difference that matters',
    },
  ],
  [
    'spanning −margin and 0',
    [-2, -5, 1],
    {
      clinician:
        'remains possible in favour of tightening repeated after 10 to 15 minutes; one against it lies outside',
      patient:
        'The second tightening may have done better by as much as we would act on (20 in 1,000); that it did worse by as much does not fit.',
      paper:
        'and so is a difference that matters (2.0 percentage points) in favour of tightening repeated after 10 to 15 minutes; one against it is not',
    },
  ],
  [
    'inside the margins, spanning 0',
    [0.5, -1, 1.5],
    {
      clinician: 'The interval leaves no room for 2.0 percentage points',
      patient:
        'If they differ, it is by less than the smallest difference that we would act on (20 in 1,000).',
      paper: 'a difference that matters (2.0 percentage points) is not, in either',
    },
  ],
  [
    'spanning both margins',
    [0.5, -5, 6],
    {
      clinician: 'remains possible in both directions: the data leave the question open.',
      patient: 'Either may have done better by as much as we would act on (20 in 1,000).',
      paper: 'and so is a difference that matters (2.0 percentage points) in either',
    },
  ],
  [
    'spanning 0 and +margin',
    [2, -1, 5],
    {
      clinician:
        'remains possible against tightening repeated after 10 to 15 minutes; one in its favour lies outside',
      patient:
        'The second tightening may have done worse by as much as we would act on (20 in 1,000); that it did better by as much does not fit.',
      paper: 'against tightening repeated after 10 to 15 minutes; one in its favour is not',
    },
  ],
  [
    'between 0 and +margin',
    [1, 0.5, 1.5],
    {
      clinician: 'on the side of more events, and short of 2.0 percentage points',
      patient: 'we estimate about 10 more in 1,000',
      paper: 'on the side of more events and short of the smallest difference that matters',
    },
  ],
  [
    'spanning +margin, above 0',
    [3, 1, 5],
    {
      clinician: 'lies on the side of more events. Whether the difference reaches',
      patient:
        'Among those tightened again, more had a loose screw. Within 3 years we estimate about 30 more in 1,000 with the second tightening; anything from 10 more to 50 more fits our records. Whether',
      paper: 'the whole interval lies on the side of more events, and values both short of and beyond',
    },
  ],
  [
    'wholly above +margin',
    [6, 3, 9],
    {
      clinician: 'The whole interval lies beyond 2.0 percentage points',
      patient:
        'Among those tightened again, more had a loose screw. Within 3 years we estimate about 60 more in 1,000',
      paper: 'that was 6.0 percentage points higher than with a single tightening',
    },
  ],
  [
    'no interval',
    [-4, none.lower, none.upper],
    {
      clinician: 'no interval can be given, so nothing follows from it.',
      patient: 'Our records cannot say which of the two did better.',
      paper: 'no interval can be given, and nothing follows.',
    },
  ],
]

describe.each(['clinician', 'patient', 'paper'] as const)('what the %s reads', (reader) => {
  test.each(places)('%s', (_name, points, said) => {
    const text = read(reader, points, 2)
    expect(text).toContain(said[reader])
    expectReadable(text)
    expectNoForbiddenWord(text)
  })

  test.each([0.5, 1, 2, 5, 10])('with a margin of %d points, every place of the interval', (margin) => {
    const steps = [-3, -1.5, -1, -0.5, 0, 0.5, 1, 1.5, 3].map((one) => one * margin)
    for (const lower of steps) {
      for (const upper of steps.filter((one) => one >= lower)) {
        const text = read(reader, [(lower + upper) / 2, lower, upper], margin)
        expectReadable(text)
        expectNoForbiddenWord(text)
        expect(text).toMatch(/\.$/)
        // A side is claimed where the whole interval lies on it, and nowhere else.
        const claimed = /cannot tell|compatible with the data|stays open\. A|no room|both directions/.test(
          text,
        )
        if (reader === 'patient') expect(claimed).toBe(lower <= 0 && upper >= 0)
      }
    }
  })

  test('nothing claimed where too few, too unlike, or not estimable', () => {
    const reason = notEstimable('no time at risk')
    const contrast = {
      ...usual.fair!.lead.contrast,
      estimate: reason,
      interval: noInterval('no time at risk'),
    }
    for (const lead of [
      { kind: 'cannot-be-known' },
      { kind: 'not-comparable' },
      { contrast, reading: 'none' },
    ] as const) {
      const audit = withLead(lead as Partial<Lead>)
      const text = plainText(sentences[reader](audit, citationsOf(audit)))
      expect(text).toMatch(
        /Nothing can be known|cannot be compared fairly|cannot be estimated|cannot say|cannot compare|not compared|could not be estimated/,
      )
      expectReadable(text)
      expectNoForbiddenWord(text)
    }
  })

  test('only a side where the lead is a ratio without a margin of its own', () => {
    const contrast = { ...usual.fair!.lead.contrast, estimate: 0.5, interval: { lower: 0.3, upper: 0.8 } }
    const audit = withLead({ contrast, scale: 'hazard-ratio', reading: 'fewer' })
    const text = plainText(sentences[reader](audit, citationsOf(audit)))
    expect(text).toMatch(/side of fewer events|fewer had a loose screw\./)
    expect(text).not.toMatch(/act on|matters/)
    expectNoForbiddenWord(text)
  })
})

describe('how often', () => {
  const cohorts: Readonly<Record<string, AuditResult>> = {
    usual,
    'no event': auditCohort(practice(times(40, { checks: [400, 1200] }))),
    'no event, one patient': auditCohort(practice(times(5, { checks: [400], patient: 1 }))),
    'one event': auditCohort(practice([...times(40, { checks: [1200] }), { loose: 300 }])),
    'follow-up of days': auditCohort(practice([...times(4, { checks: [20] }), { loose: 10 }])),
    'all of them': auditCohort(practice(times(30, { loose: 200 }))),
    ...Object.fromEntries(
      Object.entries(fixtures)
        .filter(([name]) => name !== 'hostile')
        .map(([name, make]) => [`fixture ${name}`, make()]),
    ),
  }

  test.each(Object.keys(cohorts))('%s', (name) => {
    const audit = cohorts[name]!
    for (const sentence of [riskForPatient, riskForPaper]) {
      const phrase = sentence(audit, citationsOf(audit))
      expect(expectedText(phrase, audit)).toBe(plainText(phrase))
      expectReadable(plainText(phrase))
      expectNoForbiddenWord(plainText(phrase))
    }
  })

  test('is a natural frequency with its interval for the patient', () => {
    const audit = cohorts.usual!
    expect(plainText(riskForPatient(audit, citationsOf(audit)))).toMatch(
      /^Out of 100 crowns like these, about \d+ had a loose screw within 3 years\. Our records would fit anything from \d+ to \d+ in 100\.$/,
    )
  })

  test('is what none seen leaves open: 0 of 40 fits up to 9 in 100 (exact limit 8.8%, Clopper and Pearson 1934)', () => {
    const audit = cohorts['no event']!
    expect(plainText(riskForPatient(audit, citationsOf(audit)))).toBe(
      'None of our 40 crowns had a loose screw while we followed them. That does not mean that it never happens. Up to about 9 in 100 would still fit our records.',
    )
    expect(plainText(riskForPaper(audit, citationsOf(audit)))).toMatch(
      /^No first screw loosening was seen \(0 events in 40 restorations of 40 patients; upper limit of the 95% interval 8\.8%, /,
    )
  })

  test('names estimate, interval, numbers, horizon and method for a paper', () => {
    const audit = cohorts.usual!
    expect(plainText(riskForPaper(audit, citationsOf(audit)))).toMatch(
      /^The cumulative incidence of first screw loosening by 3 years was \d+\.\d% \(95% interval \d+\.\d% to \d+\.\d%; \d+ events by then in [\d,]+ restorations of [\d,]+ patients; Aalen–Johansen, .*\)\.$/,
    )
  })
})

describe('the array of 100 marks', () => {
  test.each([
    [0.088, 0.111, 9, 2],
    [0, 0.088, 0, 9],
    [0.004, 0.012, 0, 1],
    [1, 1, 100, 0],
    [0.085, 0.085, 9, 0],
    [0.05, notEstimable('x'), 5, 0],
  ] as const)('%d with a limit of %j', (share, upper, estimate, possible) => {
    expect(marksOfHundred(share, upper)).toEqual({ estimate, possible })
    const chart = patientArray(share, upper, { endpoint: 'a loose screw', years: 3 })
    const count = (kind: string): number =>
      chart.layer
        .filter(({ name }) => name?.replace(/_\d+$/, '') === kind)
        .map(({ data }) => data.values.length)
        .filter((many) => many > 1 || many === 1)
        .reduce((sum, many) => sum + many, 0)
    const legend = (many: number): number => (many > 0 ? 1 : 0)
    const free = 100 - estimate - possible
    expect([count('event'), count('possible'), count('free')]).toEqual([
      estimate + legend(estimate),
      possible + legend(possible),
      free + legend(free),
    ])
  })

  test('tells its kinds of mark apart in grey: by shape, by fill, and by dash', () => {
    const chart = patientArray(0.3, 0.5, { endpoint: 'a loose screw' })
    const mark = (kind: string) => chart.layer.find(({ name }) => name?.replace(/_\d+$/, '') === kind)!.mark
    expect([mark('event').filled, mark('possible').filled, mark('free').filled]).toEqual([true, false, false])
    expect([mark('event').shape, mark('free').shape]).toEqual(['square', 'circle'])
    expect(mark('possible').strokeDash).toBeDefined()
  })

  test('gives its numbers in the text alternative, and draws nothing that is not known', async () => {
    expect(patientArray(0.088, 0.111, { endpoint: 'a loose screw', years: 3 }).description).toBe(
      'Out of 100 restorations: how many had a loose screw within 3 years. An array of 100 marks: about 9 had it; 2 more would still fit our records; 89 others.',
    )
    const empty = patientArray(notEstimable('x'), 0.1, { endpoint: 'a loose screw', size: 'column' })
    expect(empty.description).toContain('nothing is drawn')
    expect(await renderSvg(empty)).not.toMatch(/NaN|undefined/)
  })
})

describe('the leaflet', () => {
  const audits: Readonly<Record<string, AuditResult>> = {
    usual,
    few: auditCohort(practice(times(12, { checks: [400], patient: 3 }))),
  }

  test.each(Object.keys(audits))('%s: short sentences, plain words, no word that claims too much', (name) => {
    const document = leafletDocument(audits[name]!, { date: '2026-05-04', version: '0.1.0' })
    for (const text of textsOfDocument(document)) {
      expectNoForbiddenWord(text)
      expect(text).not.toMatch(/interval|hazard|cumulative|incidence|cohort|percentage/i)
      for (const sentence of text.split(/(?<=[.!?]) /)) {
        expect(sentence.split(/\s+/).length, sentence).toBeLessThanOrEqual(36)
      }
    }
    expect(document.sections[0]!.id).toBe('answer')
  })
})
