import { linePlot } from '../../charts/linePlot.js'
import { roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, groupMark } from '../../charts/theme.js'
import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import type { Quarters } from './answer.js'

/** Events by quarter, a line for each clinic. */
export function quartersChart({ counts }: Quarters, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const heading = by.text(message('quarters.title'))
  const { ink, dash } = groupMark('all')
  const at = counts.map(({ from }) => from)
  const [first, last] = [Math.min(...at), Math.max(...at)]
  const highest = Math.max(...counts.map(({ events }) => events))
  return linePlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: heading,
    lines: [...new Set(counts.map(({ clinic }) => clinic))].map((clinic) => ({
      label: clinic,
      color: ink.light,
      dash,
      points: counts
        .filter((one) => one.clinic === clinic)
        .map(({ from, events }) => ({ x: from, y: events })),
      interpolate: 'linear' as const,
      band: false,
    })),
    marks: [],
    spans: [],
    rules: [],
    x: roundAxis(first, last, { title: '', format: String, whole: true }),
    y: roundAxis(0, highest, { title: '', format: String, whole: true }),
    notes: [],
  })
}
