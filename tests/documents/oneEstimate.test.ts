import { describe, expect, it } from 'vitest'
import type { Cohort } from '../../src/cohort/cohort.js'
import { documentMarkdown } from '../../src/documents/formats/markdown.js'
import { auditKindNames } from '../../src/documents/kinds/auditKindNames.js'
import { companionsOf, documentOfKind } from '../../src/documents/kinds/auditKinds.js'
import { citationsOf } from '../../src/documents/model/citation.js'
import { tablesOf } from '../../src/documents/model/contents.js'
import { plainText } from '../../src/documents/model/document.js'
import { answerSentences } from '../../src/documents/wording/index.js'
import { auditCohort } from '../../src/questions/audit.js'
import { practice, times } from '../questions/practice.js'
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
    const sentence = plainText(answerSentences(audit, citationsOf(audit))[1]!)
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

describe('a withheld risk', () => {
  const cohort = practice([
    ...times(90, {}),
    ...times(24, { checks: [400], loose: 900, repeated: true }),
    ...times(26, { checks: [400, 1200] }),
    ...times(9, { checks: [400], loose: 950 }),
  ])
  const audit = auditCohort(cohort)
  const all = auditKindNames.flatMap((kind) => {
    const { companions } = companionsOf(audit, kind, options)
    const lengths = companions === undefined ? [] : [companions.start, ...Object.values(companions.lengths)]
    return [documentOfKind(audit, kind, options), ...lengths]
  })

  it('stands in no sentence of any document as the risk of the practice', () => {
    expect(audit.howOften).toMatchObject({ verdict: 'withheld', reason: 'left-out' })
    const { estimate } = audit.incidence.overall.horizons.find(
      ({ years }) => years === audit.howOften.years,
    )!.risk
    const printed = `${(100 * (estimate as number)).toFixed(1)}%`
    const said = all
      .flatMap(textsOfDocument)
      .flatMap((text) => text.split(/(?<=\.) /))
      .filter((text) => text.includes(printed) && !text.startsWith(printed))
    expect(said.length).toBeGreaterThan(0)
    for (const text of said)
      expect(text).toMatch(/if as many as of those seen|as in those who were looked at/)
    expect(all.flatMap(textsOfDocument).join(' ')).not.toMatch(/Out of 100|so few .* cannot say/i)
  })

  it('is said under every table of risks', () => {
    const tables = all.flatMap(tablesOf).filter(({ id }) => /^table-(risks|retention)/.test(id))
    expect(tables.length).toBeGreaterThan(1)
    for (const { notes } of tables)
      expect(notes.map(plainText).join(' ')).toContain('no figures of the practice')
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
