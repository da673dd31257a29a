import {
  edgePx,
  footLayers,
  framed,
  headingLayers,
  headingLines,
  plotWidth,
  textLayer,
} from '../../charts/frame.js'
import { channel, type PlotAxis, roundAxis, shownTicks } from '../../charts/plotAxis.js'
import type { ChartLayer, ChartSpecification } from '../../charts/specification.js'
import { textWidth, widestText } from '../../charts/textWidth.js'
import { type FigureOptions, figureMeasures, groupMark, neutralInk } from '../../charts/theme.js'
import { markReading, upperFirst } from '../../charts/words.js'
import { message, type Part } from '../../messages/message.js'
import { fieldName } from '../../messages/names.js'
import { speaker } from '../../messages/speaker.js'
import { balanceThreshold } from '../../statistics/weighting/balance.js'
import type { SectionSetting } from '../question.js'
import { groupTitle } from '../words/groups.js'
import type { ComparisonResult } from './answer.js'
import { type ChoiceBalance, scoreSteps } from './balance.js'
import { sideMark } from './chart.js'
import { groupName } from './words.js'

/** What a result needs to have for these figures. */
export interface BalancedResult extends Pick<ComparisonResult, 'groups'> {
  readonly balance: ChoiceBalance
}

const before = { ink: neutralInk.quiet.light, shape: 'circle' } as const
const after = { ink: neutralInk.text.light, shape: 'square' } as const

/**
 * Standardised differences of what is allowed for, as the groups came and with weights: one row each, the most unlike
 * first, with the limit from which groups are commonly held to be unlike.
 */
export function balanceChart({ balance }: BalancedResult, options: FigureOptions = {}): ChartSpecification {
  const { size = 'page', generated = false, language } = options
  const by = speaker(language)
  const say = (one: Part): string => by.text(one)
  const measures = figureMeasures[size]
  const rows = [...balance.rows].sort((one, two) => (two.before ?? 9) - (one.before ?? 9))
  const labels = rows.map(({ key }) => upperFirst(say(fieldName(key))))
  const shown = (value: number | undefined): string =>
    value === undefined ? '–' : by.number(value, 'correlation')
  const heading = say(message('comparison.balance'))
  const lines = headingLines(heading, size)
  const keyTop = measures.leadPx + 4
  const margins = {
    left: Math.ceil(edgePx + widestText(labels, measures.textPx) + 14),
    right: 16,
    top: edgePx + lines.length * measures.leadPx + keyTop + 6,
    bottom: 0,
  }
  const step = measures.leadPx + 6
  const height = rows.length * step + 6
  const most = Math.max(0.2, ...rows.map((one) => Math.max(one.before ?? 0, one.after ?? 0)))
  const width = plotWidth(size, margins)
  const axis: PlotAxis = roundAxis(0, most, { title: '', format: (value) => by.number(value, 'correlation') })
  const x = channel(axis, shownTicks(axis, width, measures.smallTextPx), true)
  const dot = (value: number | undefined, at: number, label: string, look: typeof before | typeof after) =>
    value === undefined ? [] : [pointLayer(value, at, label, look, x, measures)]
  return footed(
    { size, generated, language, margins, width, height, heading, lines },
    {
      note: say(message('comparison.balance-note')),
      axis: say(message('comparison.balance-axis')),
      description: `${heading}. ${rows
        .map(({ key, before: came, after: weighted }) =>
          say(
            message('comparison.balance-row', {
              name: fieldName(key),
              before: shown(came),
              after: shown(weighted),
            }),
          ),
        )
        .join('; ')}.`,
      layers: [
        {
          name: 'threshold',
          data: { values: [{ value: balanceThreshold, from: 0, to: height }] },
          mark: {
            type: 'rule',
            color: neutralInk.frame.light,
            strokeWidth: measures.linePx,
            strokeDash: [4, 3],
          },
          encoding: {
            x: { ...x, field: 'value' },
            y: { field: 'from', type: 'quantitative', scale: null, axis: null },
            y2: { field: 'to' },
          },
        },
        ...rows.flatMap((row, index) => {
          const at = 6 + (index + 0.5) * step - 3
          return [
            textLayer({ text: labels[index]!, x: edgePx - margins.left, y: at }),
            ...dot(row.after, at, markReading(labels[index]!, shown(row.after)), after),
            ...dot(row.before, at, markReading(labels[index]!, shown(row.before)), before),
          ]
        }),
        ...keyLayers(
          [
            { text: say(message('comparison.balance-before')), look: before },
            { text: say(message('comparison.balance-after')), look: after },
          ],
          -measures.leadPx / 2 - 6,
          measures,
        ),
      ],
    },
  )
}

type Measures = (typeof figureMeasures)['page']
type Look = typeof before | typeof after

function pointLayer(
  value: number,
  at: number,
  reading: string,
  look: Look,
  x: ReturnType<typeof channel>,
  measures: Measures,
): ChartLayer {
  return {
    name: look.shape,
    data: { values: [{ value, reading }] },
    mark: markOf(look, measures),
    encoding: {
      x: { ...x, field: 'value' },
      y: { value: at },
      tooltip: { field: 'reading', type: 'nominal' },
    },
  }
}

function markOf({ ink, shape }: Look, { linePx, textPx }: Measures): ChartLayer['mark'] {
  return {
    type: 'point',
    shape,
    filled: true,
    fill: shape === 'circle' ? neutralInk.surface.light : ink,
    stroke: ink,
    strokeWidth: linePx,
    opacity: 1,
    size: textPx * 4,
  }
}

/** Marks with what they stand for, side by side above the plot. */
function keyLayers(
  entries: readonly { readonly text: string; readonly look: Look }[],
  y: number,
  measures: Measures,
): ChartLayer[] {
  let x = 6
  return entries.flatMap(({ text, look }) => {
    const at = x
    x += textWidth(text, measures.smallTextPx) + 34
    return [
      {
        name: 'key',
        data: { values: [{ at, y }] },
        mark: markOf(look, measures),
        encoding: {
          x: { field: 'at', type: 'quantitative', scale: null, axis: null },
          y: { field: 'y', type: 'quantitative', scale: null, axis: null },
        },
      } satisfies ChartLayer,
      textLayer({ text, x: at + 10, y, sizePx: measures.smallTextPx, color: neutralInk.quiet.light }),
    ]
  })
}

interface Frame {
  readonly size: NonNullable<FigureOptions['size']>
  readonly generated: boolean
  readonly language: string | undefined
  readonly margins: { readonly left: number; readonly right: number; readonly top: number }
  readonly width: number
  readonly height: number
  readonly heading: string
  /** The heading as it breaks. */
  readonly lines: readonly string[]
}

/** Layers in their frame, with the heading above, and the title of the axis and a note below. */
function footed(
  frame: Frame,
  said: {
    readonly note: string
    readonly axis: string
    readonly description: string
    readonly layers: readonly ChartLayer[]
  },
): ChartSpecification {
  const { size, generated, language, margins, width, height, heading, lines } = frame
  const measures = figureMeasures[size]
  const titleAt = height + measures.smallTextPx + 13 + measures.leadPx / 2
  const notesAt = titleAt + measures.leadPx / 2 + 8
  const foot = footLayers([said.note], generated, {
    x: edgePx - margins.left,
    y: notesAt,
    roomPx: measures.widthPx - 2 * edgePx,
    size,
    ...(language === undefined ? {} : { language }),
  })
  const inner = { ...margins, bottom: notesAt + foot.heightPx + edgePx - height }
  return framed({
    size,
    margins: inner,
    plotHeightPx: height,
    heading,
    description: said.description,
    layers: [
      ...said.layers,
      ...headingLayers(lines, measures, inner),
      textLayer({ text: said.axis, x: width / 2, y: titleAt, align: 'center' }),
      ...foot.layers,
    ],
  })
}

/** Restorations by the fitted probability of the group: those of the group upwards, those of the comparator downwards. */
export function overlapChart(
  { balance, groups }: BalancedResult,
  { definition }: Pick<SectionSetting, 'definition'>,
  options: FigureOptions = {},
): ChartSpecification {
  const { size = 'page', generated = false, language } = options
  const by = speaker(language)
  const say = (one: Part): string => by.text(one)
  const measures = figureMeasures[size]
  const { scores } = balance
  const names = {
    group: groupName(groups.group, groups.by, definition),
    against: groupName(groups.against, groups.by, definition),
  }
  const titles = {
    group: say(groupTitle(groups.group, definition)),
    against: say(groupTitle(groups.against, definition)),
  }
  const sum = (counts: readonly number[]): number => counts.reduce((all, one) => all + one, 0)
  const heading = say(message('comparison.overlap', { group: names.group }))
  const lines = headingLines(heading, size)
  const most = Math.max(1, ...scores.group, ...scores.against)
  const up = roundAxis(0, most, { title: '', format: (value) => by.number(value, 'count'), whole: true })
  const signed = [...up.ticks.slice(1).map(({ at, text }) => ({ at: -at, text })), ...up.ticks]
  const vertical: PlotAxis = { ...up, domain: [-up.domain[1], up.domain[1]], ticks: signed }
  const margins = {
    left: Math.ceil(
      edgePx +
        widestText(
          signed.map(({ text }) => text),
          measures.smallTextPx,
        ) +
        14,
    ),
    right: 16,
    top: edgePx + lines.length * measures.leadPx + 8,
    bottom: 0,
  }
  const height = Math.round(measures.plotHeightPx * 0.8)
  const width = plotWidth(size, margins)
  const horizontal = roundAxis(0, 1, { title: '', format: (value) => by.number(value, 'correlation') })
  const x = channel(horizontal, shownTicks(horizontal, width, measures.smallTextPx), false)
  const y = channel(vertical, signed, true)
  const bars = (side: 'group' | 'against', sign: 1 | -1): ChartLayer => ({
    name: side,
    data: {
      values: scores[side].flatMap((count, at) =>
        count === 0
          ? []
          : [
              {
                from: (at + 0.08) / scoreSteps,
                to: (at + 0.92) / scoreSteps,
                base: 0,
                end: sign * count,
                reading: markReading(titles[side], `${at / scoreSteps}–${(at + 1) / scoreSteps}: ${count}`),
              },
            ],
      ),
    },
    mark: {
      type: 'rect',
      fill: groupMark(groups.by === 'measured' || groups.by === 'chart' ? groups[side] : sideMark[side]).ink
        .light,
    },
    encoding: {
      x: { ...x, field: 'from' },
      x2: { field: 'to' },
      y: { ...y, field: 'base' },
      y2: { field: 'end' },
      tooltip: { field: 'reading', type: 'nominal' },
    },
  })
  const note = say(
    message('comparison.overlap-note', {
      ...names,
      groupCount: by.number(sum(scores.group), 'count'),
      againstCount: by.number(sum(scores.against), 'count'),
    }),
  )
  return footed(
    { size, generated, language, margins, width, height, heading, lines },
    {
      note,
      axis: upperFirst(say(message('comparison.overlap-axis', { group: names.group }))),
      description: `${heading}. ${note}`,
      layers: [
        bars('group', 1),
        bars('against', -1),
        {
          name: 'middle',
          data: { values: [{ from: 0, to: 1, at: 0 }] },
          mark: { type: 'rule', color: neutralInk.frame.light, strokeWidth: 1 },
          encoding: { x: { ...x, field: 'from' }, x2: { field: 'to' }, y: { ...y, field: 'at' } },
        },
        textLayer({ text: titles.group, x: 4, y: 8, weight: 'bold', sizePx: measures.smallTextPx }),
        textLayer({
          text: titles.against,
          x: 4,
          y: height - 8,
          weight: 'bold',
          sizePx: measures.smallTextPx,
        }),
      ],
    },
  )
}
