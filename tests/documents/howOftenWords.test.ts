import { describe, expect, test } from 'vitest'
import type { Cohort } from '../../src/cohort/cohort.js'
import { citationsOf } from '../../src/documents/model/citation.js'
import { plainText } from '../../src/documents/model/document.js'
import { answerSentences, headlineHorizon } from '../../src/documents/wording/incidenceWords.js'
import type { CitedNumber, Inline, Phrase } from '../../src/messages/phrase.js'
import { answerOf } from '../../src/questions/answer/answer.js'
import { type AuditResult, describedCohort } from '../../src/questions/audit.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { practice, times } from '../questions/practice.js'

const sets: Readonly<Record<string, Cohort>> = {
  usual: practice([...times(60, { checks: [400, 1200] }), ...times(6, { loose: 300 })]),
  'nobody loosened': practice(times(40, { checks: [400, 1200] })),
  'all loosened': practice(times(20, { loose: 300 })),
  'one crown': practice(times(1, { loose: 300 })),
  'looked at on the day of delivery only': practice(times(15, { checks: [0] })),
  'a tenth left out': practice([
    ...times(54, { checks: [1200] }),
    ...times(6, { loose: 300 }),
    ...times(6, {}),
  ]),
  'half left out': practice([
    ...times(54, { checks: [1200] }),
    ...times(6, { loose: 300 }),
    ...times(60, {}),
  ]),
  'followed for a year': practice([...times(40, { checks: [200, 420] }), ...times(4, { loose: 150 })]),
}

function numbersOf(phrase: Phrase): readonly CitedNumber[] {
  return phrase.flatMap((part: Inline) => {
    if (typeof part === 'string') return []
    if (part.kind === 'number') return [part]
    return part.kind === 'strong' ? numbersOf(part.content) : []
  })
}

function valueAt(audit: AuditResult, path: string): unknown {
  return path.split('.').reduce<unknown>((value, key) => (value as Record<string, unknown>)[key], audit)
}

describe.each(Object.entries(sets))('how often, of %s', (_name, cohort) => {
  const audit = describedCohort(cohort, defaultSettings)
  const sentence = answerSentences(audit, citationsOf(audit))[0]!
  const answer = answerOf(audit).howOften

  test('cites in its sentences what stands in the results and in the table', () => {
    for (const { path, value } of numbersOf(sentence)) {
      expect(valueAt(audit, path), path).toBe(value)
      if (!path.startsWith('howOften.horizon.')) continue
      const inTable = path.replace('howOften.horizon', `incidence.overall.horizons.${headlineHorizon(audit)}`)
      expect(valueAt(audit, inTable), inTable).toBe(value)
    }
    expect(audit.howOften.events).toBe(audit.incidence.overall.events)
    expect(audit.howOften.restorationYears).toBe(audit.incidence.overall.restorationYears)
  })

  test('gives machines the same numbers, and no risk where it is withheld', () => {
    const row = audit.incidence.overall.horizons[headlineHorizon(audit)]!
    if (answer.verdict === 'withheld') {
      expect(answer.risk).toBeUndefined()
      expect(plainText(sentence)).not.toMatch(/of restorations had had/)
    } else if (answer.risk !== undefined) {
      expect(answer.years).toBe(row.years)
      expect(answer.risk.estimate).toBe(row.risk.estimate)
      expect(answer.risk.lower).toBe(row.risk.interval.lower)
    }
    expect(JSON.stringify(answer)).not.toMatch(/null|NaN|Infinity/)
  })

  test('says "compatible" only beside its restoration-years', () => {
    for (const one of plainText(sentence).split(/(?<=\.) /)) {
      if (one.includes('compatible')) expect(one).toMatch(/restoration-years/)
    }
  })
})
