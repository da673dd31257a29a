import { type IntervalRow, rowsInWords } from '../../charts/intervalPlot.js'
import { intervalsAlong } from '../../charts/intervalsAlong.js'
import { roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, groupMark } from '../../charts/theme.js'
import { isNumber, type Quantity } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { quantityWords, speaker } from '../../messages/speaker.js'
import type { TorqueResult } from './answer.js'

/**
 * Vega-Lite specification of the deviation of the torque reached from the torque aimed at, one row a device: mean, and
 * the limits between which 95% of single deviations are expected.
 *
 * @param torque answer on torque; devices without limits of agreement are left out
 * @param options size (default page), generated (default false), language (default en)
 */
export function torqueChart(torque: TorqueResult, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const rows = torque.byDevice.flatMap(({ device, type, deviation }): IntervalRow[] => {
    if (deviation === undefined) return []
    const [mean, lower, upper] = [deviation.mean, deviation.lowerLimit, deviation.upperLimit].map(
      ({ estimate }) => estimate,
    ) as [Quantity, Quantity, Quantity]
    const [shown, from, to] = [mean, lower, upper].map((one) => quantityWords(one, 'torque-change', by))
    return [
      {
        label: by.text(message('torque.chart-row', { device: foreign(device), kind: foreign(type) })),
        value: isNumber(mean) ? mean : undefined,
        lower: isNumber(lower) ? lower : Number.NEGATIVE_INFINITY,
        upper: isNumber(upper) ? upper : Number.POSITIVE_INFINITY,
        hasInterval: isNumber(lower) && isNumber(upper),
        text: by.text(message('torque.chart-reading', { mean: shown!, lower: from!, upper: to! })),
        open: false,
        color: groupMark('all').ink.light,
      },
    ]
  })
  const ends = rows.flatMap(({ lower, upper }) => [lower, upper]).filter(Number.isFinite)
  const axis = roundAxis(Math.min(-1, ...ends), Math.max(1, ...ends), {
    title: by.text(message('unit.torque')),
    format: (value) => by.number(value, 'torque'),
  })
  const heading = message('torque.chart')
  return intervalsAlong(
    {
      heading,
      description: by.text(message('torque.chart-description', { heading, rows: rowsInWords(rows) })),
      rows,
      axis,
      labelExpression: "datum.value === 0 ? '0' : format(datum.value, '+.3~g')",
      sides: { below: by.text(message('torque.chart-below')), above: by.text(message('torque.chart-above')) },
      notes: [],
    },
    options,
  )
}
