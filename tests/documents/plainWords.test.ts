import { describe, expect, test } from 'vitest'
import { marksOfHundred, patientArray } from '../../src/charts/patientArray.js'
import { renderSvg } from '../../src/charts/render.js'
import { buildCohort } from '../../src/cohort/cohort.js'
import { notEstimable } from '../../src/core/estimate.js'
import { randomStream } from '../../src/core/random.js'
import { leafletDocument } from '../../src/documents/kinds/leafletDocument.js'
import { riskForPatient } from '../../src/documents/kinds/leafletWords.js'
import { plainText } from '../../src/documents/model/document.js'
import { riskForPaper } from '../../src/documents/wording/index.js'
import { speaker } from '../../src/messages/speaker.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { practice, times } from '../questions/practice.js'
import { expectedText } from './expectedText.js'
import { fairScenarios } from './fairScenarios.js'
import { fixtures } from './fixture.js'
import { simulatedPractice } from './simulatedPractice.js'
import { expectNoForbiddenWord, expectReadable, textsOfDocument } from './wordChecks.js'

const scenario = fairScenarios.find(({ name }) => name === 'half the hazard')!
const usual = auditCohort(buildCohort(simulatedPractice(scenario, randomStream(41))))

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
    for (const phrase of [speaker().phrase(riskForPatient(audit)), speaker().phrase(riskForPaper(audit))]) {
      expect(expectedText(phrase, audit)).toBe(plainText(phrase))
      expectReadable(plainText(phrase))
      expectNoForbiddenWord(plainText(phrase))
    }
  })

  test('is a natural frequency with its interval for the patient', () => {
    const audit = cohorts.usual!
    expect(speaker().text(riskForPatient(audit))).toMatch(
      /^Out of 100 crowns like these, about \d+ had a loose screw within 3 years\. Our records would fit anything from \d+ to \d+ in 100\.$/,
    )
  })

  test('is what none seen leaves open: 0 of 40 fits up to 9 in 100 (exact limit 8.8%, Clopper and Pearson 1934)', () => {
    const audit = cohorts['no event']!
    expect(speaker().text(riskForPatient(audit))).toBe(
      'None of our 40 crowns had a loose screw while we followed them. We followed half of them for 39 months or longer. That does not mean that it never happens. We cannot rule out that it happens to up to 9 in 100 in that time.',
    )
    expect(speaker().text(riskForPaper(audit))).toMatch(
      /^No first screw loosening was seen \(0 events in 40 restorations of 40 patients; upper limit of the 95% interval 8\.8%, /,
    )
  })

  test('names estimate, interval, numbers, horizon and method for a paper', () => {
    const audit = cohorts.usual!
    expect(speaker().text(riskForPaper(audit))).toMatch(
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
    [0.05, notEstimable('no-rows'), 5, 0],
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
    expect(
      patientArray(0.088, 0.111, { endpoint: 'a loose screw', years: 3, things: 'crowns' }).description,
    ).toBe(
      'Out of 100 crowns: how many had a loose screw within 3 years. An array of 100 marks: about 9 had it; 2 more cannot be ruled out; 89 others.',
    )
    const empty = patientArray(notEstimable('no-rows'), 0.1, { endpoint: 'a loose screw', size: 'column' })
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
    const document = leafletDocument(audits[name]!, {
      date: '2026-05-04',
      version: '0.1.0',
      comparison: true,
    })
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
