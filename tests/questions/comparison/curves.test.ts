import { expect, test } from 'vitest'
import { isNumber } from '../../../src/core/estimate.js'
import { curvesChart } from '../../../src/questions/comparison/chart.js'
import { everyAnalysis } from '../../documents/everyAnalysis.js'

interface Layer {
  readonly name?: string
  readonly data?: { readonly values: readonly Record<string, number | string>[] }
}

/** Layers of a name, at any depth. */
function layersNamed(one: unknown, name: string): readonly Layer[] {
  if (typeof one !== 'object' || one === null) return []
  const inside = Object.values(one).flatMap((value) => layersNamed(value, name))
  return new RegExp(`^${name}_\\d+$`).test((one as Layer).name ?? '') ? [one as Layer, ...inside] : inside
}

test('the intervals drawn beside the weighted curves are those of the table of risks, and lie on the curves', () => {
  const audit = everyAnalysis()
  const { tightening, definition, settings } = audit
  const { arms, curves, groups } = tightening!
  expect(arms.length).toBeGreaterThan(1)
  for (const size of ['page', 'column'] as const) {
    const chart = curvesChart(tightening!, { definition, settings, answers: {} }, { size })
    const bars = layersNamed(chart, 'bars').flatMap(({ data }) => data!.values)
    expect(bars).toHaveLength(2 * arms.length)
    for (const arm of arms)
      for (const side of ['group', 'against'] as const) {
        const bar = bars.find(
          ({ group, years }) => group === groups[side] && Math.abs(Number(years) - arm.years) < 0.1,
        )!
        expect([bar.lower, bar.upper]).toEqual([arm[side].lower, arm[side].upper])
        const point = curves
          .find((curve) => curve.side === side)!
          .points.find(({ years }) => years === arm.years)
        expect(isNumber(point!.risk)).toBe(true)
        expect(bar.share).toBeCloseTo(point!.risk, 10)
      }
  }
})
