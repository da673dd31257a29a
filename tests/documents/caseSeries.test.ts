import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { randomStream } from '../../src/core/random.js'
import { caseSeriesDocument } from '../../src/documents/kinds/caseSeriesDocument.js'
import { figuresOf, numbersOf, tablesOf } from '../../src/documents/model/contents.js'
import type { Block, Inline, Phrase, Pointer, ReportDocument } from '../../src/documents/model/document.js'
import { plainText } from '../../src/documents/model/document.js'
import { checklistItems } from '../../src/documents/sections/manuscriptChecklist.js'
import { bibliography, worksOfMethod } from '../../src/documents/wording/bibliography.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { parsePlan } from '../../src/questions/plan/planFile.js'
import { plannedSettings } from '../../src/questions/plan/settings.js'
import { practice, times } from '../questions/practice.js'
import { expectedText } from './expectedText.js'
import { fairScenarios } from './fairScenarios.js'
import { fixtures } from './fixture.js'
import { simulatedPractice } from './simulatedPractice.js'
import { expectNoForbiddenWord, expectReadable, textsOfDocument } from './wordChecks.js'

const scenario = fairScenarios.find(({ name }) => name === 'half the hazard')!
const cohort = buildCohort(simulatedPractice(scenario, randomStream(41)))
const plan = parsePlan(
  '{"written": "2026-01-05", "sensitivity": ["last-contact", "lost-to-follow-up", "unmeasured-confounding", "misclassification"]}',
)
const audits: Readonly<Record<string, AuditResult>> = {
  usual: auditCohort(cohort),
  'every method': auditCohort(cohort, { ...plannedSettings(plan), detail: 'full' }),
  'few and small': auditCohort(
    practice([
      ...times(9, { checks: [200, 900] }),
      ...times(9, { repeated: true, checks: [300, 700] }),
      { loose: 400, patient: 3 },
    ]),
  ),
  'nothing happened': auditCohort(practice(times(40, { checks: [400, 1200] }))),
  'one way only': auditCohort(practice([...times(40, { checks: [1200] }), ...times(8, { loose: 300 })])),
  fixture: fixtures.usual!(),
}
const options = { date: '2026-05-04', version: '0.1.0' }
const documents = Object.fromEntries(
  Object.entries(audits).map(([name, audit]) => [name, caseSeriesDocument(audit, options)]),
)

function phrasesOf(document: ReportDocument): readonly Phrase[] {
  const of = (block: Block): readonly Phrase[] => {
    switch (block.kind) {
      case 'paragraph':
        return [block.content]
      case 'list':
        return block.items
      case 'terms':
        return block.entries.map(({ meaning }) => meaning)
      case 'table':
        return block.rows.flat().flatMap(({ content, under }) => [content, under ?? []])
      default:
        return []
    }
  }
  return [document.title, document.summary, ...document.sections.flatMap(({ blocks }) => blocks.flatMap(of))]
}

const inlines = (document: ReportDocument): readonly Inline[] => phrasesOf(document).flat()
const pointers = (document: ReportDocument): readonly Pointer[] =>
  inlines(document).filter((part): part is Pointer => typeof part !== 'string' && part.kind === 'pointer')

describe.each(Object.keys(audits))('the draft of %s', (name) => {
  const document = documents[name]!

  test('has the parts of a manuscript, in order, and is laid out as one', () => {
    expect(document.layout).toBe('manuscript')
    expect(document.sections.map(({ id }) => id)).toEqual([
      'abstract',
      'introduction',
      'methods',
      'results',
      'discussion',
      'declarations',
      'references',
      'checklist',
      'supplement',
    ])
    for (const { blocks } of document.sections) expect(blocks.length).toBeGreaterThan(0)
    const ids = [...tablesOf(document), ...figuresOf(document)].map(({ id }) => id)
    expect(new Set(ids).size).toBe(ids.length)
  })

  test('takes every number from the results', () => {
    for (const phrase of phrasesOf(document))
      expect(expectedText(phrase, audits[name]!)).toBe(plainText(phrase))
  })

  test('claims nothing that observations do not bear, and shows nothing of its inside', () => {
    // Titles of other people's works stand as they are.
    const own = { ...document, sections: document.sections.filter(({ id }) => id !== 'references') }
    for (const text of textsOfDocument(own)) {
      expectNoForbiddenWord(text)
      expect(text).not.toMatch(/NaN|undefined|\[object|\$\{/)
    }
    for (const { blocks } of document.sections.filter(({ id }) => id !== 'supplement')) {
      for (const block of blocks) if (block.kind === 'paragraph') expectReadable(plainText(block.content))
    }
  })

  test('lists the works in the order of citing, each cited, and points only to what there is', () => {
    const cited = pointers(document).filter(({ target }) => target === 'references')
    const order = [...new Set(cited.map(({ text }) => Number(text)))]
    expect(order).toEqual(order.map((_one, index) => index + 1))
    const [list] = document.sections.find(({ id }) => id === 'references')!.blocks
    expect(list).toMatchObject({ kind: 'list', numbered: true })
    expect((list as { items: readonly Phrase[] }).items).toHaveLength(order.length)
    const targets = new Set([
      ...document.sections.map(({ id }) => id),
      ...tablesOf(document).map(({ id }) => id),
      ...figuresOf(document).map(({ id }) => id),
    ])
    for (const { target } of pointers(document)) expect(targets).toContain(target)
  })

  test('cites a work for every method that its text names', () => {
    const methods = document.sections.find(({ id }) => id === 'methods')!
    const statistics = methods.blocks.map((block) =>
      block.kind === 'paragraph' ? plainText(block.content) : '',
    )
    const text = statistics.join(' ')
    for (const [word, work] of [
      ['Aalen–Johansen', 'Aalen OO'],
      ['Wilson', 'Wilson EB'],
      ['Cox regression', 'Cox DR'],
      ['propensity', 'Rosenbaum PR'],
      ['E-value', 'VanderWeele TJ'],
    ] as const) {
      if (!text.includes(word) || name === 'fixture') continue
      const [list] = document.sections.find(({ id }) => id === 'references')!.blocks
      const works = (list as { items: readonly Phrase[] }).items.map(plainText)
      expect(
        works.some((one) => one.startsWith(work)),
        word,
      ).toBe(true)
    }
  })
})

describe('the checklist', () => {
  test('holds the 22 items of STROBE (von Elm and others 2007), filled as far as records can', () => {
    const numbers = [...new Set(checklistItems.map(({ item }) => Number.parseInt(item, 10)))]
    expect(numbers).toEqual(Array.from({ length: 22 }, (_one, index) => index + 1))
    const stateOf = (item: number): readonly string[] => [
      ...new Set(
        checklistItems.filter((one) => Number.parseInt(one.item, 10) === item).map(({ state }) => state),
      ),
    ]
    // Common reading of what records can fill: 7 and 11 to 17 from data; 2, 3 and 20 to 22 by the author.
    for (const item of [7, 11, 12, 13, 14, 15, 16, 17]) expect(stateOf(item)).toEqual(['here'])
    for (const item of [2, 3, 20, 21, 22]) expect(stateOf(item)).toEqual(['author'])
  })

  test('names tables and figures by the numbers that they carry', () => {
    const document = documents.usual!
    const numbers = numbersOf(document)
    const table = tablesOf(document).find(({ id }) => id === 'table-checklist')!
    const place = (item: string): string =>
      plainText(table.rows.find(([name]) => plainText(name!.content) === item)![2]!.content)
    expect(place('13c')).toBe(`Results, Figure ${numbers.get('figure-attrition')}`)
    expect(place('15')).toBe(`Results, Table ${numbers.get('table-life-table')}`)
    expect(place('22')).toBe('Declarations')
  })
})

describe('the works', () => {
  const pages = join(import.meta.dirname, '../../docs/methods')

  test('cover every method that results of an audit name', () => {
    const named = new Set<string>()
    const walk = (value: unknown): void => {
      if (typeof value !== 'object' || value === null) return
      const { reference } = value as { reference?: unknown }
      if (typeof reference === 'string' && reference !== 'fixture') named.add(reference)
      Object.values(value).forEach(walk)
    }
    for (const name of ['usual', 'every method', 'few and small', 'nothing happened']) {
      const { incidence, retention, comparison, tightening, lifeTable, model } = audits[name]!
      walk({ incidence, retention, comparison, tightening, lifeTable, model })
    }
    expect([...named].filter((key) => worksOfMethod[key] === undefined)).toEqual([])
  })

  test('stand in the list of what was found in public records, and no other works with them', () => {
    const listed = readFileSync(join(pages, '../references.md'), 'utf8')
      .split('\n')
      .flatMap((line) => /^\| (.+) \| [PLDJ, ]+ \|$/.exec(line)?.[1] ?? [])
    expect(listed).toEqual(Object.values(bibliography))
  })

  test('agree in author and year with the pages of the methods, or with one of them', () => {
    const all = Object.keys(worksOfMethod).map((key) => readFileSync(join(pages, `${key}.md`), 'utf8'))
    const methods = readFileSync(join(pages, 'clustered-rate.md'), 'utf8')
    expect(methods).toContain('Garwood')
    const elsewhere = ['strobe']
    for (const [key, work] of Object.entries(bibliography)) {
      if (elsewhere.includes(key)) continue
      const author = /^(?:van |von )?[\p{L}-]+/u.exec(work)![0]
      const year = /\b(1[89]\d\d|20\d\d)[;.:]/.exec(work)![1]!
      const agrees = all.some((page) =>
        new RegExp(`${author}[^.;]*\\(${year}\\)|${author}[^.;]*${year}`, 'u').test(page),
      )
      expect(agrees, work).toBe(true)
    }
  })
})
