import { describe, expect, test } from 'vitest'
import { type AuditResult, auditCohort } from '../../src/analysis/audit.js'
import type { FairComparison, Lead, Reading } from '../../src/analysis/fairComparison.js'
import { parsePlan } from '../../src/analysis/planFile.js'
import { readingOf } from '../../src/analysis/reading.js'
import { plannedSettings } from '../../src/analysis/settings.js'
import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { noInterval, type Quantity } from '../../src/core/estimate.js'
import { randomStream } from '../../src/core/random.js'
import { auditDocument } from '../../src/report/auditDocument.js'
import { citationsOf, resolvePath } from '../../src/report/citation.js'
import type { Inline, Phrase, ReportDocument } from '../../src/report/document.js'
import { plainText } from '../../src/report/document.js'
import { leadSentence, numberNeededPhrase } from '../../src/report/wording.js'
import { fairScenarios } from '../../src/verification/simulation/fairScenarios.js'
import { simulatedPractice } from '../../src/verification/simulation/simulatedPractice.js'
import { practice, times } from '../analysis/practice.js'
import { expectNoForbiddenWord, phrasesOf } from './wordChecks.js'

const allAsked = parsePlan(
  '{"written": "2026-01-05", "title": "Our plan", "sensitivity": ["visit-schedule", "last-contact", "equal-follow-up", "later-tightening", "period-categories", "first-years-left-out", "lost-to-follow-up", "missing-exposure", "misclassification", "unmeasured-confounding", "immortal-time"]}',
)

function simulated(name: string): Cohort {
  return buildCohort(simulatedPractice(fairScenarios.find((one) => one.name === name)!, randomStream(41)))
}

const usual = auditCohort(simulated('half the hazard'))
const audits: Readonly<Record<string, AuditResult>> = {
  'half the hazard': usual,
  'informative visits': auditCohort(simulated('informative visits')),
  'separated by period': auditCohort(simulated('separated by period')),
  'sparse: 3 events': auditCohort(
    practice([
      ...times(50, { checks: [1200] }),
      ...times(3, { loose: 300 }),
      ...times(50, { repeated: true, checks: [1200] }),
    ]),
  ),
  'no event': auditCohort(
    practice([...times(50, { checks: [1200] }), ...times(50, { repeated: true, checks: [1200] })]),
  ),
  'hazards that are not proportional': auditCohort(
    simulated('half the hazard'),
    plannedSettings(
      parsePlan(
        '{"written": "2026-01-05", "primary": {"contrast": "hazard-ratio"}, "smallestDifference": 0.75}',
      ),
    ),
  ),
  'every analysis asked for': auditCohort(simulated('immortal time'), {
    ...plannedSettings(allAsked),
    detail: 'full',
  }),
  'a ratio declared primary': auditCohort(
    simulated('no effect'),
    plannedSettings(
      parsePlan(
        '{"written": "2026-01-05", "primary": {"contrast": "hazard-ratio"}, "smallestDifference": 0.75}',
      ),
    ),
  ),
}

function documentOf(audit: AuditResult): ReportDocument {
  return auditDocument(audit, { date: '2026-05-04', version: '0.1.0' })
}

function withLead(lead: Partial<Lead>): AuditResult {
  return { ...usual, fair: { ...usual.fair!, lead: { ...usual.fair!.lead, ...lead } } }
}

const sentence = (audit: AuditResult): string => plainText(leadSentence(audit, citationsOf(audit)))

/** The lead with an interval in percentage points. */
function read(estimate: number, lower: Quantity, upper: Quantity): string {
  const share = (points: Quantity): Quantity => (typeof points === 'number' ? points / 100 : points)
  const interval = { lower: share(lower), upper: share(upper) }
  const contrast = { ...usual.fair!.lead.contrast, estimate: estimate / 100, interval }
  return sentence(withLead({ contrast, reading: readingOf(interval, 0.02) }))
}

describe('the lead in words, for every place of the interval against the margin', () => {
  const opens = 'Tightening repeated after 10 to 15 minutes was associated with a risk by 3 years that was'
  test.each([
    [
      -4,
      -5,
      -3,
      'The whole interval lies beyond 2.0 percentage points, the smallest difference that matters by the plan.',
    ],
    [
      -3,
      -5,
      -1,
      'The whole interval lies on the side of fewer events. Whether the difference reaches 2.0 percentage points, the smallest that matters by the plan, stays open.',
    ],
    [
      -1.5,
      -1.9,
      -1,
      'The whole interval lies on the side of fewer events, and short of 2.0 percentage points, the smallest difference that matters by the plan.',
    ],
    [
      -2,
      -5,
      1,
      'The direction stays open. A difference that matters (2.0 percentage points) remains possible in favour of tightening repeated after 10 to 15 minutes; one against it lies outside the interval.',
    ],
    [
      0.5,
      -1,
      1.5,
      'The interval leaves no room for 2.0 percentage points, the smallest difference that matters by the plan, in either direction.',
    ],
    [
      1,
      -5,
      5,
      'A difference that matters (2.0 percentage points) remains possible in both directions: the data leave the question open.',
    ],
    [
      2,
      -1,
      5,
      'The direction stays open. A difference that matters (2.0 percentage points) remains possible against tightening repeated after 10 to 15 minutes; one in its favour lies outside the interval.',
    ],
    [
      1.5,
      1,
      1.9,
      'The whole interval lies on the side of more events, and short of 2.0 percentage points, the smallest difference that matters by the plan.',
    ],
    [
      3,
      1,
      5,
      'The whole interval lies on the side of more events. Whether the difference reaches 2.0 percentage points, the smallest that matters by the plan, stays open.',
    ],
    [
      4,
      3,
      5,
      'The whole interval lies beyond 2.0 percentage points, the smallest difference that matters by the plan.',
    ],
  ])('%d (%d to %d)', (estimate, lower, upper, claim) => {
    const side = estimate < 0 ? 'lower' : 'higher'
    const limit = (points: number): string =>
      `${Math.abs(points).toFixed(1)} ${points < 0 ? 'lower' : 'higher'}`
    expect(read(estimate, lower, upper)).toBe(
      `${opens} ${Math.abs(estimate).toFixed(1)} percentage points ${side} than with a single tightening (95% interval ${limit(lower)} to ${limit(upper)}). ${claim}`,
    )
  })

  test('says that risks came out equal, and that nothing follows without an interval', () => {
    expect(read(0, -5, 5)).toContain('The risk by 3 years came out equal with tightening repeated')
    const none = noInterval('one patient')
    expect(read(-4, none.lower, none.upper)).toBe(
      `${opens} 4.0 percentage points lower than with a single tightening; no interval can be given, so nothing follows from it.`,
    )
  })

  test('reads a side only where the plan named no margin on the scale that leads', () => {
    const contrast = { ...usual.fair!.lead.contrast, estimate: 0.5, interval: { lower: 0.3, upper: 0.8 } }
    const reading = (one: Reading): string =>
      sentence(withLead({ contrast, reading: one, scale: 'hazard-ratio' }))
    expect(reading('fewer')).toBe(
      'The hazard ratio of tightening repeated after 10 to 15 minutes against a single tightening was 0.50 (95% interval 0.30 to 0.80). The whole interval lies on the side of fewer events.',
    )
    expect(reading('open')).toContain('The interval holds both directions: the data leave the question open.')
  })
})

describe('what leads the report', () => {
  const first = (name: string): string[] =>
    documentOf(audits[name]!).sections[0]!.blocks.flatMap((block) =>
      block.kind === 'paragraph' && block.tone === 'lead' ? [plainText(block.content)] : [],
    )

  test('with fewer than 5 events is what cannot be known, and how many restorations it would take', () => {
    expect(first('sparse: 3 events').join(' ')).toMatch(
      /Nothing can be known from these records about tightening repeated .* Only 3 first screw loosenings were seen in the two groups together, too few for any statement\. To tell a difference of 2\.0 percentage points by 3 years with a power of 80%, about [\d,]+ restorations would be needed/,
    )
    expect(first('no event').join(' ')).toContain('Not one first screw loosening was seen in the two groups')
  })

  test('with too little overlap is that the two cannot be compared fairly', () => {
    expect(first('separated by period').join(' ')).toContain('cannot be compared fairly here: only')
    const answer = JSON.stringify(documentOf(audits['separated by period']!).sections[0])
    expect(answer).not.toContain('hazard ratio, a secondary measure')
  })

  test('with unlike visit schedules is a range', () => {
    expect(first('informative visits').join(' ')).toMatch(
      /Since visits were scheduled more often in one group than in the other, a range leads: from /,
    )
  })

  test('is the primary ratio where the plan declares one', () => {
    expect(first('a ratio declared primary').join(' ')).toMatch(
      /The hazard ratio of tightening repeated .* (\(a ratio of 0\.75 or its inverse\)|on the side of)/,
    )
  })

  test('is the mean time where the ratio changes over time, without a margin that was named for ratios', () => {
    const name = 'hazards that are not proportional'
    expect(audits[name]!.fair!.lead.reasons).toEqual(['hazards-not-proportional'])
    expect(first(name).join(' ')).toMatch(
      /was associated with a mean time lost to the event by 3 years that was \d+ days shorter than with a single tightening .* leave the question open\./,
    )
  })
})

describe('the sections of the comparison', () => {
  const every = documentOf(audits['every analysis asked for']!)
  const section = (id: string) => every.sections.find((one) => one.id === id)!
  const tables = (id: string) =>
    section(id).blocks.flatMap((block) => (block.kind === 'table' ? [block.id] : []))

  test('open with the question as a trial, name the plan, and hold every variant once', () => {
    const { blocks } = section('fair')
    expect(blocks.find((block) => block.kind === 'table')!.id).toBe('table-fair-question')
    expect(JSON.stringify(blocks)).toContain(allAsked.sha256)
    const listed = ['fair-differences', 'fair-ratios', 'fair-means'].flatMap((id) =>
      blocks.flatMap((block) => (block.kind === 'table' && block.id === `table-${id}` ? block.rows : [])),
    )
    expect(listed).toHaveLength(audits['every analysis asked for']!.fair!.variants.length)
    const differences = blocks.find(
      (block) => block.kind === 'table' && block.id === 'table-fair-differences',
    )!
    const notes = phrasesOf(differences).map(plainText).join(' ')
    expect(notes).toContain('1: clinic, region of the mouth, bruxism, year of delivery.')
    expect(notes).toContain('a: the groups were alike in all that matters; b: those lost would have fared')
    expect(
      phrasesOf(differences)
        .map(plainText)
        .filter((text) => text.endsWith('(leads)')),
    ).toEqual(['Doubly robust, in all (leads)'])
  })

  test('try every objection, and show the wrong analysis beside the right one only on request', () => {
    const text = JSON.stringify(section('wrong'))
    for (const words of [
      'E-value',
      'As a control',
      'a wrong analysis stands beside',
      'Loosening is found at visits',
    ]) {
      expect(text).toContain(words)
    }
    expect(tables('wrong')).toEqual(expect.arrayContaining(['table-fair-looks', 'table-fair-competing']))
    expect(JSON.stringify(documentOf(usual))).not.toContain('a wrong analysis')
  })

  test('are left out where there is nothing to compare', () => {
    const alone = auditCohort(practice(times(20, { checks: [400] })))
    expect(documentOf(alone).sections.map(({ id }) => id)).not.toContain('fair')
  })
})

describe('in every report on the comparison', () => {
  test.each(Object.keys(audits))('%s: each number stands at its place in the results', (name) => {
    const audit = audits[name]!
    const numbers = documentOf(audit)
      .sections.flatMap(({ blocks }) => blocks.flatMap(phrasesOf))
      .flatMap(inlines)
      .flatMap((part) => (typeof part !== 'string' && part.kind === 'number' ? [part] : []))
    expect(numbers.length).toBeGreaterThan(50)
    for (const { path, value } of numbers) expect(resolvePath(audit, path), path).toBe(value)
  })

  test.each(Object.keys(audits))('%s: no sentence claims more than observations bear', (name) => {
    for (const text of documentOf(audits[name]!).sections.flatMap(({ blocks }) =>
      blocks.flatMap(phrasesOf).map(plainText),
    )) {
      expect(text).not.toMatch(/undefined|NaN|\[object|null/)
      expectNoForbiddenWord(text)
    }
  })
})

describe('a number needed in words', () => {
  const words = (needed: NonNullable<FairComparison['horizons'][number]['numberNeeded']>): string =>
    plainText(numberNeededPhrase(citationsOf({ n: needed }), 'n', needed))

  test('runs through infinity where the interval holds none', () => {
    expect(
      words({
        direction: 'benefit',
        number: 10,
        range: { kind: 'through-infinity', leastToBenefit: 4, leastToHarm: 20 },
      }),
    ).toBe('10 to one fewer event (from 4 to one fewer event through ∞ to 20 to one more)')
    expect(
      words({
        direction: 'harm',
        number: 10,
        range: {
          kind: 'one-way',
          direction: 'harm',
          from: 5,
          to: { state: 'unbounded', direction: 'above' },
        },
      }),
    ).toBe('10 to one more event (5 to ∞ to one more event)')
  })
})

function inlines(phrase: Phrase): Inline[] {
  return phrase.flatMap((part) =>
    typeof part !== 'string' && part.kind === 'strong' ? inlines(part.content) : [part],
  )
}
