import { describe, expect, it } from 'vitest'
import { auditCohort } from '../../src/analysis/audit.js'
import type { Cohort } from '../../src/cohort/cohort.js'
import { auditKindNames } from '../../src/report/auditKindNames.js'
import { documentOfKind } from '../../src/report/auditKinds.js'
import { citationsOf } from '../../src/report/citation.js'
import { plainText } from '../../src/report/document.js'
import { documentMarkdown } from '../../src/report/markdown.js'
import { mainComparisonSentence } from '../../src/report/wording.js'
import { practice, times } from '../analysis/practice.js'
import { simulatedCohort } from './everyAnalysis.js'
import { textsOfDocument } from './wordChecks.js'

const options = { date: '2026-05-04', version: '0.1.0' }

describe('one estimate', () => {
  const audit = auditCohort(simulatedCohort('half the hazard'))
  const { lead, arms, horizonYears, ends } = audit.tightening!

  it('has one interval: in the answer for machines, among the arms and over all documents', () => {
    const { difference } = lead!
    expect(audit.answer!.comparison!.difference).toEqual(difference)
    expect(audit.answer!.comparison!.betweenLooks).toEqual(ends)
    expect(arms.find(({ years }) => years === horizonYears)!.difference).toEqual(difference)
    const sentence = plainText(mainComparisonSentence(audit, citationsOf(audit)))
    const limits = [difference.lower, difference.upper].map((one) => Math.abs(100 * one).toFixed(1))
    for (const limit of limits) expect(sentence).toContain(limit)
    // Whatever document says how far the groups lie apart by the horizon says it in the words of the one sentence.
    const said = auditKindNames.flatMap((kind) =>
      textsOfDocument(documentOfKind(audit, kind, options)).filter((text) =>
        /It stays open whether|was associated with a risk of/.test(text),
      ),
    )
    expect(said.length).toBeGreaterThan(0)
    for (const text of said) expect(text).toContain(sentence)
    const bare = (text: string) => text.replaceAll(/[*\\]/g, '')
    expect(bare(documentMarkdown(documentOfKind(audit, 'audit', options)))).toContain(bare(sentence))
  })
})

const edges: Readonly<Record<string, Cohort>> = {
  'one crown': practice(times(1, { checks: [400, 1200] })),
  'one crown of each way': practice([{ checks: [400], repeated: true }, { checks: [400] }]),
  'looked at on the day of delivery only': practice([
    ...times(20, { checks: [0] }),
    ...times(20, { checks: [0], repeated: true }),
  ]),
  'all loosened': practice([
    ...times(15, { checks: [60], loose: 200 }),
    ...times(15, { checks: [60], loose: 200, repeated: true }),
  ]),
  'none loosened': practice([
    ...times(20, { checks: [400, 1200] }),
    ...times(20, { checks: [400, 1200], repeated: true }),
  ]),
  'delivered in 2099': practice([
    ...times(20, { checks: [400, 1200], delivery: 47_482 }),
    ...times(20, { checks: [400, 1200], delivery: 47_482, repeated: true }),
  ]),
  'half never looked at': practice([
    ...times(20, {}),
    ...times(20, { checks: [400], loose: 900, repeated: true }),
    ...times(20, { checks: [400, 1200] }),
  ]),
}

describe.each(Object.entries(edges))('of %s', (_name, cohort) => {
  const audit = auditCohort(cohort)
  const texts = auditKindNames.flatMap((kind) => textsOfDocument(documentOfKind(audit, kind, options)))

  it('"compatible" stands beside a horizon or a rate, and the restoration-years seen', () => {
    const said = texts
      .flatMap((text) => text.split(/(?<=\.) /))
      .filter((one) => one.includes('compatible') && !one.startsWith('A range of values'))
    for (const one of said) {
      expect(one).toMatch(/restoration-years/)
      expect(one).toMatch(/year/)
    }
  })

  it('a risk that is withheld stands in no conclusion', () => {
    const concluded = texts.filter((text) => text.includes('In this series the risk of'))
    if (audit.howOften.verdict !== 'estimate') expect(concluded).toEqual([])
  })

  it('no direction is claimed, and where nothing can be known no figure is given', () => {
    const { tightening, answer } = audit
    expect(['lower', 'higher']).not.toContain(tightening?.verdict)
    if (tightening?.verdict.startsWith('cannot')) expect(answer!.comparison!.difference).toBe(undefined)
    expect(JSON.stringify(answer)).not.toMatch(/null|NaN|Infinity/)
  })
})
