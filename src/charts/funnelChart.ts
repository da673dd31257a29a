import type { ClinicFunnel } from '../analysis/clinicFunnel.js'
import { formatNumber, formatRatio } from '../core/format.js'
import { linePlot } from './linePlot.js'
import type { PlotLine } from './linePlotShape.js'
import { roundAxis } from './plotAxis.js'
import type { ChartSpecification, DashPattern } from './specification.js'
import { type FigureOptions, groupMark, neutralInk } from './theme.js'
import { countedNoun, markReading, printable } from './words.js'

/**
 * Vega-Lite specification of a funnel plot of clinics: events over expected events against the number expected, with
 * the limits and a ratio of 1. Clinics are named and not ranked.
 *
 * @param funnel answer on the clinics
 * @param options size (default page), generated (default false)
 */
export function funnelChart(funnel: ClinicFunnel, options: FigureOptions = {}): ChartSpecification {
  const { clinics, limits, tails } = funnel
  const most = Math.max(...limits.map(({ expected }) => expected))
  const highest = Math.max(2, ...clinics.map(({ ratio }) => ratio * 1.15))
  const heading = 'Events over those expected, by clinic'
  return linePlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}. ${clinics
      .map(
        ({ clinic, events, expected, ratio }) =>
          `${printable(clinic)}: ${events} events, ${formatNumber(expected, 1)} expected, ratio ${formatRatio(ratio)}`,
      )
      .join('. ')}.`,
    lines: tails.map((tail, index): PlotLine => {
      const outer = tail < 0.01 || tail > 0.99
      return {
        label: '',
        color: outer ? neutralInk.warning.light : neutralInk.quiet.light,
        dash: outer ? solid : dashed,
        points: limits.map(({ expected, at }) => ({ x: expected, y: at[index]! })),
        interpolate: 'linear',
        band: false,
        thin: true,
      }
    }),
    marks: clinics.map(({ clinic, events, expected, ratio, position }) => ({
      reading: markReading(
        printable(clinic),
        `${countedNoun(events, 'event')}, ${formatNumber(expected, 1)} expected`,
        `Ratio ${formatRatio(ratio)}`,
      ),
      x: expected,
      y: ratio,
      color: groupMark('all').ink.light,
      shape: 'circle' as const,
      open: false,
      ...(clinics.length <= mostNamed || position !== 'within'
        ? { text: printable(clinic), textSide: sideOf(ratio, highest) }
        : {}),
    })),
    spans: [],
    rules: [{ axis: 'y', at: 1, dash: solid }],
    x: roundAxis(0, most, {
      title: 'Events expected from all clinics together',
      format: (expected) => formatNumber(expected, Number.isInteger(expected) ? 0 : 1),
      endsAtMost: true,
    }),
    y: roundAxis(0, highest, {
      title: '',
      format: (ratio) => formatNumber(ratio, Number.isInteger(ratio) ? 0 : 1),
    }),
    notes: ['Dashed limits: about 2 standard deviations; those outside: about 3.'],
  })
}

/** With more clinics than this only those beyond the limits are named. */
const mostNamed = 12

/** Towards a ratio of 1 and away from the limits; beside the mark where it lies near 1 itself. */
function sideOf(ratio: number, highest: number): 'beside' | 'above' | 'below' {
  if (Math.abs(ratio - 1) < highest / 8) return 'beside'
  return ratio < 1 ? 'above' : 'below'
}

const solid: DashPattern = [1, 0]
const dashed: DashPattern = [5, 3]
