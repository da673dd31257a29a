import { describe, expect, test } from 'vitest'
import { type Contrast, notEstimable, type Quantity } from '../../src/core/estimate.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { citationsOf } from '../../src/documents/model/citation.js'
import { plainText } from '../../src/documents/model/document.js'
import { answerSentences, differenceSentence } from '../../src/documents/wording/index.js'
import { auditInThreeLines } from '../../src/documents/writeReport.js'
import { catalogueOf } from '../../src/messages/catalogue.js'
import { speaker } from '../../src/messages/speaker.js'
import { fewEventsSentence } from '../../src/questions/answer/section.js'
import type { AuditResult } from '../../src/questions/audit.js'
import { differenceInWords } from '../../src/questions/crudeComparison/words.js'
import { type Path, pathsOf } from '../../src/questions/words/place.js'
import { fixtureAudit, fixtures } from './fixture.js'
import { expectNoForbiddenWord, textsOfBlocks } from './wordChecks.js'

const usual = fixtures.usual!()

function difference(estimate: Quantity, lower: Quantity, upper: Quantity): string {
  const result = { settings: { level: 0.95 }, d: { estimate, interval: { lower, upper } } }
  const names = { years: '3 years', group: 'group A', against: 'group B' }
  const place = pathsOf(result).d as unknown as Path<Contrast>
  return speaker().text(differenceInWords(place, names, { settings: result.settings as never }))
}

describe('a risk difference in words, from its interval', () => {
  test.each([
    [
      'wholly below nothing',
      [-0.039, -0.065, -0.012],
      'Group A was associated with a lower risk by 3 years than group B: by 3.9 percentage points (95% interval 1.2 to 6.5 points lower).',
    ],
    [
      'wholly above nothing',
      [0.021, 0.004, 0.038],
      'Group A was associated with a higher risk by 3 years than group B: by 2.1 percentage points (95% interval 0.4 to 3.8 points higher).',
    ],
    [
      'both directions',
      [-0.012, -0.034, 0.01],
      'The risk by 3 years was 1.2 percentage points lower with group A than with group B, but the data are compatible with anything from 3.4 percentage points lower to 1.0 percentage points higher (95% interval): they leave the direction open.',
    ],
    [
      'a limit that only rounds to nothing',
      [-0.02, -0.04, -0.0002],
      'Group A was associated with a lower risk by 3 years than group B: by 2.0 percentage points (95% interval less than 0.1 to 4.0 points lower).',
    ],
    [
      'a limit of exactly nothing',
      [-0.02, -0.04, 0],
      'The risk by 3 years was 2.0 percentage points lower with group A than with group B, but the data are compatible with anything from 4.0 percentage points lower to 0.0 percentage points either way (95% interval): they leave the direction open.',
    ],
    [
      'an estimate of exactly nothing',
      [0, -0.1, 0.1],
      'The risk by 3 years came out equal with group A and with group B, but the data are compatible with anything from 10.0 percentage points lower to 10.0 percentage points higher (95% interval): they leave the direction open.',
    ],
    [
      'no interval',
      [-0.02, notEstimable('one-patient'), notEstimable('one-patient')],
      'The risk by 3 years was 2.0 percentage points lower with group A than with group B; no interval can be given, so nothing follows from it.',
    ],
  ] as [string, [Quantity, Quantity, Quantity], string][])('%s', (_name, [estimate, lower, upper], words) => {
    expect(difference(estimate, lower, upper)).toBe(words)
  })
})

describe('how often, in words', () => {
  const sentence = (audit: AuditResult): string => plainText(answerSentences(audit, citationsOf(audit))[0]!)

  test('the risk at 3 years leads, with its interval', () => {
    expect(sentence(usual)).toMatch(
      /^By 3 years after delivery, 10\.2% of restorations had had a first screw loosening \(95% interval \d+\.\d% to \d+\.\d%\)\. Placed anywhere between the last clean look and the visit that found it, the risk may lie anywhere from \d+\.\d% to \d+\.\d%, chance allowed for; neither this range nor the interval knows of patients who never came again\./,
    )
  })

  test('none seen is said by the time observed, with the limit at each horizon, and nothing beyond', () => {
    expect(sentence(fixtures['no events']!())).toContain(
      'None of the 40 restorations had a first screw loosening in 182 restoration-years at risk. That is compatible with up to 2.0 such events for every 100 restoration-years (exact upper limit of the 95% interval). Risks that are still compatible with the 182 restoration-years seen: 13.7% by half a year (40 restorations of 25 patients seen for so long), 14.2% by 1 year (38 restorations of 24 patients seen for so long), 14.8% by 2 years (37 restorations of 23 patients seen for so long) and 16.8% by 3 years (32 restorations of 20 patients seen for so long). Of what comes later than 3 years nothing is known yet. None seen is not never.',
    )
    expect(sentence(fixtures['one restoration']!())).toMatch(
      /^The only restoration had no first screw loosening in \d+\.\d restoration-years at risk\. .* Not even by half a year were 10 restorations seen for so long: of the risk by any later time nothing is known yet\./,
    )
  })

  test('nothing is called compatible without its time at risk', () => {
    for (const make of Object.values(fixtures)) {
      for (const one of sentence(make()).split(/(?<=\.) /)) {
        if (one.includes('compatible')) expect(one).toMatch(/restoration-years/)
      }
    }
  })

  test('a limit that cannot be had is said, too', () => {
    expect(sentence(fixtures['nothing estimable']!())).toContain('no upper limit can be given')
  })

  test('few events are said first', () => {
    const few = fixtureAudit({ groups: [{ group: 'single', restorations: 30, hazard: 0.05 }] })
    expect(few.incidence.overall.events).toBeLessThan(10)
    expect(speaker().text(fewEventsSentence(few.incidence, few)!)).toMatch(
      /^Only \d first screw loosenings were seen: too few/,
    )
    const [first] = auditDocument(few, { date: 'd', version: 'v' }).sections
    expect(textsOfBlocks(first!.blocks)[0]).toMatch(/^Only \d/)
    expect(fewEventsSentence(usual.incidence, usual)).toBeUndefined()
  })
})

describe('the comparison in words', () => {
  test('an empty group is said', () => {
    const one = fixtures['one group only']!()
    expect(plainText(differenceSentence(one, citationsOf(one)))).toContain('cannot be compared')
  })
})

describe('no sentence claims more than observations bear', () => {
  test.each(Object.keys(fixtures).filter((name) => name !== 'hostile'))('in the report of %s', (name) => {
    const audit = fixtures[name]!()
    const document = auditDocument(audit, { date: '2026-05-04', version: '0.1.0' })
    const words = document.sections.flatMap((section) => [
      section.title,
      ...textsOfBlocks(section.blocks),
      ...textsOfBlocks(section.aside?.blocks ?? []),
    ])
    for (const text of [...words, ...auditInThreeLines(audit)]) expectNoForbiddenWord(text)
  })

  test('in any message that an audit and its figures can say', () => {
    const areas =
      /^(answer|caption|chart|caution|cohort|contrast|definition|described|evidence|label|limitation|methods|setting|term)[.]/
    const said = [...catalogueOf('en')].filter(([code]) => areas.test(code))
    expect(said.length).toBeGreaterThan(150)
    for (const text of [...said.map(([, text]) => text)]) expectNoForbiddenWord(text)
  })

  test('and the test can fail', () => {
    expect(() => expectNoForbiddenWord('Repeated tightening prevents loosening.')).toThrow()
    expect(() => expectNoForbiddenWord('There was no difference.')).toThrow()
  })
})

describe('three lines for the terminal', () => {
  test.each(Object.keys(fixtures))('are there for %s', (name) => {
    const lines = auditInThreeLines(fixtures[name]!())
    expect(lines).toHaveLength(3)
    for (const line of lines) expect(line).toMatch(/^\S.*\.$/)
    expect(lines.join()).not.toMatch(/NaN|undefined|null|Infinity|\[object/)
  })
})
