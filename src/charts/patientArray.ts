import { isNumber, type Quantity } from '../core/estimate.js'
import { roundTo } from '../core/format.js'
import { listOf, message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import { edgePx, footLayers, framed, headingLayers, headingLines, textLayer } from './frame.js'
import { type ArrayMark, arrayHeading, arrayLegend, type MarksOfHundred } from './patientWords.js'

export type { MarksOfHundred } from './patientWords.js'

import type { ChartLayer, ChartSpecification, MarkDefinition } from './specification.js'
import { type FigureOptions, figureMeasures, neutralInk } from './theme.js'

/** What the array of 100 marks shows. */
export interface PatientArrayOptions extends FigureOptions {
  /** What happens, such as "first screw loosening". */
  readonly endpoint: string
  /** By when; the share of those followed without a time where absent. */
  readonly years?: number
  /** What is counted: `crowns`, or restorations of any kind; default any. */
  readonly things?: 'crowns' | 'other'
}

/** Marks in a line of the array. */
const perLine = 10

/**
 * Marks out of 100: the estimate and the upper limit, each rounded to the nearest whole as everywhere. An estimate above
 * nothing and an upper limit above it can both round to the same whole; then no mark stands for the difference.
 *
 * @example marksOfHundred(0.088, 0.111) // => {"estimate":9,"possible":2}
 */
export function marksOfHundred(share: Quantity, upper: Quantity): MarksOfHundred | undefined {
  if (!isNumber(share)) return undefined
  const estimate = roundTo(share * 100, 0)
  const most = isNumber(upper) ? roundTo(upper * 100, 0) : estimate
  return Object.freeze({ estimate, possible: Math.max(0, most - estimate) })
}

/**
 * Vega-Lite specification of an array of 100 marks, for the patient: full squares for those with the event, ruled rings
 * for those that the upper limit would add, small dots for the others. The three differ in shape and in tone, so that
 * they can be told apart without colour; the text alternative gives the numbers.
 *
 * @param share share with the event
 * @param upper upper limit of its interval
 * @param options endpoint and horizon in words; size (default page), generated (default false)
 * @example patientArray(0.08, 0.11, { endpoint: 'a loose screw', years: 3 }).description.slice(0, 40) // => "Out of 100 restorations: how many had a "
 */
export function patientArray(
  share: Quantity,
  upper: Quantity,
  options: PatientArrayOptions,
): ChartSpecification {
  const size = options.size ?? 'page'
  const measures = figureMeasures[size]
  const { leadPx, widthPx, smallTextPx, textPx } = measures
  const marks = marksOfHundred(share, upper)
  const by = speaker(options.language)
  const title = by.text(arrayHeading(options))
  const heading = headingLines(title, size)
  const stepPx = 18
  const side = perLine * stepPx
  const legend =
    marks === undefined ? [] : arrayLegend(marks).map(({ kind, text }) => ({ kind, text: by.text(text) }))
  const note = by.text(message('chart.array-not-drawn'))
  const beside = size !== 'column'
  const margins = {
    left: edgePx + 2,
    right: edgePx,
    top: edgePx + heading.length * leadPx + 8,
    bottom: 0,
  }
  const legendLeft = beside ? side + 28 : 0
  const legendTop = beside ? stepPx / 2 : side + 10
  const legendHeight = beside ? 0 : legend.length * (leadPx + 6) + 6
  const height = marks === undefined ? leadPx : side + legendHeight
  const foot = footLayers(marks === undefined ? [note] : [], options.generated ?? false, {
    x: edgePx - margins.left,
    y: height + 8,
    roomPx: widthPx - 2 * edgePx,
    size,
    language: by.language,
  })
  return framed({
    size,
    margins: { ...margins, bottom: 8 + foot.heightPx + edgePx },
    plotHeightPx: height,
    heading: title,
    description: by.text(
      marks === undefined
        ? message('chart.array-description-empty', { heading: title, note })
        : message('chart.array-description', {
            heading: title,
            rows: by.text(
              listOf(
                legend.map(({ text }) => text),
                'semicolon',
              ),
            ),
          }),
    ),
    layers: [
      ...(marks === undefined ? [] : markLayers(marks, stepPx)),
      ...legend.flatMap(({ kind, text }, index) => {
        const y = legendTop + index * (leadPx + 6) + (beside ? 0 : leadPx / 2)
        return [
          pointLayer(kind, [{ x: legendLeft + stepPx / 2, y }], stepPx),
          textLayer({ text, x: legendLeft + stepPx + 6, y, sizePx: beside ? textPx : smallTextPx }),
        ]
      }),
      ...headingLayers(heading, measures, margins),
      ...foot.layers,
    ],
  })
}

function markLayers({ estimate, possible }: MarksOfHundred, stepPx: number): ChartLayer[] {
  const kindOf = (mark: number): ArrayMark =>
    mark < estimate ? 'event' : mark < estimate + possible ? 'possible' : 'free'
  const all = Array.from({ length: 100 }, (_one, mark) => ({
    kind: kindOf(mark),
    x: ((mark % perLine) + 0.5) * stepPx,
    y: (Math.floor(mark / perLine) + 0.5) * stepPx,
  }))
  return (['event', 'possible', 'free'] as const).flatMap((kind) => {
    const own = all.filter((one) => one.kind === kind).map(({ x, y }) => ({ x, y }))
    return own.length === 0 ? [] : [pointLayer(kind, own, stepPx)]
  })
}

function styleOf(kind: ArrayMark, stepPx: number): MarkDefinition {
  const area = stepPx * stepPx
  const point = { type: 'point', opacity: 1 } as const
  switch (kind) {
    case 'event':
      return { ...point, shape: 'square', size: area * 0.46, filled: true, fill: neutralInk.text.light }
    case 'possible':
      return {
        ...point,
        shape: 'square',
        size: area * 0.42,
        filled: false,
        stroke: neutralInk.text.light,
        strokeWidth: 2,
        strokeDash: [3, 2],
      }
    case 'free':
      return {
        ...point,
        shape: 'circle',
        size: area * 0.2,
        filled: false,
        stroke: neutralInk.frame.light,
        strokeWidth: 1.5,
      }
  }
}

function pointLayer(
  kind: ArrayMark,
  points: readonly { readonly x: number; readonly y: number }[],
  stepPx: number,
): ChartLayer {
  return {
    name: kind,
    data: { values: points.map(({ x, y }) => ({ x, y })) },
    mark: styleOf(kind, stepPx),
    encoding: {
      x: { field: 'x', type: 'quantitative', scale: null, axis: null },
      y: { field: 'y', type: 'quantitative', scale: null, axis: null },
    },
  }
}
