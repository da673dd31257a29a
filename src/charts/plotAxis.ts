import { isNumber, type Quantity } from '../core/estimate.js'
import { formatNumber } from '../core/format.js'
import { message } from '../messages/message.js'
import type { Speaker } from '../messages/speaker.js'
import type { ChannelDefinition } from './specification.js'
import { textWidth } from './textWidth.js'

/** An axis with its ticks in words. */
export interface PlotAxis {
  readonly domain: readonly [number, number]
  readonly ticks: readonly { readonly at: number; readonly text: string }[]
  readonly scale: 'linear' | 'log'
  readonly title: string
}

/** Channel of an axis with its ticks in words. */
export function channel(axis: PlotAxis, ticks: PlotAxis['ticks'], grid: boolean): ChannelDefinition {
  const list = (values: readonly (string | number)[]): string => JSON.stringify(values)
  return {
    type: 'quantitative',
    scale: {
      domain: [...axis.domain],
      type: axis.scale,
      nice: false,
      ...(axis.scale === 'linear' ? { zero: false } : {}),
    },
    axis: {
      title: null,
      values: ticks.map(({ at }) => at),
      labelExpr: `${list(ticks.map(({ text }) => text))}[indexof(${list(ticks.map(({ at }) => at))}, datum.value)]`,
      grid,
    },
  }
}

/** Every tick, or every second, third… where their texts would touch. */
export function shownTicks(
  { ticks, domain, scale }: PlotAxis,
  width: number,
  sizePx: number,
): PlotAxis['ticks'] {
  const place = (value: number): number => (scale === 'log' ? Math.log(value) : value)
  const perUnit = width / (place(domain[1]) - place(domain[0]))
  const clear = (chosen: PlotAxis['ticks']): boolean =>
    chosen.every((tick, index) => {
      const before = chosen[index - 1]
      if (before === undefined) return true
      const gap = (place(tick.at) - place(before.at)) * perUnit
      return gap >= (textWidth(tick.text, sizePx) + textWidth(before.text, sizePx)) / 2 + 8
    })
  for (let stride = 1; stride < ticks.length; stride++) {
    const chosen = ticks.filter((_, index) => index % stride === 0)
    if (clear(chosen)) return chosen
  }
  return ticks.slice(0, 1)
}

/** Share of the height from the top. */
export function heightOf(value: number, { domain, scale }: PlotAxis): number {
  const place = (one: number): number => (scale === 'log' ? Math.log(one) : one)
  const share = (place(domain[1]) - place(value)) / (place(domain[1]) - place(domain[0]))
  return Math.min(1, Math.max(0, share))
}

const ratioTicks = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100] as const

/** A logarithmic axis of ratios that holds every end between 0.01 and 100, at least from 0.5 to 2. */
export function ratioPlotAxis(ends: readonly number[], title: string): PlotAxis {
  const used = ends.filter((end) => Number.isFinite(end) && end > 0)
  const lowest = Math.min(0.5, ...used)
  const highest = Math.max(2, ...used)
  const first = ratioTicks.filter((tick) => tick <= lowest).at(-1) ?? ratioTicks[0]
  const last = ratioTicks.find((tick) => tick >= highest) ?? 100
  const ticks = ratioTicks
    .filter((tick) => tick >= first && tick <= last)
    .map((at) => ({ at, text: String(at) }))
  return { domain: [first, last], ticks, scale: 'log', title }
}

const roundSteps = [1, 2, 2.5, 5, 10] as const

/** How a linear axis is made. */
export interface RoundAxisOptions {
  readonly title: string
  readonly format: (value: number) => string
  /** Ticks at whole numbers only. */
  readonly whole?: boolean
  /** The axis ends at the most itself, not at the next tick. */
  readonly endsAtMost?: boolean
}

/**
 * How far an axis of counts or rates has to reach: to every value, and to limits no further than twice the highest value, so
 * that a limit of few at risk does not press everything else together.
 *
 * @param least the axis reaches at least so far
 */
export function axisEnd(
  points: readonly { readonly y: number; readonly upper?: Quantity }[],
  least: number,
): number {
  const highest = Math.max(least, ...points.map(({ y }) => y))
  const limits = points.map(({ upper }) => (upper !== undefined && isNumber(upper) ? upper : 0))
  return Math.max(highest, Math.min(2 * highest, Math.max(0, ...limits)))
}

/** Whether a limit lies beyond the end of an axis. */
export function endsBeyond(points: readonly { readonly upper?: Quantity }[], end: number): boolean {
  return points.some(({ upper }) => upper !== undefined && isNumber(upper) && upper > end)
}

/** A linear axis from a round number at or below the least to one at or above the most, with 3 to 7 ticks. */
export function roundAxis(least: number, most: number, options: RoundAxisOptions): PlotAxis {
  const span = most - least > 0 ? most - least : Math.abs(most) || 1
  const power = 10 ** Math.floor(Math.log10(span / 6))
  const steps = [...roundSteps, 20].map((step) => step * power)
  const usable = options.whole === true ? steps.filter(Number.isInteger) : steps
  const step = usable.find((one) => span / one <= 6) ?? usable.at(-1) ?? 1
  const first = Math.floor(least / step + 1e-9)
  const last = Math.max(first + 1, Math.ceil(most / step - 1e-9))
  const ticks = Array.from({ length: last - first + 1 }, (_, index) => {
    const at = Number(((first + index) * step).toPrecision(12))
    return { at, text: options.format(at) }
  })
  if (options.endsAtMost !== true) {
    return { domain: [ticks[0]!.at, ticks.at(-1)!.at], ticks, scale: 'linear', title: options.title }
  }
  const within = ticks.filter(({ at }) => at <= most)
  return { domain: [ticks[0]!.at, most], ticks: within, scale: 'linear', title: options.title }
}

/** Axis of years since delivery, up to the last of the times drawn. */
export function yearsAxis(timesYears: readonly number[], by: Speaker): PlotAxis {
  return roundAxis(0, Math.max(1, ...timesYears), {
    title: by.text(message('chart.years-since-delivery')),
    format: (years) => formatNumber(years, 0),
    whole: true,
    endsAtMost: true,
  })
}
