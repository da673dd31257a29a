import { readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { z } from 'zod'
import { forestChart } from '../../src/charts/forestChart.js'
import { pooledRetentionChart } from '../../src/charts/pooledRetentionChart.js'
import { siteFunnelChart } from '../../src/charts/siteFunnelChart.js'
import type { ChartSpecification } from '../../src/charts/specification.js'
import { randomStream } from '../../src/core/random.js'
import { combineSummaries, type PooledResult } from '../../src/pooling/combine.js'
import { poolRows } from '../../src/pooling/pooledRows.js'
import { siteComparisons } from '../../src/pooling/siteComparison.js'
import { makeSiteSummary } from '../../src/pooling/siteSummary.js'
import { tableCsv } from '../../src/report/csvTables.js'
import { plainText, type ReportDocument, type Table } from '../../src/report/document.js'
import { documentHtml } from '../../src/report/html.js'
import { documentMarkdown } from '../../src/report/markdown.js'
import { drawFigures } from '../../src/report/pictures.js'
import { pooledDocument } from '../../src/report/pooledDocument.js'
import { resultsJson } from '../../src/report/results.js'
import { siteDocument } from '../../src/report/siteDocument.js'
import { simulatedClinic } from '../../src/verification/simulation/simulatedGroup.js'
import { agreedOn, demoRows, making, sitesOf, throughRounds } from '../pooling/demoGroup.js'
import { expectedLines } from './expectedText.js'

const agreed = agreedOn()
const options = { date: '2026-01-31', version: '0.1.0' }
const results: Record<string, PooledResult> = {}
beforeAll(async () => {
  const rows = await demoRows(agreed)
  const sites = await sitesOf(rows, agreed)
  results.settled = throughRounds(sites, agreed)
  results.waiting = combineSummaries(
    sites.map(({ made }) => made.summary),
    agreed,
  )
  results.rows = poolRows(rows, agreed, { generated: true })
  const [alone] = sites.filter(({ made }) => made.plan.grouping.mergeGroups)
  results.together = combineSummaries([alone!.made.summary], agreed)
  const plain = agreedOn({ strata: null, balance: [] })
  const stream = randomStream(4)
  const many = await Promise.all(
    Array.from({ length: 6 }, (_one, c) =>
      makeSiteSummary(simulatedClinic(`clinic ${c}`, -0.3, plain.protocol, stream), plain, making),
    ),
  )
  results.many = combineSummaries(
    many.map(({ summary }) => summary),
    plain,
  )
})

const names = ['settled', 'waiting', 'rows', 'together', 'many']
const documentOf = (name: string): ReportDocument =>
  pooledDocument(results[name]!, { ...options, rows: name === 'rows' })
const tablesOf = (document: ReportDocument): readonly Table[] =>
  document.sections.flatMap(({ blocks }) => blocks.filter((block): block is Table => block.kind === 'table'))

it('says where another clinic would lie only where that can be said', () => {
  const notesOf = (name: string): string =>
    documentOf(name)
      .sections.flatMap(({ blocks }) => blocks)
      .flatMap((block) => (block.kind === 'figure' && block.id === 'figure-forest' ? block.notes : []))
      .map(plainText)
      .join()
  // Two sites leave no degree of freedom for a prediction; six do.
  expect(results.settled!.synthesis!.sites).toHaveLength(2)
  expect(notesOf('settled')).toMatch(/^Too few sites/)
  expect(notesOf('many')).toMatch(/^The last row/)
})

describe.each(names)('the report of a study group: %s', (name) => {
  it('reads every number from the results, and writes every format', async () => {
    const document = documentOf(name)
    const html = documentHtml(document, await drawFigures(document))
    const markdown = documentMarkdown(document)
    // Style and script are those of every report, and none of the results'.
    const body = html.replace(/<(script|style)[\s\S]*?<\/\1>/g, '')
    for (const text of [body, markdown]) expect(text).not.toMatch(/NaN|undefined|Infinity|\[object/)
    for (const table of tablesOf(document)) {
      expect(tableCsv(table).trimEnd().split('\n').length).toBeGreaterThan(table.rows.length)
      for (const row of table.rows) {
        expect(row).toHaveLength(table.columns.length)
        for (const cell of row) {
          const shown = [cell.content, ...(cell.under === undefined ? [] : [cell.under])].map(plainText)
          expect(expectedLines(cell, results[name])).toEqual(shown)
        }
      }
    }
  })

  it('has results that the published schema describes', () => {
    const file = resolve(import.meta.dirname, '../../docs/schema/results.schema.json')
    const schema = z.fromJSONSchema(JSON.parse(readFileSync(file, 'utf8')))
    const written: unknown = JSON.parse(resultsJson(results[name]!, 'study-group', '0.1.0'))
    expect(schema.safeParse(written).error?.issues.slice(0, 2)).toBeUndefined()
  })
})

describe('what the report says', () => {
  it('leads with the ratio, its interval and the sites that it rests on', () => {
    const [lead] = documentOf('settled').sections[0]!.blocks
    expect(lead).toMatchObject({ kind: 'paragraph', tone: 'lead' })
    const text = 'content' in lead! ? plainText(lead.content) : ''
    expect(text).toBe(
      'Rate of the endpoint with repeated in the window against single, clinics as strata: ratio 1.19; the data are compatible with ratios of 0.63 to 2.27. The comparison rests on 2 of 5 sites, with 400 restorations.',
    )
  })

  it('says that groups cannot be compared where no site shows them apart', () => {
    const text = documentMarkdown(documentOf('together'))
    expect(text).toContain('The two groups cannot be compared')
    expect(text).not.toContain('ratio not estimable')
  })

  it('says where rows were pooled, and where the hazard ratio waits', () => {
    expect(documentOf('rows').kicker).toBe('Study group: pooled from de-identified records')
    expect(documentMarkdown(documentOf('waiting'))).toContain('waits for the answers of sites')
    expect(documentMarkdown(documentOf('settled'))).not.toContain('waits for the answers of sites')
  })
})

describe('the page of a site', () => {
  it('shows the others only where they are two or more, and no name but its own', async () => {
    const summaries = (await sitesOf(await demoRows(agreed), agreed)).map(({ made }) => made.summary)
    const pages = siteComparisons(summaries, agreed.protocol).map((one) =>
      documentMarkdown(siteDocument(one, { date: '2026-01-31' })).replaceAll('\\', ''),
    )
    summaries.forEach(({ clinic }, i) => {
      expect(pages[i]).toContain(clinic)
      for (const other of summaries) if (other.clinic !== clinic) expect(pages[i]).not.toContain(other.clinic)
      expect(pages[i]).toContain('the others')
    })
    // Two of the five show their groups apart: for each of these there is only one other.
    const apart = summaries.filter(({ blocks }) => blocks[0]!.groups.length === 2)
    expect(apart).toHaveLength(2)
    for (const { clinic, own, others } of siteComparisons(summaries, agreed.protocol)) {
      const is = apart.some((one) => one.clinic === clinic)
      expect([own.rateRatio !== undefined, others!.rateRatio !== undefined]).toEqual([is, !is])
    }
    const [two] = siteComparisons(summaries.slice(0, 2), agreed.protocol)
    expect(two!.others).toBeUndefined()
    expect(documentMarkdown(siteDocument(two!, { date: '2026-01-31' }))).toContain(
      'fewer than two other sites',
    )
  })
})

describe('the figures', () => {
  const valuesOf = (chart: ChartSpecification, layer: string) =>
    chart.layer.filter(({ name }) => name?.startsWith(layer)).flatMap(({ data }) => data.values)

  it('draw one row for each site, both means and a new clinic', () => {
    const synthesis = results.many!.synthesis!
    const chart = forestChart(synthesis)
    expect(valuesOf(chart, 'interval')).toHaveLength(synthesis.sites.length + 3)
    const squares = valuesOf(chart, 'square').map(({ value }) => value)
    expect(squares).toEqual([
      ...synthesis.sites.map(({ ratio }) => ratio),
      synthesis.common.estimate,
      synthesis.random.estimate,
    ])
  })

  it('draw each site of the funnel by its standard error', () => {
    const { sites } = results.many!.synthesis!
    const drawn = valuesOf(siteFunnelChart(results.many!.synthesis!), 'site')
    expect(drawn).toEqual(sites.map(({ ratio, standardError }) => ({ ratio, error: standardError })))
  })

  it('draw the curve with events spread over time at risk', () => {
    const chart = pooledRetentionChart(results.settled!)
    const spread = results.settled!.byGroup[0]!.spread
    const shares = new Set(valuesOf(chart, 'curve').map(({ share }) => share))
    for (const { retention, meanAtRisk } of spread)
      if (meanAtRisk >= 10) expect(shares.has(retention as number)).toBe(true)
  })
})
