import { describe, expect, test } from 'vitest'
import { proposalDocument } from '../../src/documents/kinds/proposalDocument.js'
import { boardQuestions } from '../../src/documents/kinds/proposalWords.js'
import { tablesOf } from '../../src/documents/model/contents.js'
import { plainText } from '../../src/documents/model/document.js'
import { speaker } from '../../src/messages/speaker.js'
import { dictionaryFields } from '../../src/notebook/dictionary.js'
import { comparisonSettings } from '../../src/questions/comparison/settings.js'
import { defaultPlan, parsePlan } from '../../src/questions/plan/planFile.js'
import { type PlannedStudy, plannedStudy } from '../../src/questions/plan/plannedStudy.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { expectedLines } from './expectedText.js'
import { expectNoForbiddenWord, expectReadable, textsOfDocument } from './wordChecks.js'

const studies: Readonly<Record<string, PlannedStudy>> = {
  'the default plan': plannedStudy(defaultPlan),
  'a plan of a file': plannedStudy(
    parsePlan(
      '{"written": "2026-01-05", "title": "<b>Our</b> plan", "smallestDifference": 0.06, "adjustFor": ["region"], "strata": [], "negativeControl": "none", "restorationTypes": ["single_crown", "full_arch"]}',
    ),
    { restorationsPerPatient: 1, lostShare: 0 },
  ),
  'a hazard ratio': plannedStudy(
    parsePlan(
      '{"written": "2026-01-05", "primary": {"contrast": "hazard-ratio"}, "smallestDifference": 0.5}',
    ),
    { restorationsPerPatient: 1 },
  ),
  'a mean': plannedStudy(
    parsePlan(
      '{"written": "2026-01-05", "primary": {"contrast": "restricted-mean-difference", "horizonYears": 5}, "smallestDifference": 30}',
    ),
  ),
}
const fields = dictionaryFields()
const documentOf = (study: PlannedStudy) => proposalDocument(study, { date: '2026-05-04', fields })

describe('how many', () => {
  test('is that of two proportions: 10% against 20%, 199 in each (Fleiss, Levin and Paik 2003, section 4.2)', () => {
    const plan = parsePlan('{"written": "2026-01-05", "smallestDifference": 0.1}')
    const { sizes } = plannedStudy(plan, { restorationsPerPatient: 1, lostShare: 0 })
    const row = sizes.find(({ assumedRisk }) => assumedRisk === 0.2)!
    expect(row).toEqual({
      assumedRisk: 0.2,
      assumedRiskOfGroup: 0.1,
      perGroupIndependent: 199,
      perGroup: 199,
      together: 398,
      events: 60,
    })
  })

  test('is inflated for patients and losses: 199 · 1.05 / 0.8, by hand', () => {
    const plan = parsePlan('{"written": "2026-01-05", "smallestDifference": 0.1}')
    const { sizes, assumptions } = plannedStudy(plan, {
      restorationsPerPatient: 1.5,
      correlation: 0.1,
      lostShare: 0.2,
    })
    expect(assumptions.designEffect).toBeCloseTo(1.05, 12)
    const row = sizes.find(({ assumedRisk }) => assumedRisk === 0.2)!
    expect(row.perGroup).toBeGreaterThanOrEqual(Math.ceil((198 * 1.05) / 0.8))
    expect(row.perGroup).toBeLessThanOrEqual(Math.ceil((199 * 1.05) / 0.8))
  })

  test('is in events for a hazard ratio: 66 for one of 0.5 (Schoenfeld 1983), and nothing is made up for a mean', () => {
    expect(studies['a hazard ratio']!.eventsNeeded).toBe(66)
    expect(studies['a hazard ratio']!.sizes).toEqual([])
    expect(studies['a mean']!.eventsNeeded).toBeUndefined()
    expect(studies['a mean']!.sizes).toEqual([])
  })

  test.each([
    [{ restorationsPerPatient: 0.5 }, 'restorations per patient: at least 1.'],
    [{ correlation: 1.1 }, 'correlation within a patient: from 0 to 1.'],
    [{ lostShare: 1 }, 'share lost: from 0 to below 1.'],
    [{ power: 0.4, lostShare: -1 }, 'share lost: from 0 to below 1; power: above 0.5 and below 1.'],
    [{ correlation: Number.NaN }, 'correlation within a patient'],
  ])('refuses %j', (assumptions, expected) => {
    expect(() => plannedStudy(defaultPlan, assumptions)).toThrow(expected)
  })
})

describe.each(Object.keys(studies))('the draft of %s', (name) => {
  const study = studies[name]!
  const document = documentOf(study)

  test('takes every number from the plan or the planning, and claims nothing', () => {
    for (const table of tablesOf(document)) {
      for (const row of table.rows) {
        expect(row).toHaveLength(table.columns.length)
        for (const cell of row) expect(expectedLines(cell, study)[0]).toBe(plainText(cell.content))
      }
    }
    // Titles of other people's works, and the fields of the records, stand as they are.
    const own = document.sections.filter(({ id }) => id !== 'references' && id !== 'data')
    for (const text of textsOfDocument({ ...document, sections: own })) {
      expectNoForbiddenWord(text)
      expectReadable(text)
    }
  })

  test('leaves to the author what only the author knows, in every part', () => {
    for (const id of ['answer', 'background', 'methods', 'analysis', 'data', 'protection', 'ethics']) {
      const section = document.sections.find((one) => one.id === id)!
      expect(JSON.stringify(section.blocks), id).toContain('"kind":"blank"')
    }
  })
})

test('one horizon of one year is in the singular', () => {
  const plan = parsePlan('{"written": "2026-01-05", "primary": {"horizonYears": 1}, "horizonsYears": [1]}')
  const text = textsOfDocument(documentOf(plannedStudy(plan))).join(' ')
  expect(text).toContain('risks by 1 year and hazard ratios')
})

test('what is allowed for, and what is tried, is what an audit by the same plan does', () => {
  for (const plan of [
    defaultPlan,
    parsePlan('{"written": "2026-01-05", "adjustFor": ["sex", "operator"]}'),
  ]) {
    const study = plannedStudy(plan)
    expect(study.adjustFor).toEqual(comparisonSettings({ ...defaultSettings, plan }).adjustFor)
  }
  const text = textsOfDocument(documentOf(plannedStudy(defaultPlan))).join(' ')
  expect(text).toContain('opposing arch and age at delivery, as far as recorded')
  expect(text).toContain('a trend of its own for each operator')
  // Analyses that no audit makes are promised by no draft.
  expect(text).not.toMatch(/weights for losses|best and worst cases|first year with the group|mean times/)
})

test('every question of the board is there, and every field of the dictionary', () => {
  const document = documentOf(studies['the default plan']!)
  const rows = (id: string) => tablesOf(document).find((table) => table.id === `table-${id}`)!.rows
  expect(rows('ethics').map(([question]) => plainText(question!.content))).toEqual(
    boardQuestions.map(({ question }) => speaker().text(question)),
  )
  expect(rows('fields')).toHaveLength(fields.length)
  expect(fields.length).toBeGreaterThan(50)
  expect(plainText(documentOf(studies['a plan of a file']!).title)).toBe('<b>Our</b> plan')
})
