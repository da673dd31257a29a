import { describe, expect, test } from 'vitest'
import { attritionDiagram } from '../../src/charts/attritionDiagram.js'
import { completenessChart } from '../../src/charts/completenessChart.js'
import type { ChartLayer, ChartSpecification } from '../../src/charts/specification.js'
import { groupMark } from '../../src/charts/theme.js'
import { formatCount } from '../../src/core/format.js'
import { message } from '../../src/messages/message.js'
import { speaker } from '../../src/messages/speaker.js'
import { hazardRatioChart } from '../../src/questions/crudeComparison/chart.js'
import { incidenceChart } from '../../src/questions/incidence/chart.js'
import { retentionChart } from '../../src/questions/retention/chart.js'
import { fixtures } from '../documents/fixture.js'

const usual = fixtures.usual!()

function layers(chart: ChartSpecification, name: string): ChartLayer[] {
  return chart.layer.filter((layer) => layer.name?.replace(/_\d+$/, '') === name)
}

function texts(chart: ChartSpecification): string[] {
  return chart.layer.flatMap((layer) =>
    layer.data.values.flatMap((row) => (row.text === undefined ? [] : [String(row.text)])),
  )
}

describe('retention chart', () => {
  const groups = ['single', 'repeated in the window']
  const chart = retentionChart(usual.retention, { groups })

  test('draws the rows of the result as steps, from time 0 to the cut', () => {
    const curves = layers(chart, 'curve')
    expect(curves.map((layer) => layer.data.values[0]!.group)).toEqual(groups)
    for (const curve of curves) {
      const group = usual.retention.byGroup.find((one) => one.group === curve.data.values[0]!.group)!
      const drawn = curve.data.values
      expect(curve.mark).toMatchObject({ type: 'line', interpolate: 'step-after' })
      expect(drawn[0]).toMatchObject({ years: 0, share: 1 })
      expect(drawn.at(-1)!.years).toBe(group.cutAtYears)
      for (const point of drawn.slice(0, -1)) {
        const row = group.rows.find((one) => one.timeYears === point.years)!
        expect(point.share).toBe(row.retention)
      }
      const shownValues = new Set(drawn.map((point) => point.share))
      for (const row of group.rows) {
        if (row.timeYears < group.cutAtYears) expect(shownValues.has(row.retention)).toBe(true)
      }
    }
  })

  test('shows the limits of the result as bands', () => {
    const [band] = layers(chart, 'band')
    const group = usual.retention.byGroup[0]!
    for (const point of band!.data.values.slice(0, -1)) {
      const row = group.rows.find((one) => one.timeYears === point.years)!
      expect([point.share, point.upper]).toEqual([row.lower, row.upper])
    }
    expect(band!.encoding).toMatchObject({ y: { field: 'share' }, y2: { field: 'upper' } })
  })

  test('sets the numbers at risk under the ticks of the axis', () => {
    const rows = layers(chart, 'at_risk')
    const ticks = (rows[0]!.encoding.x!.axis as { values: number[] }).values
    expect(ticks).toEqual([...usual.retention.tickYears])
    rows.forEach((row, index) => {
      expect(row.data.values.map((cell) => cell.years)).toEqual(ticks)
      expect(row.data.values.map((cell) => cell.text)).toEqual(
        usual.retention.byGroup[index]!.atRiskAtTicks.map((count) => formatCount(count)),
      )
      expect(row.encoding.x).toEqual(layers(chart, 'curve')[0]!.encoding.x)
    })
  })

  test('drops the same ticks from axis and table where numbers would touch', () => {
    const narrow = retentionChart(usual.retention, { groups: ['all'], size: 'column' })
    const [row] = layers(narrow, 'at_risk')
    const ticks = (row!.encoding.x!.axis as { values: number[] }).values
    expect(row!.data.values.map((cell) => cell.years)).toEqual(ticks)
    expect(ticks.length).toBeLessThanOrEqual(usual.retention.tickYears.length)
  })

  test('marks the cut and says what the mark means', () => {
    expect(layers(chart, 'cut')).toHaveLength(2)
    expect(texts(chart)).toContain('A short bar ends a curve where fewer than 10 are at risk.')
  })

  test('says where the axis starts when it does not start at 0', () => {
    const [low] = layers(chart, 'curve')[0]!.encoding.y!.scale!.domain as number[]
    expect(low).toBeGreaterThan(0)
    expect(texts(chart)).toContain(`The vertical axis starts at ${Math.round(low! * 100)}%, not at 0.`)
    const common = retentionChart(fixtures['very common']!().retention)
    expect(layers(common, 'curve')[0]!.encoding.y!.scale!.domain).toEqual([0, 1])
    expect(texts(common).join()).not.toContain('axis starts')
  })

  test('gives each group its own colour and dash, and its name at the end of the curve', () => {
    for (const curve of layers(chart, 'curve')) {
      const mark = groupMark(String(curve.data.values[0]!.group))
      expect(curve.mark.color).toBe(mark.ink.light)
      expect(curve.mark.strokeDash).toEqual(mark.dash)
    }
    expect(texts(chart)).toEqual(expect.arrayContaining(['Single', 'Repeated in window']))
  })

  test('names the groups that are too small to draw', () => {
    const small = retentionChart(fixtures['one restoration']!().retention)
    expect(layers(small, 'curve')).toHaveLength(0)
    expect(texts(small).join(' ')).toContain('Too few at risk from the start')
    expect(texts(small).join(' ')).toContain(
      'Not drawn, since fewer than 10 are at risk from the start: Single.',
    )
  })

  test('tells the numbers in its text alternative', () => {
    expect(chart.description).toMatch(/Single \(640 restorations\): 1 year \d+\.\d% \(\d+\.\d% to \d+\.\d%\)/)
  })
})

describe('incidence chart', () => {
  const chart = incidenceChart(usual.retention, { groups: ['single'] })

  test('draws the cumulative incidence from 0 upwards, competing events beside it', () => {
    const [single, competing] = layers(chart, 'curve')
    expect(single!.encoding.y!.scale!.domain![0]).toBe(0)
    expect(single!.data.values[0]).toMatchObject({ years: 0, share: 0 })
    expect(competing!.data.values[0]!.group).toBe('competing')
    const last = usual.retention.overall.competingRows.filter(
      (row) => row.timeYears < usual.retention.overall.cutAtYears,
    )
    expect(competing!.data.values.at(-1)!.share).toBe(last.at(-1)!.risk)
    expect(texts(chart)).toContain('Cumulative incidence of first screw loosening')
  })

  test('leaves competing events out where there are none', () => {
    const none = incidenceChart(fixtures['no events']!().retention)
    expect(layers(none, 'curve').map((layer) => layer.data.values[0]!.group)).not.toContain('competing')
  })
})

describe('charts of the comparison', () => {
  const comparison = usual.comparison!

  test('show ratios on a logarithmic axis that holds every limit', () => {
    const chart = hazardRatioChart(comparison)
    const [interval] = layers(chart, 'interval')
    const scale = interval!.encoding.x!.scale!
    expect(scale.type).toBe('log')
    for (const { hazardRatio } of comparison.hazardRatios) {
      expect(hazardRatio.interval.lower).toBeGreaterThanOrEqual(Number(scale.domain![0]))
      expect(hazardRatio.interval.upper).toBeLessThanOrEqual(Number(scale.domain![1]))
    }
    expect(layers(chart, 'alike')[0]!.data.values[0]!.value).toBe(1)
  })

  test('show an unbounded limit as an arrow and an absent estimate in words', () => {
    const chart = hazardRatioChart(fixtures['no events in one group']!().comparison!)
    expect(layers(chart, 'square')).toHaveLength(0)
    expect(layers(chart, 'triangle_left')).toHaveLength(2)
    expect(texts(chart).join('|')).toContain('not estimable')
    expect(texts(chart)).toContain('An arrow shows that a limit lies outside the figure.')
  })

  test('draw nothing but words where nothing can be estimated', () => {
    const nothing = fixtures['nothing estimable']!().comparison!
    for (const chart of [hazardRatioChart(nothing)]) {
      expect(layers(chart, 'interval')).toHaveLength(0)
      expect(JSON.stringify(chart)).not.toMatch(/NaN|Infinity/)
    }
  })
})

describe('attrition diagram', () => {
  test('shows every step that left something out, and what remained', () => {
    const shown = texts(attritionDiagram(usual.summary)).join('|')
    expect(shown).toContain('Left out: 79')
    for (const step of usual.summary.attrition.steps) {
      const reason = speaker().text(message(`left-out.${step.code}`))
      expect(shown.includes(reason.split(':')[0]!.split(' ')[0]!)).toBe(step.leftOut > 0)
    }
    expect(shown).toContain(`Restorations in the cohort: ${formatCount(usual.summary.attrition.included)}`)
  })
})

describe('completeness chart', () => {
  test('has a bar for each incomplete field, least complete first', () => {
    const chart = completenessChart(usual.summary.quality.completeness)
    const [bars] = layers(chart, 'known')
    const shares = bars!.data.values.map((row) => Number(row.known))
    expect(shares).toEqual([...shares].sort((a, b) => a - b))
    const incomplete = usual.summary.quality.completeness.filter((field) => field.unknown > 0)
    expect(shares).toHaveLength(incomplete.length)
    expect(chart.description).toContain('tightenings: device_last_calibration_date: 0.0% of 2,402')
  })
})

describe('every chart', () => {
  const all = (generated: boolean): ChartSpecification[] => [
    retentionChart(usual.retention, { generated }),
    incidenceChart(usual.retention, { generated, size: 'column' }),
    hazardRatioChart(usual.comparison!, { generated, size: 'screen' }),
    attritionDiagram(usual.summary, { generated }),
    completenessChart(usual.summary.quality.completeness, { generated }),
  ]

  test('says that generated data are generated, and only these', () => {
    const words = 'Generated demonstration data: no real patients'
    for (const chart of all(true)) expect(texts(chart)).toContain(words)
    for (const chart of all(false)) expect(texts(chart)).not.toContain(words)
  })

  test('has exactly the width of its size', () => {
    for (const chart of all(false)) {
      const width = chart.width + chart.padding.left + chart.padding.right
      expect([340, 718, 960]).toContain(Math.round(width))
    }
  })

  test('leaves its input as it was (inputs are frozen) and is the same when drawn again', () => {
    expect(JSON.stringify(all(true))).toBe(JSON.stringify(all(true)))
  })
})

describe('direct labels', () => {
  test('every curve carries its name at its end, in its own ink; no chart of curves has a legend', () => {
    for (const size of ['page', 'column'] as const) {
      for (const chart of [
        retentionChart(usual.retention, { size }),
        incidenceChart(usual.retention, { size }),
      ]) {
        expect(layers(chart, 'swatch')).toEqual([])
        expect(JSON.stringify(chart)).not.toContain('legend')
        for (const curve of layers(chart, 'curve')) {
          const named = chart.layer.filter(
            ({ mark, encoding, data }) =>
              mark.type === 'text' &&
              mark.color === curve.mark.color &&
              encoding.x?.field === 'x' &&
              data.values.some(({ x }) => Number(x) > chart.width),
          )
          expect(named.length, String(curve.data.values[0]?.group)).toBeGreaterThan(0)
        }
      }
    }
  })
})
