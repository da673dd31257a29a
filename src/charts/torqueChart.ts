import type { TorqueResult } from '../analysis/torque.js'
import { isNumber, type Quantity } from '../core/estimate.js'
import { formatNumber } from '../core/format.js'
import { type IntervalRow, intervalPlot, rowsInWords } from './intervalPlot.js'
import { roundAxis } from './plotAxis.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, groupMark } from './theme.js'
import { printable } from './words.js'

/**
 * Vega-Lite specification of the deviation of the torque reached from the torque aimed at, one row a device: mean, and
 * the limits between which 95% of single deviations are expected.
 *
 * @param torque answer on torque; devices without limits of agreement are left out
 * @param options size (default page), generated (default false)
 */
export function torqueChart(torque: TorqueResult, options: FigureOptions = {}): ChartSpecification {
  const rows = torque.byDevice.flatMap(({ device, type, deviation }): IntervalRow[] => {
    if (deviation === undefined) return []
    const { mean, lowerLimit, upperLimit } = deviation
    return [
      {
        label: `${printable(device)} (${type})`,
        value: isNumber(mean.estimate) ? mean.estimate : undefined,
        lower: limit(lowerLimit.estimate, Number.NEGATIVE_INFINITY),
        upper: limit(upperLimit.estimate, Number.POSITIVE_INFINITY),
        hasInterval: isNumber(lowerLimit.estimate) && isNumber(upperLimit.estimate),
        text: `${words(mean.estimate)} (${words(lowerLimit.estimate)} to ${words(upperLimit.estimate)})`,
        open: false,
        color: groupMark('all').ink.light,
      },
    ]
  })
  const ends = rows.flatMap(({ lower, upper }) => [lower, upper]).filter(Number.isFinite)
  const axis = roundAxis(Math.min(-1, ...ends), Math.max(1, ...ends), {
    title: 'N·cm',
    format: (value) => formatNumber(value, 1),
  })
  const heading = 'Torque reached less torque aimed at, with the limits of 95% of single deviations'
  return intervalPlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}, in N·cm. ${rowsInWords(rows)}.`,
    rows,
    axis: {
      domain: axis.domain,
      ticks: axis.ticks.map(({ at }) => at),
      scale: 'linear',
      alike: 0,
      title: axis.title,
      labelExpression: "datum.value === 0 ? '0' : format(datum.value, '+.3~g')",
      below: '← less than aimed at',
      above: 'more than aimed at →',
    },
    notes: [],
  })
}

function limit(quantity: Quantity, otherwise: number): number {
  return isNumber(quantity) ? quantity : otherwise
}

function words(quantity: Quantity): string {
  if (!isNumber(quantity)) return 'not estimable'
  const text = formatNumber(quantity, 1)
  if (text.startsWith('-')) return `−${text.slice(1)}`
  return Number(text) === 0 ? text : `+${text}`
}
