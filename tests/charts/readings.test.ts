import { describe, expect, test } from 'vitest'
import { attritionDiagram } from '../../src/charts/attritionDiagram.js'
import { completenessChart } from '../../src/charts/completenessChart.js'
import type { ChartReading } from '../../src/charts/render.js'
import { drawChart } from '../../src/charts/render.js'
import type { ChartSpecification } from '../../src/charts/specification.js'
import { figureMeasures } from '../../src/charts/theme.js'
import { buildCohort } from '../../src/cohort/cohort.js'
import { formatCount, formatNumber, formatPercent, formatRate, formatRatio } from '../../src/core/format.js'
import { formatInterval } from '../../src/messages/intervals.js'
import { clinicFunnel } from '../../src/questions/clinicFunnel/answer.js'
import { funnelChart } from '../../src/questions/clinicFunnel/chart.js'
import { hazardRatioChart } from '../../src/questions/crudeComparison/chart.js'
import { hazardChart } from '../../src/questions/hazardOverTime/chart.js'
import { incidenceChart } from '../../src/questions/incidence/chart.js'
import { repeatsChart } from '../../src/questions/repeats/chart.js'
import { retentionChart } from '../../src/questions/retention/chart.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { everyAnalysis } from '../documents/everyAnalysis.js'
import { fixtures } from '../documents/fixture.js'

const usual = fixtures.usual!()
const single = usual.retention.byGroup.find(({ group }) => group === 'single')!

function layersOf(readings: readonly ChartReading[]): string[][] {
  const layers: string[][] = []
  for (const { layer, text } of readings) {
    layers[layer] ??= []
    layers[layer].push(text)
  }
  return layers
}

describe('what is read off a curve', () => {
  test('at each tick: the value of the last step, its interval, and the number at risk under the axis', async () => {
    const { readings } = await drawChart(retentionChart(usual.retention, { groups: ['single'] }))
    const texts = readings.map(({ text }) => text)
    const ticks = usual.retention.tickYears.filter((years) => years <= single.cutAtYears)
    expect(ticks.length).toBeGreaterThan(4)
    ticks.forEach((years, index) => {
      const row = single.rows.filter((one) => one.timeYears <= years).at(-1)!
      expect(texts).toContain(
        `Single, ${years}.0 years\n${formatPercent(row.retention)} (${formatInterval(row, formatPercent)})\n` +
          `At risk: ${formatCount(single.atRiskAtTicks[index]!)}`,
      )
    })
  })

  test('between the ticks: steps of the result, in order, never closer than they can be pointed at', async () => {
    const { readings } = await drawChart(
      incidenceChart(usual.retention, { groups: ['single'], competing: false }),
    )
    const values = new Set(single.incidenceRows.map(({ risk }) => formatPercent(risk)))
    const shown = readings.map(({ text }) => text.split('\n')[1]!.split(' ')[0]!)
    expect(shown.every((value) => values.has(value))).toBe(true)
    expect(new Set(shown).size).toBeGreaterThan(20)
    const places = readings.map(({ left }) => left)
    expect(places.slice(1).every((place, index) => place - places[index]! >= 3)).toBe(true)
  })

  test('stands on the curve: the later, the lower the share that is free', async () => {
    const { readings } = await drawChart(retentionChart(usual.retention, { groups: ['single'] }))
    const middles = readings.map(({ top, bottom }) => (top + bottom) / 2)
    expect(middles.slice(1).every((middle, index) => middle >= middles[index]!)).toBe(true)
    expect(middles.at(-1)! - middles[0]!).toBeGreaterThan(40)
  })

  test('is kept apart by curve, and adds nothing to the picture', async () => {
    const { readings, svg } = await drawChart(retentionChart(usual.retention))
    const names = layersOf(readings).map((texts) => new Set(texts.map((text) => text.split(', ')[0])))
    expect(names.every((one) => one.size === 1)).toBe(true)
    expect(names.length).toBe(usual.retention.byGroup.length)
    expect(svg).not.toContain(' opacity="0"')
    expect(svg).not.toContain('At risk: ')
  })
})

describe('what is read off rows', () => {
  test('a ratio', async () => {
    const { readings } = await drawChart(hazardRatioChart(usual.comparison!))
    const estimates = usual.comparison!.hazardRatios.map(({ hazardRatio }) => hazardRatio.estimate as number)
    estimates.forEach((estimate, index) => {
      expect(readings[index]!.text).toContain(formatRatio(estimate))
    })
  })

  test('how complete a field is', async () => {
    const { readings } = await drawChart(completenessChart(usual.summary.quality.completeness))
    const partial = usual.summary.quality.completeness.filter(
      ({ unknown, known }) => unknown > 0 && known > 0,
    )
    expect(readings.length).toBeGreaterThanOrEqual(partial.length)
  })

  test('nothing off a diagram whose numbers all stand in words', async () => {
    expect((await drawChart(attritionDiagram(usual.summary))).readings).toEqual([])
  })
})

test.each(Object.keys(fixtures))(
  'readings of %s lie in the picture and hold no number that is none',
  async (name) => {
    const audit = fixtures[name]!()
    for (const size of ['page', 'column'] as const) {
      const { readings } = await drawChart(retentionChart(audit.retention, { size }))
      for (const { left, top, right, bottom, text } of readings) {
        expect(text).not.toMatch(/NaN|undefined|Infinity|\[object|null/)
        expect(left).toBeGreaterThanOrEqual(0)
        expect(top).toBeGreaterThanOrEqual(0)
        expect(right).toBeLessThanOrEqual(figureMeasures[size].widthPx)
        expect(bottom).toBeGreaterThan(top)
      }
    }
  },
)

describe('what is read off the charts of every analysis', () => {
  const audit = everyAnalysis()

  test('the smoothed hazard, counting every time, and clinics: numbers of the result', async () => {
    const read = async (chart: ChartSpecification): Promise<string> =>
      (await drawChart(chart)).readings.map(({ text }) => text).join('\n\n')
    const { hazardOverTime: hazard, repeats } = audit
    const curve = hazard!.groups.find((group) => group.curve !== undefined)!.curve!
    const top = curve.points[0]!
    expect(await read(hazardChart(hazard!))).toContain(
      `${formatNumber(top.years, 1)} years\n${formatRate(top.per100Years)} (${formatInterval(top, formatRate)})`,
    )
    const step = repeats!.byGroup[0]!.steps.at(-1)!
    expect(await read(repeatsChart(repeats!))).toContain(`\n${formatNumber(100 * step.meanCount, 1)} (`)
    const cohort = buildCohort(await readRecords('data-demo', { today: 20_600 }))
    const funnel = clinicFunnel(cohort)!
    const told = await read(funnelChart(funnel))
    expect(funnel.clinics.length).toBeGreaterThan(1)
    for (const { clinic, events, expected, ratio } of funnel.clinics) {
      const counted = `${events} ${events === 1 ? 'event' : 'events'}, ${formatNumber(expected, 1)} expected`
      expect(told).toContain(`${clinic}\n${counted}\nRatio ${formatRatio(ratio)}`)
    }
  })
})
