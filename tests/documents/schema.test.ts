import { execFileSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { expect, test } from 'vitest'
import { z } from 'zod'
import { type ResultsMark, resultsJson } from '../../src/documents/results.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { compareReports } from '../../src/questions/twoReports/answer.js'
import { practice, times } from '../questions/practice.js'
import { fixtures } from './fixture.js'

const root = resolve(import.meta.dirname, '../..')
const published = readFileSync(resolve(root, 'docs/schema/results.schema.json'), 'utf8')
const schema = z.fromJSONSchema(JSON.parse(published))

test('the published schema is the one that the types give', () => {
  const made = execFileSync(process.execPath, [resolve(root, 'scripts/resultsSchema.mjs'), '--print'], {
    encoding: 'utf8',
    maxBuffer: 1e8,
  })
  expect(made === published, 'run node scripts/resultsSchema.mjs and commit docs/schema').toBe(true)
})

test.each(Object.keys(fixtures))('results.json of %s is as the schema says', (name) => {
  const results: unknown = JSON.parse(resultsJson(fixtures[name]!(), 'audit', '0.1.0'))
  const { error } = schema.safeParse(results)
  expect(error?.issues.slice(0, 3)).toBeUndefined()
})

test('results of a real audit, draft and comparison are as the schema says', () => {
  const audit = auditCohort(
    practice([
      ...times(40, { checks: [400, 1200] }),
      ...times(6, { loose: 300 }),
      ...times(40, { checks: [400, 1300], repeated: true }),
      ...times(5, { loose: 700, repeated: true }),
    ]),
  )
  for (const [results, kind] of [
    [audit, 'audit'],
    [audit, 'case-series'],
    [compareReports(audit, audit), 'two-reports'],
  ] as const) {
    const { error } = schema.safeParse(JSON.parse(resultsJson(results, kind, '0.1.0')))
    expect(error?.issues.slice(0, 3), kind).toBeUndefined()
  }
})

test('the schema refuses a number that is none, a field too many and one too few', () => {
  const text = resultsJson(fixtures.usual!(), 'audit', '0.1.0')
  const read = (): AuditResult & ResultsMark => JSON.parse(text)
  const faulty: readonly ((results: AuditResult & ResultsMark) => void)[] = [
    (one) => Object.assign(one.incidence.overall, { events: null }),
    (one) => Object.assign(one.incidence.overall.horizons[0]!.risk, { estimate: { state: 'unheard-of' } }),
    (one) => Object.assign(one.incidence.overall, { more: 1 }),
    (one) => Object.assign(one.summary, { attrition: undefined }),
    (one) => Object.assign(one, { format: 'another' }),
  ]
  for (const spoil of faulty) {
    const one = read()
    spoil(one)
    expect(schema.safeParse(JSON.parse(JSON.stringify(one))).success, spoil.toString()).toBe(false)
  }
})
