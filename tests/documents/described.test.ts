import { describe, expect, test } from 'vitest'
import { renderSvg } from '../../src/charts/render.js'
import { tableCsv } from '../../src/documents/bundle.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { figuresOf, tablesOf } from '../../src/documents/model/contents.js'
import { plainText } from '../../src/documents/model/document.js'
import { auditCohort } from '../../src/questions/audit.js'
import { marksOf, seriesPlot } from '../../src/questions/series/chart.js'
import { practice } from '../questions/practice.js'
import { expectedLines } from './expectedText.js'

const hostile = '<script>alert(1)</script>\u202e=1+1'
const audit = auditCohort(
  practice([
    { checks: [180, 360], patient: 4, fields: { age_at_delivery_years: 61, component_system: hostile } },
    { checks: [90], loose: 400, patient: 4, repeated: true, fields: { age_at_delivery_years: 61 } },
    { checks: [200], removed: 320, fields: { sex: 'female' } },
    { checks: [200, 900], repeated: true, fields: { sex: 'male' } },
  ]),
)
const document = auditDocument(audit, { date: '2026-05-04', version: '0.1.0' })
const table = (id: string) => tablesOf(document).find((one) => one.id === `table-${id}`)!

describe('the tables that describe', () => {
  test.each(['characteristics', 'life-table', 'series'])('%s holds what the results give', (id) => {
    const { rows, columns } = table(id)
    expect(rows.length).toBeGreaterThan(1)
    for (const row of rows) {
      expect(row).toHaveLength(columns.length)
      row.forEach((cell, index) => {
        expect(expectedLines(cell, audit)[0]).toBe(plainText(cell.content))
        expect(cell.csv).toHaveLength(columns[index]!.csvTitles.length)
      })
    }
  })

  test('characteristics state units, shares and what is not known', () => {
    const rows = table('characteristics').rows.map((row) =>
      row.map((cell) => expectedLines(cell, audit).join(' ')),
    )
    expect(rows[0]!.slice(0, 2)).toEqual(['Restorations', '4 in 3 patients'])
    const age = rows.findIndex(([name]) => name === 'Age at delivery, years')
    expect(rows[age]![1]).toBe('61.0 (61.0 to 61.0)')
    expect(rows[age + 1]!.slice(0, 2)).toEqual(['Age at delivery: not known', '2'])
    expect(rows.find(([name]) => name === 'Sex: female')![1]).toBe('1 (50.0%)')
  })

  test('hostile names stand as text, in CSV too', () => {
    expect(tableCsv(table('characteristics'))).not.toMatch(/(?:^|,)"?[=+@]/m)
    expect(tableCsv(table('characteristics'))).not.toContain('\u202e')
  })
})

describe('the small series', () => {
  test('stands in the report of few restorations as figure and table', () => {
    expect(figuresOf(document).map(({ id }) => id)).toContain('figure-series-plot')
    const course = table('series').rows.map((row) => plainText(row[4]!.content))
    expect(course).toEqual([
      '180: check; 360: check',
      '90: check; 400: screw loosening',
      '200: check; 320: removed',
      '200: check; 900: check',
    ])
    expect(table('series').rows.map((row) => plainText(row[5]!.content))).toEqual([
      'day 360, at the last check',
      'day 400, with the event',
      'day 320, by a competing event: removed or remade',
      'day 900, at the last check',
    ])
  })

  test('draws every check and every end, the longest first, each kind with a shape of its own', async () => {
    const chart = seriesPlot(audit.series!)
    const of = (name: string) => chart.layer.filter((layer) => layer.name?.replace(/_\d+$/, '') === name)
    expect(of('check')[0]!.data.values).toHaveLength(
      audit.series!.restorations.flatMap(marksOf).filter(({ kind }) => kind === 'check').length,
    )
    expect(of('event')[0]!.data.values.map(({ years }) => years)).toEqual([400 / 365.25])
    expect(of('risk')[0]!.data.values[0]).toMatchObject({ years: 0, to: 900 / 365.25 })
    const shapes = ['check', 'event', 'competing', 'open'].map((kind) => of(kind)[0]!.mark.shape)
    expect(new Set(shapes).size).toBe(4)
    expect(chart.description).toContain('R1: first screw loosening at 1.1 years, 2 checks')
    for (const size of ['page', 'column'] as const) {
      const svg = await renderSvg(seriesPlot(audit.series!, { size }))
      expect(svg).not.toMatch(/NaN|undefined|Infinity/)
    }
  })
})
