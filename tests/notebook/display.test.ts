import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parse } from 'csv-parse/sync'
import { beforeAll, describe, expect, it } from 'vitest'
import { notEstimable, warning } from '../../src/core/estimate.js'
import {
  auditCohort,
  buildCohort,
  type Cohort,
  clinicFunnel,
  exampleProtocol,
  hazardOverTime,
  incidence,
  lifeTableByYear,
  literature,
  playStudyGroup,
  protocolChange,
  readProtocol,
  readRecords,
  repeats,
  retention,
  retentionChart,
  saveChart,
  waitTime,
  watchPractice,
  whatElseMatters,
  whatIsNeeded,
} from '../../src/index.js'
import { sectionBundle } from '../../src/notebook/auditSections.js'
import { plainTables } from '../../src/notebook/plainTables.js'
import { blocksOf, isGenerated } from '../../src/notebook/valueBlocks.js'
import { bundleOf } from '../../src/notebook/valueDisplay.js'
import { shown } from '../../src/notebook/valueTable.js'
import { compareTightenings } from '../../src/questions/comparison/answer.js'
import { defaultPlan } from '../../src/questions/plan/planFile.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { kaplanMeier, propensityWeights, proportion } from '../../src/statistics/index.js'

const demo = join(import.meta.dirname, '../../data-demo')
let records: Awaited<ReturnType<typeof readRecords>>
let cohort: Cohort
beforeAll(async () => {
  records = await readRecords(demo, { today: 20_700 })
  cohort = buildCohort(records)
})

async function textOf(value: object): Promise<string> {
  return String((await bundleOf(value))?.['text/plain'])
}

async function htmlOf(value: object): Promise<string> {
  return String((await bundleOf(value))?.['text/html'])
}

describe('what a cell shows of a value', () => {
  it('names for every finding the file, the rows and the mend', async () => {
    const text = await textOf(records)
    expect(text).toMatch(/restorations +1,227 +4\n/)
    expect(text).toMatch(
      /The date lies before .*\(visits\.csv, visit_date\) +set aside .*Correct one of the two dates.* 3 \(425, 2787, 3728\)\n/,
    )
  })

  it('shows what else matters as ratios and sites, and what was left out', async () => {
    const text = await textOf(whatElseMatters(cohort))
    expect(text).toMatch(
      /Bruxism: probable against none +1\.73 \(0\.85 to 3\.55\) +1\.75 \(0\.89 to 3\.42\) +93 +10\n/,
    )
    expect(text).toContain(
      'Component system is not in the model: too few events or restorations for one more.',
    )
    expect(text).toMatch(/Upper molar +11\.2% \(7\.0% to 16\.5%\) +213 +194 +21\n/)
  })

  it('shows what is needed, and what was watched, as their pages say it, marked as generated', async () => {
    for (const [value, words, tables] of [
      [whatIsNeeded(cohort), 'Look again in about', 'Years and restorations until each is reached'],
      [watchPractice(cohort), 'were found where', 'Torque devices, by the instrument that read them'],
    ] as const) {
      expect(await textOf(value)).toContain(words)
      const html = await htmlOf(value)
      for (const part of [words, tables, 'class="generated"', '<svg']) expect(html).toContain(part)
    }
  })

  it('shows a question that was asked by itself word for word as the report has it', async () => {
    const audit = auditCohort(cohort, { ...defaultSettings, detail: 'full' })
    const alone = [
      ['wait', waitTime(cohort)],
      ['hazard', hazardOverTime(cohort)],
      ['repeats', repeats(cohort)],
      ['clinics', clinicFunnel(cohort)],
      ['protocol-change', protocolChange(cohort)],
      ['literature', literature(cohort)],
    ] as const
    for (const [section, result] of alone) {
      const said = String((await sectionBundle(audit, section))!['text/plain'])
      expect(said.length).toBeGreaterThan(40)
      expect(await textOf(result!)).toBe(said)
      const html = await htmlOf(result!)
      for (const part of ['class="generated"', '<table']) expect(html).toContain(part)
    }
    expect(await htmlOf(lifeTableByYear(cohort))).toContain('Free of it at the end')
    const blocks = await blocksOf(repeats(cohort)!)
    expect(blocks?.[0]).toEqual({ kind: 'heading', text: 'Again: counting every time' })
    expect(isGenerated(repeats(cohort)!)).toBe(true)
    // What was read from a file was not answered here: it is shown as the plain tables that it is.
    expect(await textOf(structuredClone(repeats(cohort)!))).not.toContain('counting every time')
  })

  it('shows the weighted risks of a comparison', async () => {
    const text = await textOf(compareTightenings(cohort, defaultPlan)!)
    expect(text).toMatch(/^Repeated in the window against single: weighted risks, with 95% intervals\n/)
    expect(text).toMatch(/3 years +\d+\.\d% \(\d+\.\d% to \d+\.\d%\)/)
    expect(text).toContain('What may be said: open. The interval holds zero:')
  })

  it('counts groups of fewer than five restorations only', async () => {
    const text = await textOf(incidence(cohort))
    expect(text).toMatch(/Other handling +1 +0 +– +–/)
    expect(text).toContain('Groups of fewer than 5 restorations are counted only.')
  })

  it('says of a section that few events leave silent that it is, and knows no other', async () => {
    const few = auditCohort(cohort.where({ clinic_id: 'clinic_A', tooth_position: [36, 37] }))
    expect(few.incidence.overall.events).toBeLessThan(10)
    const silent = String((await sectionBundle(few, 'overturn'))!['text/plain'])
    expect(silent).toMatch(
      /^(No event was|\d events? (was|were)) seen; below 10 nothing is said under this heading\.$/,
    )
    expect(await sectionBundle(few, 'overturned')).toBeUndefined()
  })

  it('keeps estimate and interval each on one line, and escapes what the data hold', async () => {
    const html = await htmlOf(incidence(cohort))
    expect(html).toContain('(6.2%\u00a0to\u00a010.1%)')
    const rows = Object.freeze([Object.freeze({ label: '<img src=x onerror=alert(1)>', n: 3 })])
    expect(await htmlOf(rows)).toContain('&lt;img src=x')
  })
})

describe('a chart in a cell', () => {
  it('is interactive where the front end can, a picture everywhere, and words', async () => {
    const kept = retention(cohort)
    const chart = retentionChart(kept, { groups: ['single'] })
    const bundle = (await bundleOf(chart))!
    expect(Object.keys(bundle)).toEqual(['application/vnd.vegalite.v5+json', 'image/svg+xml', 'text/plain'])
    expect(bundle['application/vnd.vegalite.v5+json']).toEqual({
      ...chart,
      $schema: 'https://vega.github.io/schema/vega-lite/v5.json',
    })
    const [readings] = chart.layer.filter(({ encoding }) => encoding.tooltip !== undefined)
    expect(readings!.data.values[0]!.reading).toMatch(/^Single, 0\.0 years\n100\.0% \(.*\)\nAt risk: \d+$/)
  })

  it('can be taken as SVG, PNG, data and specification', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'chart-'))
    const kept = retention(cohort)
    const chart = retentionChart(kept, { groups: ['all'] })
    const files = await saveChart(chart, join(folder, 'figures/retention'))
    expect(files.map((file) => file.slice(folder.length))).toEqual(
      ['svg', 'png', 'csv', 'vl.json'].map((ending) => `/figures/retention.${ending}`),
    )
    const [svg, png, csv, json] = files.map((file) => readFileSync(file))
    expect(svg!.toString()).toMatch(/^<svg/)
    expect(png!.subarray(1, 4).toString()).toBe('PNG')
    expect(JSON.parse(json!.toString())).toEqual(JSON.parse(JSON.stringify(chart)))
    const curve = parse(csv!.toString(), { columns: true }) as readonly Record<string, string>[]
    const shares = curve.filter(({ layer }) => layer === 'curve').map(({ share }) => Number(share))
    expect(shares[0]).toBe(1)
    const known = new Set(kept.overall.rows.map((row) => row.retention))
    expect(shares.every((share) => known.has(share))).toBe(true)
    expect(curve.some(({ layer }) => layer === 'text' || layer === 'frame')).toBe(false)
    rmSync(folder, { recursive: true, force: true })
  }, 120_000)
})

describe('plainTables', () => {
  it('shows any result: single values by name, lists of rows as tables, states in words', () => {
    const curve = kaplanMeier([1, 2, 3], [1, 0, 1])
    const [single, rows] = plainTables(curve)!
    expect(single!.rows).toContainEqual(['Events', '2'])
    expect(rows!.title).toBe('Rows')
    expect(rows!.columns).toEqual(expect.arrayContaining(['At risk', 'Survival', 'Standard error']))
    expect(rows!.rows[1]!.map(shown)).toEqual(expect.arrayContaining(['1', '3', '0.6667']))
    expect(rows!.rows[3]!.map(shown)).toEqual(
      expect.arrayContaining(['not estimable: the curve has reached zero']),
    )
  })

  it('words the name of a method, in a sentence, in a table, and by itself', async () => {
    const curve = kaplanMeier([1, 2, 3], [1, 0, 1])
    const words = 'product-limit, Greenwood variance, log-log interval'
    expect(plainTables(curve)![0]!.rows).toContainEqual(['Method', words])
    expect(await textOf(curve.method)).toBe(words)
    expect(await textOf(proportion(3, 10))).toContain('Wilson score')
    const weights = propensityWeights([1, 0, 1, 0], [0.5, 0.5, 0.8, 0.2], { truncateAt: 0.75 })
    expect(plainTables(weights)![0]!.rows).toContainEqual([
      'Method',
      'propensity weights, average, truncated at quantile 0.75',
    ])
    // A list of a cell's own is no name of a method, and neither is a text.
    expect(await bundleOf(['product-limit'])).toBeUndefined()
    expect(plainTables(Object.freeze({ method: 'by hand' }))![0]!.rows).toEqual([['Method', 'by hand']])
    expect(plainTables(Object.freeze({ method: ['by hand'] }))![0]!.rows).toEqual([['Method', 'by hand']])
  })

  it('words warnings and reasons of estimators', () => {
    const [warned] = plainTables(
      Object.freeze({
        n: 2,
        warnings: [warning('few-pairs', { pairs: 12 })],
        sigma: notEstimable('one-cluster'),
      }),
    )!
    expect(warned!.rows.map((row) => row.map(shown))).toEqual([
      ['N', '2'],
      ['Warnings', '12 independent pairs: limits of agreement are known poorly below 30.'],
      ['Sigma', 'not estimable: there is only one cluster'],
    ])
  })

  it('gives lists inside rows a table of their own, that repeats what the row is called', () => {
    const nested = Object.freeze({
      rule: { from: 10, to: 15 },
      groups: [
        {
          group: 'a',
          years: [
            { at: 1, risk: 0.1 },
            { at: 3, risk: 0.2 },
          ],
        },
        { group: 'b', years: [] },
      ],
    })
    const [single, groups, years] = plainTables(nested)!
    expect(single!.rows).toEqual([
      ['Rule: from', '10'],
      ['Rule: to', '15'],
    ])
    expect(groups!.rows).toEqual([
      ['a', '–'],
      ['b', 'none'],
    ])
    expect(years).toMatchObject({
      title: 'Years',
      columns: ['Group', 'At', 'Risk'],
      rows: [
        ['a', '1', '0.1'],
        ['a', '3', '0.2'],
      ],
    })
  })

  it('leaves values of the user as they are, and shortens what is long', () => {
    expect(plainTables({ a: 1 })).toBeUndefined()
    expect(plainTables([1, 2])).toBeUndefined()
    expect(plainTables(Object.freeze([1, 2]))).toBeUndefined()
    expect(plainTables(Object.freeze(new Map()))).toBeUndefined()
    const many = Object.freeze(Array.from({ length: 40 }, (_one, i) => ({ i, text: 'a'.repeat(300) })))
    const [table] = plainTables(many)!
    expect(table!.rows).toHaveLength(30)
    expect(table!.rows[0]![1]).toHaveLength(161)
    expect(table!.notes).toEqual(['The first 30 of 40 rows are shown.'])
  })
})

describe('a study group in a notebook', () => {
  const agreed = readProtocol(
    JSON.stringify({ ...exampleProtocol, release: { from: null, cutoff: '2025-06-30' } }),
  )

  it('plays the group through: masked answers, and nothing readable but their sum', async () => {
    const group = playStudyGroup(records, agreed, { date: '2026-01-31' })!
    expect(group.list.sites.map(({ name }) => name).sort()).toEqual([
      'clinic_A',
      'clinic_B',
      'clinic_C',
      'clinic_D',
      'clinic_E',
    ])
    expect(group.code).toMatch(/^(\d{4} ){5}\d{4}$/)
    const text = await textOf(group.pooled)
    expect(text).toContain('5 practices pooled')
    expect(text).toMatch(/Ratio of hazards, clinics as strata +\d\.\d\d \(/)
    expect(text).toMatch(/allowing for practices that differ +– \(fewer than 6 practices\)/)
    // Keys and masks are random letters: an id counts where it stands by itself, not within them.
    expect(JSON.stringify(group.answers)).not.toMatch(/(?<![\w+/=-])(?:P\d{4}(?:R\d+)?|R\d+)(?![\w+/=-])/)
  })

  it('makes no group of fewer than three clinics', () => {
    const only = { ...exampleProtocol, groups: { against: 'other', group: 'unknown' } } as const
    const strict = readProtocol(JSON.stringify({ ...only, release: { from: null, cutoff: '2019-06-30' } }))
    expect(playStudyGroup(records, strict, { date: '2026-01-31' })).toBeUndefined()
  })
})

describe('a report written from a notebook', () => {
  it('is written by a process of its own, whose refusals come back in their own words', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'report-'))
    writeFileSync(join(folder, 'mine.txt'), 'kept')
    const { writeReport } = await import('../../dist/index.js')
    const audit = auditCohort(cohort)
    await expect(writeReport(audit, { outDir: folder, date: '2026-01-31' })).rejects.toMatchObject({
      name: 'UsageError',
      code: 'folder-in-use',
    })
    expect(readdirSync(folder)).toEqual(['mine.txt'])
    const { files, htmlPath } = await writeReport(audit, { outDir: join(folder, 'new'), date: '2026-01-31' })
    expect(files).toContain('results.json')
    expect(readFileSync(htmlPath, 'utf8')).toContain('31 January 2026')
    rmSync(folder, { recursive: true, force: true })
  }, 120_000)
})
