import type { CohortSummary } from '../cohort/attrition.js'
import { listOf, message } from '../messages/message.js'
import { edgePx, footLayers, framed, textLayer } from './frame.js'
import type { ChartLayer, ChartSpecification } from './specification.js'
import { widestText, wrapText } from './textWidth.js'
import { type FigureMeasures, type FigureOptions, figureMeasures, neutralInk } from './theme.js'
import { type ChartSpeaker, chartSpeaker, groupName } from './words.js'

interface BoxLine {
  readonly text: string
  readonly weight: 'normal' | 'bold'
  /** How many, in front of the text; the figures of a box stand under each other. */
  readonly count?: string
}

interface Box {
  readonly left: number
  readonly top: number
  readonly width: number
  readonly height: number
  readonly lines: readonly BoxLine[]
  /** Room for the counts of the box. */
  readonly countPx: number
  readonly filled: boolean
}

interface Columns {
  readonly main: { readonly left: number; readonly width: number }
  readonly side: { readonly left: number; readonly width: number }
  readonly measures: FigureMeasures
}

const boxPaddingPx = 8
const gapPx = 18

/**
 * Vega-Lite specification of the way from the rows that were read to the restorations that were analysed, with what
 * was left out at each step and why. Steps that left nothing out stand in the table, not in the figure.
 *
 * @param summary what the cohort says about its source
 * @param options size (default page), generated (default false)
 * @example attritionDiagram(cohort.summary).description.slice(0, 40) // => "From 1,227 rows read to the cohort: left"
 */
export function attritionDiagram(summary: CohortSummary, options: FigureOptions = {}): ChartSpecification {
  const size = options.size ?? 'page'
  const measures = figureMeasures[size]
  const columns = columnsOf(measures)
  const by = chartSpeaker(options)
  const boxes = stackedBoxes(summary, columns, by)
  const bottom = Math.max(...boxes.map((box) => box.top + box.height))
  const foot = footLayers([], options.generated ?? false, {
    x: 0,
    y: bottom + 10,
    roomPx: measures.widthPx - 2 * edgePx,
    size,
    language: by.language,
  })
  return framed({
    size,
    margins: { left: edgePx, right: edgePx, top: edgePx, bottom: 10 + foot.heightPx + edgePx },
    plotHeightPx: bottom,
    heading: by.text(message('caption.figure.attrition')),
    description: attritionInWords(summary, by),
    language: by.language,
    layers: [
      ...arrowLayers(boxes, columns),
      ...boxes.map(boxLayer),
      ...boxes.flatMap((box) => boxTexts(box, measures)),
      ...foot.layers,
    ],
  })
}

function columnsOf(measures: FigureMeasures): Columns {
  const room = measures.widthPx - 2 * edgePx
  const mainWidth = Math.round(room * 0.44)
  const between = Math.round(room * 0.07)
  return {
    main: { left: 0, width: mainWidth },
    side: { left: mainWidth + between, width: room - mainWidth - between },
    measures,
  }
}

function stackedBoxes(summary: CohortSummary, columns: Columns, by: ChartSpeaker): Box[] {
  const { attrition } = summary
  const steps = attrition.steps.filter((step) => step.leftOut > 0)
  const leftOut = steps.reduce((sum, step) => sum + step.leftOut, 0)
  const boxes: Box[] = []
  let top = 0
  const place = (column: 'main' | 'side', lines: readonly BoxLine[]): void => {
    const box = boxOf(columns, column, lines, top)
    boxes.push(box)
    top += box.height + gapPx
  }
  place('main', [bold(by.text(message('chart.rows-read', { rows: by.number(attrition.rowsRead, 'count') })))])
  if (steps.length > 0) {
    place('side', [
      bold(by.text(message('chart.left-out', { restorations: by.number(leftOut, 'count') }))),
      ...steps.map((step) => counted(step.leftOut, by.text(message(`left-out.${step.code}`)), by)),
    ])
  }
  place('main', [
    bold(by.text(message('chart.included', { restorations: by.number(attrition.included, 'count') }))),
    { text: by.text(message('chart.in-patients', { patients: summary.patients })), weight: 'normal' },
  ])
  const groups = summary.exposure.filter((group) => group.restorations > 0)
  if (groups.length > 0) {
    const lines = groups.map((group) => counted(group.restorations, groupName(group.group, by), by))
    place('main', [bold(by.text(message('chart.by-handling'))), ...lines])
  }
  return boxes
}

function boxOf(columns: Columns, column: 'main' | 'side', lines: readonly BoxLine[], top: number): Box {
  const { left, width } = columns[column]
  const { textPx, leadPx } = columns.measures
  const counts = lines.flatMap((line) => (line.count === undefined ? [] : [line.count]))
  const countPx = counts.length === 0 ? 0 : widestText(counts, textPx) + 8
  const wrapped = lines.flatMap(({ text, weight, count }) => {
    const room = width - 2 * boxPaddingPx - (count === undefined ? 0 : countPx)
    return wrapText(text, room, textPx, { weight, mostLines: 6 }).map(
      (part, index): BoxLine =>
        count === undefined
          ? { text: part, weight }
          : { text: part, weight, count: index === 0 ? count : '' },
    )
  })
  const height = wrapped.length * leadPx + 2 * boxPaddingPx
  return { left, top, width, height, lines: wrapped, countPx, filled: column === 'main' }
}

function boxLayer(box: Box): ChartLayer {
  return {
    name: box.filled ? 'kept' : 'left_out',
    data: { values: [{}] },
    mark: {
      type: 'rect',
      fill: box.filled ? neutralInk.panel.light : neutralInk.surface.light,
      stroke: neutralInk.frame.light,
      strokeWidth: 1,
      cornerRadius: 3,
    },
    encoding: {
      x: { value: box.left },
      x2: { value: box.left + box.width },
      y: { value: box.top },
      y2: { value: box.top + box.height },
    },
  }
}

function boxTexts(box: Box, measures: FigureMeasures): ChartLayer[] {
  return box.lines.flatMap(({ text, weight, count }, line) => {
    const x = box.left + boxPaddingPx
    const y = box.top + boxPaddingPx + (line + 0.5) * measures.leadPx
    const style = { weight, y, sizePx: measures.textPx }
    if (count === undefined) return [textLayer({ ...style, text, x })]
    const words = textLayer({ ...style, text, x: x + box.countPx })
    return count === ''
      ? [words]
      : [textLayer({ ...style, text: count, x: x + box.countPx - 8, align: 'right' }), words]
  })
}

/** A line down from box to box of the main column, with a branch to each side box that it passes. */
function arrowLayers(boxes: readonly Box[], columns: Columns): ChartLayer[] {
  const x = columns.main.left + columns.main.width / 2
  const kept = boxes.filter((box) => box.filled)
  const downs = kept.slice(1).flatMap((box, index) => {
    const from = kept[index]!.top + kept[index]!.height
    return [line(x, from, x, box.top - 3), head('triangle-down', x, box.top - 4)]
  })
  const branches = boxes
    .filter((box) => !box.filled)
    .flatMap((box) => {
      const y = box.top + box.height / 2
      return [line(x, y, box.left - 3, y), head('triangle-right', box.left - 4, y)]
    })
  return [...downs, ...branches]
}

function line(x: number, y: number, toX: number, toY: number): ChartLayer {
  return {
    name: 'arrow',
    data: { values: [{}] },
    mark: { type: 'rule', color: neutralInk.frame.light, strokeWidth: 1.2 },
    encoding: { x: { value: x }, x2: { value: toX }, y: { value: y }, y2: { value: toY } },
  }
}

function head(shape: 'triangle-down' | 'triangle-right', x: number, y: number): ChartLayer {
  return {
    name: 'arrow_head',
    data: { values: [{}] },
    mark: { type: 'point', shape, filled: true, fill: neutralInk.frame.light, size: 36, opacity: 1 },
    encoding: { x: { value: x }, y: { value: y } },
  }
}

function bold(text: string): BoxLine {
  return { text, weight: 'bold' }
}

function counted(count: number, text: string, by: ChartSpeaker): BoxLine {
  return { text, weight: 'normal', count: by.number(count, 'count') }
}

/** Text alternative. */
function attritionInWords({ attrition, patients }: CohortSummary, by: ChartSpeaker): string {
  const steps = attrition.steps
    .filter(({ leftOut }) => leftOut > 0)
    .map(({ code, leftOut }) =>
      message('chart.attrition-step', {
        restorations: by.number(leftOut, 'count'),
        reason: message(`left-out.${code}`),
      }),
    )
  return by.text(
    message('chart.attrition', {
      read: by.number(attrition.rowsRead, 'count'),
      steps:
        steps.length === 0
          ? message('chart.attrition-none')
          : message('chart.attrition-steps', { steps: listOf(steps, 'semicolon') }),
      included: attrition.included,
      patients,
    }),
  )
}
