import { isNumber, type Quantity } from '../core/estimate.js'
import { formatNumber } from '../core/format.js'
import { message } from '../messages/message.js'
import type { Speaker } from '../messages/speaker.js'
import type { Curve, CurveLayout, CurvePlot, CurvePoint } from './curveLayout.js'
import { intervalText } from './estimateWords.js'
import type { ChartLayer } from './specification.js'
import { markReading, withInterval } from './words.js'

/** Nearest that two points to be read may lie along the axis, so that each can be pointed at. */
const spacingPx = 4

interface ReadPoint {
  readonly years: number
  readonly value: number
  readonly lower: Quantity
  readonly upper: Quantity
  readonly atRisk: number | undefined
}

/**
 * Unseen points along a curve that say what it shows there: at every tick, where the number at risk under the axis
 * belongs to it, and at every step that keeps clear of the others.
 */
export function readingLayers(curve: Curve, plot: CurvePlot, layout: CurveLayout): ChartLayer[] {
  const pxOf = (years: number): number => (years / layout.lastYear) * layout.width
  const ticks = tickPoints(curve, plot)
  const read = [...ticks]
  for (const { years, value, lower, upper, atRisk } of curve.points) {
    if (read.every((other) => Math.abs(pxOf(other.years) - pxOf(years)) >= spacingPx)) {
      read.push({ years, value, lower, upper, atRisk })
    }
  }
  if (read.length === 0) return []
  read.sort((one, other) => one.years - other.years)
  return [
    {
      name: 'reading',
      data: {
        values: read.map((point) => ({
          years: point.years,
          share: point.value,
          reading: pointInWords(curve, point, plot.by),
        })),
      },
      mark: { type: 'point', opacity: 0, size: 16 },
      encoding: { x: layout.x, y: layout.y, tooltip: { field: 'reading', type: 'nominal' } },
    },
  ]
}

/** The value that the curve holds at each tick: that of its last step until then. */
function tickPoints(curve: Curve, plot: CurvePlot): readonly ReadPoint[] {
  const counts = plot.atRisk.find((row) => row.key === curve.key)?.counts
  const end = curve.points.at(-1)?.years ?? -1
  return plot.tickYears.flatMap((years, index) => {
    const last = years > end ? undefined : lastUntil(curve.points, years)
    if (last === undefined) return []
    return [{ ...last, years, atRisk: counts?.[index] }]
  })
}

function lastUntil(points: readonly CurvePoint[], years: number): CurvePoint | undefined {
  let found: CurvePoint | undefined
  for (const point of points) {
    if (point.years > years) break
    found = point
  }
  return found
}

function pointInWords(curve: Curve, { years, value, lower, upper, atRisk }: ReadPoint, by: Speaker): string {
  const known = curve.band && (isNumber(lower) || isNumber(upper))
  const interval = known ? intervalText({ lower, upper }, 'percent', by) : ''
  return markReading(
    by.text(message('chart.place', { name: curve.label, years: formatNumber(years, 1, by.language) })),
    withInterval(by.number(value, 'percent'), interval),
    ...(atRisk === undefined
      ? []
      : [by.text(message('chart.at-risk-count', { count: by.number(atRisk, 'count') }))]),
  )
}
