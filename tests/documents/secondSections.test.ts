import { readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { describe, expect, test } from 'vitest'
import { z } from 'zod'
import { renderSvg } from '../../src/charts/render.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { figuresOf, tablesOf } from '../../src/documents/model/contents.js'
import { plainText } from '../../src/documents/model/document.js'
import { resultsJson } from '../../src/documents/results.js'
import { methodsUsed } from '../../src/documents/sections/methodSections.js'
import { auditCohort } from '../../src/questions/audit.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { richPractice } from './richPractice.js'
import { forbiddenWords } from './wordChecks.js'

const cohort = richPractice()
const standard = auditCohort(cohort)
const full = { ...auditCohort(cohort, { ...defaultSettings, detail: 'full' as const }) }
const documentOf = (audit: typeof standard) => auditDocument(audit, { date: '2026-05-04', version: '0.1.0' })
const second = ['hazard', 'wait', 'protocol-change', 'torque', 'repeats', 'literature', 'clinics']

describe('the sections after the comparison', () => {
  test('come after it, in their order, and before the account of the records', () => {
    const ids = documentOf(standard).sections.map(({ id }) => id)
    expect(ids.filter((id) => second.includes(id))).toEqual(second)
    expect(ids.indexOf('hazard')).toBeGreaterThan(ids.indexOf('wrong'))
    expect(ids.indexOf('clinics')).toBeLessThan(ids.indexOf('cohort'))
  })

  test('have their figures in the full report only, and say how to get them', () => {
    const figures = (audit: typeof standard): readonly string[] =>
      documentOf(audit)
        .sections.filter(({ id }) => second.includes(id))
        .flatMap(({ blocks }) => blocks.flatMap((block) => (block.kind === 'figure' ? [block.id] : [])))
    expect(figures(standard)).toEqual([])
    expect(figures(full)).toEqual([
      'figure-hazard',
      'figure-wait',
      'figure-run-chart-1',
      'figure-run-chart-2',
      'figure-torque',
      'figure-repeats',
      'figure-literature',
      'figure-funnel',
    ])
    const notes = documentOf(standard)
      .sections.filter(({ id }) => second.includes(id))
      .filter(({ blocks }) =>
        blocks.some((block) => block.kind === 'paragraph' && plainText(block.content).includes('--full')),
      )
    expect(notes.map(({ id }) => id)).toEqual(second)
  })

  test('give the same results, drawn or not', () => {
    const { settings: _settings, ...plain } = standard
    const { settings: _more, ...drawn } = full
    expect(drawn).toEqual(plain)
  })

  test('draw every figure in both sizes, with a text alternative and no number that is none', async () => {
    for (const figure of figuresOf(documentOf(full))) {
      for (const size of ['page', 'column'] as const) {
        const svg = await renderSvg(figure[size])
        expect(svg, figure.id).not.toMatch(/NaN|Infinity|undefined|null/)
        expect(figure[size].description.length, figure.id).toBeGreaterThan(20)
      }
    }
  })

  test('fill every table as its head says', () => {
    for (const { id, columns, rows } of tablesOf(documentOf(full))) {
      expect(rows.length, id).toBeGreaterThan(0)
      for (const row of rows) {
        expect(row.length, id).toBe(columns.length)
        expect(
          row.map(({ csv }) => csv.length),
          id,
        ).toEqual(columns.map(({ csvTitles }) => csvTitles.length))
      }
    }
  })

  test('use no word that the data cannot bear', () => {
    const text = JSON.stringify(documentOf(full).sections.filter(({ id }) => second.includes(id)))
    for (const word of forbiddenWords) expect(text).not.toMatch(new RegExp(`\\b${word}\\b`, 'i'))
  })

  test('name their methods, each with a page of its own', () => {
    const methods = methodsUsed(full)
    const quantities = methods.map(({ quantity }) => quantity)
    expect(quantities).toContain('Hazard ratio along the wait')
    expect(quantities).toContain('Rate before and after a change of protocol')
    expect(quantities).toContain('Limits of the funnel')
    for (const { reference } of methods) {
      expect(
        readFileSync(resolve(import.meta.dirname, `../../docs/methods/${reference}.md`), 'utf8'),
      ).toMatch(/^# /)
    }
  })

  test('stand in results.json as the schema says', () => {
    const published = readFileSync(
      resolve(import.meta.dirname, '../../docs/schema/results.schema.json'),
      'utf8',
    )
    const results: unknown = JSON.parse(resultsJson(full, 'audit', '0.1.0'))
    const { error } = z.fromJSONSchema(JSON.parse(published)).safeParse(results)
    expect(error?.issues.slice(0, 3)).toBeUndefined()
  })
})
