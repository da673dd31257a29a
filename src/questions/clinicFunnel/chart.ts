import { linePlot } from '../../charts/linePlot.js'
import type { PlotLine } from '../../charts/linePlotShape.js'
import { roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification, DashPattern } from '../../charts/specification.js'
import { type FigureOptions, frameOf, groupMark, neutralInk } from '../../charts/theme.js'
import { markReading } from '../../charts/words.js'
import { message } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import type { ClinicFunnel, FunnelClinic } from './answer.js'

/**
 * Vega-Lite specification of a funnel plot of clinics: events over expected events against the number expected, with
 * the limits and a ratio of 1. Clinics are named and not ranked.
 *
 * @param funnel answer on the clinics
 * @param options size (default page), generated (default false), language (default en)
 */
export function funnelChart(funnel: ClinicFunnel, options: FigureOptions = {}): ChartSpecification {
  const { clinics, limits, tails } = funnel
  const most = Math.max(...limits.map(({ expected }) => expected))
  const highest = Math.max(2, ...clinics.map(({ ratio }) => ratio * 1.15))
  const by = speaker(options.language)
  const heading = message('clinics.chart')
  const shown = ({ clinic, events, expected, ratio }: FunnelClinic) => ({
    clinic: foreign(clinic),
    events,
    expected: by.number(expected, 'years'),
    ratio: by.number(ratio, 'ratio'),
  })
  return linePlot({
    ...frameOf(options),
    heading: by.text(heading),
    description: by.text(
      message('clinics.chart-description', {
        heading,
        rows: clinics.map((one) => by.text(message('clinics.chart-row', shown(one)))).join('. '),
      }),
    ),
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
    marks: clinics.map((one) => {
      const { clinic, expected, ratio, position } = one
      const name = by.text(foreign(clinic))
      return {
        reading: markReading(
          name,
          by.text(message('clinics.chart-events', shown(one))),
          by.text(message('clinics.chart-ratio', shown(one))),
        ),
        x: expected,
        y: ratio,
        color: groupMark('all').ink.light,
        shape: 'circle' as const,
        open: false,
        ...(clinics.length <= mostNamed || position !== 'within'
          ? { text: name, textSide: sideOf(ratio, highest) }
          : {}),
      }
    }),
    spans: [],
    rules: [{ axis: 'y', at: 1, dash: solid }],
    x: roundAxis(0, most, {
      title: by.text(message('clinics.chart-axis')),
      format: (expected) => by.number(expected, 'plain'),
      endsAtMost: true,
    }),
    y: roundAxis(0, highest, {
      title: '',
      format: (ratio) => by.number(ratio, 'plain'),
    }),
    notes: [by.text(message('clinics.chart-note'))],
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
