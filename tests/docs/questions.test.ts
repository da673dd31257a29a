import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import * as statistics from 'simple-statistics'
import ts from 'typescript'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import * as holdfast from '../../src/index.js'
import { bundleOf } from '../../src/notebook/valueDisplay.js'

const root = join(import.meta.dirname, '../..')
const page = readFileSync(join(root, 'docs/questions.md'), 'utf8')
const questions = [...page.matchAll(/^## \d+\. (.+)\n\n```ts\n([\s\S]*?)\n```$/gm)].map(
  ([, question, code]) => [question!, code!] as const,
)
const scratch = mkdtempSync(join(tmpdir(), 'holdfast-questions-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

let crowns: holdfast.Cohort
beforeAll(async () => {
  crowns = holdfast.buildCohort(await holdfast.openRecords(join(root, 'data-demo')))
})

/** Runs the lines of a cell, and answers with the value of the last one. */
function answered(code: string): Promise<unknown> {
  const lines = code.split('\n')
  const body = [...lines.slice(0, -1), `return ${lines.at(-1)}`].join('\n')
  const names = { ...holdfast, median: statistics.median, crowns, scratch }
  const { outputText } = ts.transpileModule(`async function cell() {\n${body}\n}`, {
    compilerOptions: { target: ts.ScriptTarget.ES2022 },
  })
  return new Function(...Object.keys(names), `${outputText}\nreturn cell()`)(...Object.values(names))
}

describe('the questions of clinicians', () => {
  it('are twenty-five, in one to three lines each', () => {
    expect(questions).toHaveLength(25)
    expect(questions.filter(([, code]) => code.split('\n').length > 3)).toEqual([])
  })

  it.each(questions)('%s', async (_question, code) => {
    const answer = await answered(code)
    expect(answer).toBeDefined()
    if (typeof answer === 'string' || Array.isArray(answer)) expect(answer.length).toBeGreaterThan(0)
    else expect((await bundleOf(answer as object))?.['text/plain']).toMatch(/\d/)
  })
})

describe('the same quantity', () => {
  it('has the same value in the report, in a group of a question and in a part of the cohort', () => {
    const audit = holdfast.auditCohort(crowns)
    expect(audit.incidence.overall).toEqual(holdfast.incidence(crowns).overall)
    expect(audit.retention.overall).toEqual(holdfast.retention(crowns).overall)
    const asked = holdfast.incidence(crowns, { by: 'tightening' })
    const rates = (all: typeof asked.byGroup) =>
      all.map(({ group, ratePer100Years }) => [group, ratePer100Years])
    expect(rates(asked.byGroup)).toEqual(rates(audit.incidence.byGroup))
    for (const { group, ratePer100Years } of audit.incidence.byGroup) {
      const part = crowns.where({ tightening: group as holdfast.ExposureGroup })
      expect(holdfast.incidence(part).overall.ratePer100Years).toEqual(ratePer100Years)
    }
  })
})
