import { message } from '../messages/message.js'
import type { IntervalAxis, IntervalRow } from './intervalPlot.js'
import { type ChartSpeaker, directionInWords } from './words.js'

const steps = [0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5]

/** Runs between round numbers of percentage points that hold every limit, and no difference. */
export function pointsAxis(rows: readonly IntervalRow[], group: string, by: ChartSpeaker): IntervalAxis {
  const ends = rows.flatMap((row) => [row.value ?? 0, row.lower, row.upper]).filter(Number.isFinite)
  const lowest = Math.min(0, ...ends)
  const highest = Math.max(0, ...ends)
  const step = steps.find((candidate) => (highest - lowest) / candidate <= 7) ?? 0.5
  const first = Math.min(-1, Math.floor(lowest / step + 1e-9))
  const last = Math.max(1, Math.ceil(highest / step - 1e-9))
  const ticks = Array.from({ length: last - first + 1 }, (_, index) => tidy((first + index) * step))
  return {
    domain: [ticks[0]!, ticks.at(-1)!],
    ticks,
    scale: 'linear',
    alike: 0,
    title: by.text(message('chart.points-axis')),
    labelExpression: "datum.value === 0 ? '0' : format(datum.value * 100, '+.3~g')",
    below: directionInWords('lower', group, by),
    above: directionInWords('higher', group, by),
  }
}

/** Takes away what binary fractions add to a tick. */
function tidy(value: number): number {
  return Number(value.toFixed(6)) + 0
}

const ratioTicks = [0.01, 0.02, 0.05, 0.1, 0.2, 0.33, 0.5, 0.75, 1, 1.33, 2, 3, 5, 10, 20, 50, 100]
/** Powers of ten and their halves, for a wide span. */
const wideTicks = [0.01, 0.1, 1, 10, 100]

/** Runs from a tick at or below all limits to one at or above, at least 0.5 to 2, at most 0.01 to 100. */
export function ratioAxis(rows: readonly IntervalRow[], group: string, by: ChartSpeaker): IntervalAxis {
  const ends = rows
    .flatMap((row) => [row.value ?? 1, row.lower, row.upper])
    .filter((end) => Number.isFinite(end) && end > 0)
  const lowest = Math.min(0.5, ...ends)
  const highest = Math.max(2, ...ends)
  const first = ratioTicks.filter((tick) => tick <= lowest).at(-1) ?? 0.01
  const last = ratioTicks.find((tick) => tick >= highest) ?? 100
  const within = ratioTicks.filter((tick) => tick >= first && tick <= last)
  const few = within.length <= 9 ? within : wideTicks.filter((tick) => tick >= first && tick <= last)
  return {
    domain: [first, last],
    ticks: few,
    scale: 'log',
    alike: 1,
    title: by.text(message('chart.ratio-axis')),
    labelExpression: "format(datum.value, '.3~g')",
    below: directionInWords('lower', group, by),
    above: directionInWords('higher', group, by),
  }
}
