import { describe, expect, test } from 'vitest'
import { fairComparison } from '../../src/analysis/fairComparison.js'
import { parsePlan } from '../../src/analysis/planFile.js'
import { plannedSettings } from '../../src/analysis/settings.js'
import { balancePlot } from '../../src/charts/balancePlot.js'
import { overlapPlot } from '../../src/charts/overlapPlot.js'
import type { ChartLayer, ChartSpecification } from '../../src/charts/specification.js'
import { specificationPlot, variantsOfKind } from '../../src/charts/specificationPlot.js'
import { groupMark, neutralInk } from '../../src/charts/theme.js'
import { assumptionWords, scaleNames, variantName } from '../../src/charts/variantWords.js'
import { buildCohort } from '../../src/cohort/cohort.js'
import { randomStream } from '../../src/core/random.js'
import { fairScenarios } from '../../src/verification/simulation/fairScenarios.js'
import { simulatedPractice } from '../../src/verification/simulation/simulatedPractice.js'

const plan = parsePlan(
  '{"written": "2026-01-05", "sensitivity": ["last-contact", "equal-follow-up", "later-tightening", "period-categories", "first-years-left-out", "lost-to-follow-up", "misclassification", "immortal-time"]}',
)
const scenario = fairScenarios.find(({ name }) => name === 'immortal time')!
const cohort = buildCohort(simulatedPractice(scenario, randomStream(31)))
const fair = fairComparison(cohort, { ...plannedSettings(plan), detail: 'full' })!

function layers(chart: ChartSpecification, name: string): ChartLayer[] {
  return chart.layer.filter((layer) => layer.name?.replace(/_\d+$/, '') === name)
}

function texts(chart: ChartSpecification): string[] {
  return chart.layer.flatMap((layer) =>
    layer.data.values.flatMap((row) => (row.text === undefined ? [] : [String(row.text)])),
  )
}

describe('the plot of all variants', () => {
  test('draws each difference of risks with its interval, the lead first and in the colour of the group', () => {
    const variants = variantsOfKind(fair, 'difference')
    expect(variants[0]!.key).toBe(fair.lead.variant)
    expect(variants).toHaveLength(fair.variants.filter(({ scale }) => scale === 'risk-difference').length)
    const chart = specificationPlot(fair)
    const estimable = variants.filter(({ contrast }) => typeof contrast.estimate === 'number')
    expect(layers(chart, 'square').map((layer) => layer.data.values[0]!.value)).toEqual(
      estimable.map(({ contrast }) => contrast.estimate),
    )
    const [lead, next] = layers(chart, 'interval')
    expect(lead!.mark.color).toBe(groupMark(fair.group).ink.light)
    expect(next!.mark.color).toBe(neutralInk.quiet.light)
    expect(lead!.data.values[0]).toMatchObject({
      value: fair.lead.contrast.interval.lower,
      upper: fair.lead.contrast.interval.upper,
    })
    expect(texts(chart).join(' ')).toContain('Leads: doubly robust, in all')
  })

  test('shows what is wrong on purpose last among the ratios, with an open mark', () => {
    const variants = variantsOfKind(fair, 'ratio')
    expect(variants.at(-1)!.key).toBe('immortal-time-wrong')
    const chart = specificationPlot(fair, { kind: 'ratio' })
    const points = layers(chart, 'square')
    expect(points.at(-1)!.mark.fill).toBe(neutralInk.surface.light)
    expect(points[0]!.mark.fill).not.toBe(neutralInk.surface.light)
    expect(layers(chart, 'interval')[0]!.encoding.x!.scale!.type).toBe('log')
  })

  test('lets nothing lead where nothing can be known', () => {
    const sparse = { ...fair, lead: { ...fair.lead, kind: 'cannot-be-known' as const } }
    expect(texts(specificationPlot(sparse)).join(' ')).not.toContain('Leads')
  })

  test('has a name in words for every variant, scale and assumption that occurs', () => {
    for (const { key, scale, assumes } of fair.variants) {
      expect(variantName(key)).not.toBe(key)
      expect(scaleNames[scale]).toMatch(/[a-z]/)
      for (const assumption of assumes) expect(assumptionWords[assumption]).toMatch(/[a-z]/)
    }
  })

  test('tells every number in its text alternative, also where one column has no room for them', () => {
    const { description } = specificationPlot(fair, { size: 'column' })
    expect(description).toMatch(/Leads: doubly robust, in all: [−+]?\d+\.\d \([−+]?\d+\.\d to [−+]?\d+\.\d\)/)
    expect(description.split('. ').length).toBeGreaterThan(10)
  })
})

describe('the balance plot', () => {
  const balance = fair.who.balance!
  const chart = balancePlot(balance)

  test('draws the size of each difference before and after weighting, against 0.1', () => {
    const drawn = (when: string) => layers(chart, when).map((layer) => layer.data.values[0]!.value)
    const size = (when: 'before' | 'after') =>
      balance.rows.map((row) => Math.abs(row[when].standardisedDifference as number))
    expect(drawn('before')).toEqual(size('before'))
    expect(drawn('after')).toEqual(size('after'))
    expect(layers(chart, 'threshold')[0]!.data.values[0]!.value).toBe(0.1)
    expect(layers(chart, 'before')[0]!.mark.shape).not.toBe(layers(chart, 'after')[0]!.mark.shape)
    expect(texts(chart)).toContain('Region of the mouth: molar')
  })

  test('shows a difference beyond the axis as an arrow, and says so', () => {
    const [first, ...rest] = balance.rows
    const far = {
      ...balance,
      rows: [{ ...first!, before: { ...first!.before, standardisedDifference: 3 } }, ...rest],
    }
    const [mark] = layers(balancePlot(far), 'before')
    expect(mark!.mark.shape).toBe('triangle-right')
    expect(mark!.data.values[0]!.value).toBeLessThanOrEqual(1)
    expect(texts(balancePlot(far)).join(' ')).toContain('An arrow shows a difference that is larger')
  })

  test('draws no mark where a difference cannot be had', () => {
    const [first] = balance.rows
    const none = { state: 'not-estimable' as const, reason: 'each group is all alike, and they differ' }
    const one = {
      ...balance,
      rows: [{ ...first!, before: { ...first!.before, standardisedDifference: none } }],
    }
    expect(layers(balancePlot(one), 'before')).toHaveLength(0)
    expect(balancePlot(one).description).toContain('not comparable')
  })
})

describe('the overlap plot', () => {
  const names = { group: fair.group, against: fair.against }
  const cells = [
    { clinic: 'A', operator: 'A1', year: 2016, group: 4, against: 8 },
    { clinic: 'A', operator: 'A1', year: 2017, group: 3, against: 0 },
    { clinic: 'A', operator: 'A2', year: 2016, group: 0, against: 2 },
  ]
  const chart = overlapPlot(cells, names)

  test('has a bar for each group in each cell, in proportion, and shades what is shared', () => {
    const lengths = (name: string) =>
      layers(chart, name)[0]!.data.values.map((row) => Number(row.right) - Number(row.left))
    const [group, comparator] = [lengths('group'), lengths('comparator')]
    expect(group[0]! / comparator[0]!).toBeCloseTo(4 / 8, 10)
    expect(group[1]! / comparator[0]!).toBeCloseTo(3 / 8, 10)
    expect(comparator[1]! / comparator[0]!).toBeCloseTo(2 / 8, 10)
    expect(layers(chart, 'shared')[0]!.data.values).toHaveLength(1)
    expect(texts(chart)).toEqual(expect.arrayContaining(['A · A1', 'A · A2', '2016', '2017']))
    expect(texts(chart)).toContain('The longest bar is 8 restorations.')
  })

  test('puts operators together by clinic where there are many', () => {
    const many = Array.from({ length: 40 }, (_one, i) => ({
      clinic: i < 20 ? 'A' : 'B',
      operator: `O${i}`,
      year: 2016,
      group: 1,
      against: 1,
    }))
    const byClinic = overlapPlot(many, names)
    expect(layers(byClinic, 'group')[0]!.data.values).toHaveLength(2)
    expect(texts(byClinic).join(' ')).toContain('put together by clinic')
  })

  test('names a year that is not known, and survives hostile names', () => {
    const odd = overlapPlot([{ ...cells[0]!, clinic: 'A\u202eB', year: 0 }], names)
    expect(texts(odd)).toContain('?')
    expect(JSON.stringify(odd)).not.toContain('\u202e')
  })
})

describe('every chart of the fair comparison', () => {
  test('has the width of its size and says that generated data are generated', () => {
    for (const size of ['column', 'page', 'screen'] as const) {
      const options = { size, generated: true }
      for (const chart of [
        specificationPlot(fair, options),
        specificationPlot(fair, { ...options, kind: 'ratio' }),
        balancePlot(fair.who.balance!, options),
        overlapPlot(fair.who.cells, { ...options, group: fair.group, against: fair.against }),
      ]) {
        expect([340, 718, 960]).toContain(Math.round(chart.width + chart.padding.left + chart.padding.right))
        expect(texts(chart)).toContain('Generated demonstration data: no real patients')
        expect(/NaN|Infinity/.test(JSON.stringify(chart))).toBe(false)
      }
    }
  })
})
