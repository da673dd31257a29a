import { isNumber } from '../core/estimate.js'
import { message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import type { SiteFunnel } from '../pooling/coordinator/siteFunnel.js'
import { ratioAxis } from './contrastAxes.js'
import { edgePx, footLayers, framed, headingLayers, headingLines, plotWidth, textLayer } from './frame.js'
import type { IntervalRow } from './intervalPlot.js'
import type { ChannelDefinition, ChartLayer, ChartSpecification } from './specification.js'
import { type FigureOptions, figureMeasures, groupMark, neutralInk } from './theme.js'
import { groupName, lowerFirst } from './words.js'

/** Ticks of a standard error, from the most certain site downwards. */
const errorSteps = [0.05, 0.1, 0.2, 0.5, 1, 2]

/**
 * Vega-Lite specification of the funnel of the sites: the hazard ratio of each against its standard error, the most certain
 * on top, with the limits within which sites lie at the level if all have the common ratio. Sites are not named: the
 * funnel is about the whole, not about a place in a list.
 *
 * @param funnel funnel of the practices that let their figures be shown, as `siteFunnel` gives it
 * @param options size (default page), generated (default false)
 */
export function siteFunnelChart(funnel: SiteFunnel, options: FigureOptions = {}): ChartSpecification {
  const by = speaker(options.language)
  const size = options.size ?? 'page'
  const measures = figureMeasures[size]
  const { leadPx, widthPx, smallTextPx } = measures
  const { group, against } = funnel.common.comparator
  const level = by.number(funnel.common.level, 'level')
  const title = by.text(
    message('chart.sites', {
      group: lowerFirst(groupName(group, by), by),
      against: lowerFirst(groupName(against, by), by),
    }),
  )
  const heading = headingLines(title, size)
  const margins = {
    left: 52,
    right: edgePx + 14,
    top: edgePx + (heading.length + 1) * leadPx + 10,
    bottom: 0,
  }
  const width = plotWidth(size, margins)
  const height = Math.round(width * 0.5)
  const ratios = funnel.sites.map(({ ratio }) => ratio)
  const deepest = Math.max(...funnel.sites.map(({ standardError }) => standardError))
  const step = errorSteps.find((one) => deepest / one <= 5) ?? 5
  const bottom = step * Math.ceil((deepest * 1.02) / step)
  const axis = ratioAxis(ratios.map(rowAt), group, by)
  const x: ChannelDefinition = {
    field: 'ratio',
    type: 'quantitative',
    scale: { domain: [...axis.domain], type: 'log', nice: false },
    axis: { title: null, values: [...axis.ticks], labelExpr: axis.labelExpression, grid: false },
  }
  const y: ChannelDefinition = {
    field: 'error',
    type: 'quantitative',
    scale: { domain: [bottom, 0], nice: false, zero: false },
    axis: {
      title: null,
      values: Array.from({ length: Math.round(bottom / step) + 1 }, (_one, i) =>
        Number((i * step).toFixed(4)),
      ),
      grid: false,
    },
  }
  const axisPx = smallTextPx + 13 + leadPx + 6
  const note = by.text(message('chart.sites-lines', { level }))
  const foot = footLayers([note], options.generated ?? false, {
    x: edgePx - margins.left,
    y: height + axisPx,
    roomPx: widthPx - 2 * edgePx,
    size,
    language: by.language,
  })
  return framed({
    size,
    language: by.language,
    margins: { ...margins, bottom: axisPx + foot.heightPx + edgePx },
    plotHeightPx: height,
    heading: title,
    description: by.text(
      message('chart.rows', {
        heading: title,
        rows: funnel.sites
          .map(({ name, ratio, standardError }) =>
            by.text(
              message('chart.site', {
                name,
                ratio: by.number(ratio, 'ratio'),
                error: by.number(standardError, 'ratio'),
              }),
            ),
          )
          .join('. '),
      }),
    ),
    layers: [
      ...limitLayers(funnel, axis.domain, bottom, x, y),
      ...funnel.sites.map(({ ratio, standardError }) =>
        pointLayer(ratio, standardError, x, y, measures.textPx),
      ),
      ...headingLayers(heading, measures, margins),
      textLayer({
        text: by.text(message('chart.ratio-axis')),
        x: width / 2,
        y: height + smallTextPx + 13 + leadPx / 2,
        align: 'center',
      }),
      textLayer({
        text: by.text(message('chart.error-axis')),
        x: edgePx - margins.left,
        y: -leadPx / 2 - 4,
        align: 'left',
        sizePx: smallTextPx,
      }),
      ...foot.layers,
    ],
  })
}

function rowAt(ratio: number): IntervalRow {
  const none = { label: '', text: '', hasInterval: false, open: false, color: '' }
  return { ...none, value: ratio, lower: ratio, upper: ratio }
}

function pointLayer(
  ratio: number,
  error: number,
  x: ChannelDefinition,
  y: ChannelDefinition,
  textPx: number,
): ChartLayer {
  return {
    name: 'site',
    data: { values: [{ ratio, error }] },
    mark: {
      type: 'point',
      shape: 'circle',
      filled: true,
      fill: groupMark('all').ink.light,
      stroke: groupMark('all').ink.light,
      opacity: 1,
      size: textPx * 4,
    },
    encoding: { x, y },
  }
}

/** The common ratio upright, and the limits on either side, cut where they leave the picture. */
function limitLayers(
  { common, limits }: SiteFunnel,
  domain: readonly [number, number],
  bottom: number,
  x: ChannelDefinition,
  y: ChannelDefinition,
): readonly ChartLayer[] {
  if (!isNumber(common.estimate)) return []
  const within = (limit: SiteFunnel['limits'][number]): boolean =>
    limit.error <= bottom && limit.lower >= domain[0] && limit.upper <= domain[1]
  const rows = limits.filter(within)
  const line = (name: string, values: { ratio: number; error: number }[], dashed: boolean): ChartLayer => ({
    name,
    data: { values },
    mark: {
      type: 'line',
      color: neutralInk.frame.light,
      strokeWidth: 1,
      ...(dashed ? { strokeDash: [4, 3] } : {}),
    },
    encoding: { x, y },
  })
  const centre = common.estimate
  return [
    line(
      'common',
      [
        { ratio: centre, error: 0 },
        { ratio: centre, error: bottom },
      ],
      false,
    ),
    line(
      'lower',
      rows.map(({ lower, error }) => ({ ratio: lower, error })),
      true,
    ),
    line(
      'upper',
      rows.map(({ upper, error }) => ({ ratio: upper, error })),
      true,
    ),
  ]
}
