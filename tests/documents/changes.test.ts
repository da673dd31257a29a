import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { changeDocument, changeInLines } from '../../src/documents/kinds/changeDocument.js'
import { tablesOf } from '../../src/documents/model/contents.js'
import { plainText } from '../../src/documents/model/document.js'
import { readAuditResults } from '../../src/documents/readAuditResults.js'
import { resultsJson } from '../../src/documents/results.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { compareReports } from '../../src/questions/twoReports/answer.js'
import { practice, times } from '../questions/practice.js'
import { expectedLines } from './expectedText.js'
import { fixtures } from './fixture.js'
import { expectNoForbiddenWord, expectReadable, textsOfDocument } from './wordChecks.js'

const scratch = mkdtempSync(join(tmpdir(), 'changes-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

const then = auditCohort(practice([...times(60, { checks: [400, 1200] }), ...times(6, { loose: 300 })]))
const now = auditCohort(
  practice([
    ...times(60, { checks: [400, 1200] }),
    ...times(6, { loose: 300 }),
    ...times(40, { checks: [400, 1300], repeated: true }),
    ...times(2, { loose: 700, repeated: true }),
  ]),
)
const two = compareReports(then, now)
const options = { date: '2026-05-04', version: '0.1.0', versions: { before: '0.1.0', after: '0.1.0' } }

function stored(name: string, content: string): string {
  const folder = join(scratch, name)
  mkdirSync(folder, { recursive: true })
  writeFileSync(join(folder, 'results.json'), content)
  return folder
}

describe('what changed', () => {
  test('is counted: later less earlier', () => {
    const change = (key: string) => two.counts.find((one) => one.key === key)!
    expect(change('restorations')).toEqual({ key: 'restorations', before: 66, after: 108, change: 42 })
    expect(change('events')).toEqual({ key: 'events', before: 6, after: 8, change: 2 })
    const [risk] = two.risks
    expect(risk!.change).toBeCloseTo(
      (now.incidence.overall.horizons[0]!.risk.estimate as number) -
        (then.incidence.overall.horizons[0]!.risk.estimate as number),
      12,
    )
    expect(risk!.intervals).toBe('hold-each-other')
  })

  test('is nothing between a report and itself', () => {
    const same = compareReports(now, now)
    expect(same.counts.every(({ change }) => change === 0)).toBe(true)
    expect(
      same.risks.filter(({ change }) => typeof change === 'number').every(({ change }) => change === 0),
    ).toBe(true)
    expect(same.fields).toEqual([])
    expect(changeInLines(same)[0]).toMatch(
      /: the same\. The two intervals overlap, and each allows what the other report estimates\.$/,
    )
    expect(changeInLines(same)[1]).toContain(
      'as many restorations, as many events and as many restoration-years',
    )
  })

  test('turns round with the reports', () => {
    const back = compareReports(now, then)
    expect(back.counts.map(({ change }) => change)).toEqual(two.counts.map(({ change }) => -change || 0))
  })

  test('leaves both inputs as they were', () => {
    const before = JSON.stringify([then, now])
    compareReports(then, now)
    expect(JSON.stringify([then, now])).toBe(before)
  })
})

describe('a stored report', () => {
  test('is read with the answer that stands beside its results', async () => {
    const folder = stored('with-answer', resultsJson(now, 'audit', '0.1.0'))
    const withheld = { ...now.answer!, howOften: { ...now.answer!.howOften, verdict: 'withheld' } }
    writeFileSync(join(folder, 'answer.json'), JSON.stringify(withheld))
    expect((await readAuditResults(folder)).audit.answer!.howOften.verdict).toBe('withheld')
    writeFileSync(join(folder, 'answer.json'), '{"schema": "another"}')
    await expect(readAuditResults(folder)).rejects.toThrow('its answer.json is none of this version')
  })
})

describe('the document', () => {
  const pairs: Readonly<Record<string, readonly [AuditResult, AuditResult]>> = {
    'a year on': [then, now],
    'a year back': [now, then],
    'nothing happened': [
      auditCohort(practice(times(20, { checks: [100] }))),
      auditCohort(practice(times(30, { checks: [500] }))),
    ],
    'other clinics': [
      auditCohort(practice(times(20, { checks: [500], clinic: 'A' }))),
      auditCohort(practice(times(20, { checks: [500], clinic: 'B' }))),
    ],
    hostile: [fixtures.hostile!(), fixtures.hostile!()],
    usual: [fixtures['real data']!(), fixtures.usual!()],
  }

  test.each(Object.keys(pairs))('%s: every cell from the results, no word that claims too much', (name) => {
    const results = compareReports(...pairs[name]!)
    const document = changeDocument(results, options)
    for (const table of tablesOf(document)) {
      for (const row of table.rows) {
        expect(row).toHaveLength(table.columns.length)
        row.forEach((cell, index) => {
          expect(cell.csv).toHaveLength(table.columns[index]!.csvTitles.length)
          expect(expectedLines(cell, results)[0]).toBe(plainText(cell.content))
        })
      }
    }
    if (name === 'hostile') return
    for (const text of textsOfDocument(document)) {
      expectNoForbiddenWord(text)
      expectReadable(text)
    }
  })

  test('says that two reports have no clinic in common', () => {
    const lines = textsOfDocument(changeDocument(compareReports(...pairs['other clinics']!), options)).join(
      ' ',
    )
    expect(lines).toContain('The two reports have no clinic in common.')
    expect(changeInLines(compareReports(...pairs['other clinics']!))[0]).toContain(
      'The two reports have no clinic in common.',
    )
  })

  test('does not take the first event ever for a change beyond the interval of then', () => {
    const none = auditCohort(practice(times(60, { checks: [400, 1200] })))
    const first = auditCohort(practice([...times(80, { checks: [400, 1200] }), ...times(1, { loose: 300 })]))
    const { risks } = compareReports(none, first)
    expect(risks.find(({ years }) => years === 3)!.intervals).toBe('hold-each-other')
    const [line] = changeInLines(compareReports(none, first))
    expect(line).toContain('None had been seen by that time in the earlier report.')
    expect(line).not.toContain('does not')
  })

  test('says that intervals lie apart where they do', () => {
    const many = auditCohort(practice([...times(60, { checks: [400, 1200] }), ...times(60, { loose: 300 })]))
    const few = auditCohort(practice([...times(300, { checks: [400, 1200] }), ...times(3, { loose: 300 })]))
    expect(changeInLines(compareReports(few, many))[0]).toContain('The two intervals do not overlap.')
  })

  test('counts one in the singular', () => {
    const one = compareReports(
      auditCohort(practice(times(40, { checks: [400, 1200] }))),
      auditCohort(practice([...times(40, { checks: [400, 1200] }), { loose: 300 }])),
    )
    expect(changeInLines(one)[1]).toContain('the later one holds 1 more restoration, 1 more event and ')
  })

  test('says nothing of a change where a risk was withheld', () => {
    const half = auditCohort(practice([...times(60, { checks: [1200] }), ...times(60, { checks: [] })]))
    expect(half.answer!.howOften.verdict).toBe('withheld')
    expect(changeInLines(compareReports(half, now))[0]).toContain(
      'was withheld in the earlier report, so that nothing is said of a change in it.',
    )
  })
})

describe('is refused', () => {
  test('where the two define other things, each named', () => {
    const other = {
      ...now,
      definition: { ...now.definition, endpoint: 'removal', recallIntervalDays: 500 },
    } as AuditResult
    expect(() => compareReports(then, other)).toThrow(
      'the two reports do not define the same: they differ in endpoint (screw_loosening, then removal); recall interval (400, then 500). Expected: two reports of one endpoint, for the same restorations, by the same settings. Mend: audit the earlier data set again by the definition of the later, and compare those.',
    )
  })

  beforeAll(() => {
    stored('good', resultsJson(then, 'audit', '0.1.0'))
    stored('draft', resultsJson(then, 'case-series', '0.1.0'))
    stored('pooled', resultsJson(then, 'study-group', '0.1.0'))
    stored('old', JSON.stringify({ ...then, format: 'holdfast-audit-1', kind: 'audit' }))
    stored('torn', resultsJson(then, 'audit', '0.1.0').slice(0, 900))
    stored('hollow', JSON.stringify({ format: 'holdfast-results-1', kind: 'audit', version: '0.1.0' }))
    stored('null', 'null')
    stored('evil', JSON.stringify({ format: '<script>', kind: 'audit' }))
  })

  test('what is stored is read back as it was', async () => {
    for (const name of ['good', 'draft']) {
      const { audit, version } = await readAuditResults(join(scratch, name))
      expect(version).toBe('0.1.0')
      expect(compareReports(audit, now).counts).toEqual(two.counts)
    }
  })

  test('results of a version that named methods by texts are compared as before', async () => {
    const content = resultsJson(then, 'audit', '0.1.0')
    const texts = content.replace(/"method": \[[^\]]*\]/g, '"method": "product-limit, Greenwood variance"')
    expect(texts).not.toBe(content)
    const { audit } = await readAuditResults(stored('texts', texts))
    expect(JSON.stringify(audit)).not.toContain('"method":[')
    const compared = compareReports(audit, now)
    expect(compared.counts).toEqual(two.counts)
    expect(textsOfDocument(changeDocument(compared, options))).toEqual(
      textsOfDocument(changeDocument(two, options)),
    )
  })

  test.each([
    ['pooled', 'the report in pooled is of kind study-group.'],
    ['old', 'the report in old is of format holdfast-audit-1.'],
    ['torn', 'the report in torn cannot be compared: its results.json cannot be read as JSON.'],
    ['hollow', 'the report in hollow cannot be compared: its results.json lacks what an audit holds'],
    ['null', 'the report in null is of format unknown.'],
    ['evil', 'the report in evil is of format unknown.'],
  ])('%s', async (name, message) => {
    await expect(readAuditResults(join(scratch, name))).rejects.toThrow(message)
  })
})
