import type { LineLayout, LinePlot, LinePoint } from './linePlotShape.js'
import type { ChartLayer } from './specification.js'

/** Nearest that two points to be read may lie along the axis, so that each can be pointed at. */
const spacingPx = 4

/** Unseen points along a line that say what it shows there, as far as they are in the figure and clear of each other. */
export function pointReadings(
  points: readonly LinePoint[],
  plot: LinePlot,
  { x, y, width }: LineLayout,
): ChartLayer[] {
  const [first, last] = plot.x.domain
  const [low, high] = plot.y.domain
  const pxOf = (at: number): number => ((at - first) / (last - first)) * width
  const read: LinePoint[] = []
  for (const point of points) {
    const before = read.at(-1)
    const inside = point.x >= first && point.x <= last && point.y >= low && point.y <= high
    if (point.reading === undefined || !inside) continue
    if (before === undefined || pxOf(point.x) - pxOf(before.x) >= spacingPx) read.push(point)
  }
  if (read.length === 0) return []
  return [
    {
      name: 'reading',
      data: { values: read.map((point) => ({ x: point.x, y: point.y, reading: point.reading! })) },
      mark: { type: 'point', opacity: 0, size: 16 },
      encoding: { x, y, tooltip: { field: 'reading', type: 'nominal' } },
    },
  ]
}
