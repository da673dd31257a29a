import type { OverlapCell } from '../analysis/whoWasCompared.js'
import { formatCount } from '../core/format.js'
import {
  edgePx,
  fitsSpacing,
  footLayers,
  framed,
  headingLayers,
  headingLines,
  plotWidth,
  textLayer,
} from './frame.js'
import type { ChartLayer, ChartSpecification } from './specification.js'
import { textWidth, widestText, wrapText } from './textWidth.js'
import { type FigureOptions, figureMeasures, groupMark, neutralInk } from './theme.js'
import { barNote, comparedWords } from './variantWords.js'
import { groupName, markReading, printable } from './words.js'

/** Names of the groups whose cells are drawn. */
export interface OverlapPlotOptions extends FigureOptions {
  /** Group asked about. */
  readonly group: string
  /** Comparator. */
  readonly against: string
}

/** Operators above which rows are clinics. */
const mostOperators = 30

/** Height of a bar, and of a row of two. */
const barPx = 6
const rowPx = 2 * barPx + 8

interface GridRow {
  readonly label: string
  readonly cells: ReadonlyMap<number, { group: number; against: number }>
}

/**
 * Vega-Lite specification of where and when each way of tightening was used: a row for each operator of each clinic, a
 * column for each year of delivery, and in each cell a bar for the restorations of each group. Cells that hold both are
 * shaded: only there can like be compared with like.
 *
 * @param cells cells of who was compared
 * @param options names of the groups; size (default page), generated (default false)
 */
export function overlapPlot(cells: readonly OverlapCell[], options: OverlapPlotOptions): ChartSpecification {
  const size = options.size ?? 'page'
  const measures = figureMeasures[size]
  const { smallTextPx, leadPx, widthPx } = measures
  const { rows, byClinic } = gridRows(cells)
  const years = [...new Set(cells.map(({ year }) => year))].sort((left, right) => left - right)
  const labels = rows.map(({ label }) => wrapText(label, widthPx * 0.3, smallTextPx, { mostLines: 1 }))
  const heading = headingLines(comparedWords.overlapHeading, size)
  const margins = {
    left: Math.ceil(edgePx + widestText(labels.flat(), smallTextPx) + 10),
    right: edgePx + 4,
    top: edgePx + (heading.length + 2) * leadPx + 12,
    bottom: 0,
  }
  const width = plotWidth(size, margins)
  const height = Math.max(rowPx, rows.length * rowPx)
  const most = Math.max(
    1,
    ...rows.flatMap(({ cells: own }) => [...own.values()].flatMap((one) => [one.group, one.against])),
  )
  const foot = footLayers(
    [comparedWords.sharedCell, barNote(most), ...(byClinic ? [comparedWords.tooManyOperators] : [])],
    options.generated ?? false,
    { x: edgePx - margins.left, y: height + 8, roomPx: widthPx - 2 * edgePx, size },
  )
  const columnPx = width / Math.max(1, years.length)
  return framed({
    size,
    margins: { ...margins, bottom: 8 + foot.heightPx + edgePx },
    plotHeightPx: height,
    description: describe(rows, years, options),
    layers: [
      ...cellLayers(rows, years, columnPx, most, options),
      ...rowLabels(labels, smallTextPx),
      ...yearLabels(years, columnPx, smallTextPx),
      ...headingLayers(heading, measures, margins),
      ...legend(options, edgePx - margins.left, -2 * leadPx - 2, smallTextPx),
      ...foot.layers,
    ],
  })
}

function gridRows(cells: readonly OverlapCell[]): {
  readonly rows: readonly GridRow[]
  readonly byClinic: boolean
} {
  const operators = new Set(cells.map(({ clinic, operator }) => `${clinic}\u0000${operator}`))
  const byClinic = operators.size > mostOperators
  const rows = new Map<string, Map<number, { group: number; against: number }>>()
  for (const { clinic, operator, year, group, against } of cells) {
    const label = byClinic ? printable(clinic) : `${printable(clinic)} · ${printable(operator)}`
    const row = rows.get(label) ?? new Map()
    const own = row.get(year) ?? { group: 0, against: 0 }
    row.set(year, { group: own.group + group, against: own.against + against })
    rows.set(label, row)
  }
  return { rows: [...rows].map(([label, own]) => ({ label, cells: own })), byClinic }
}

/** Shading of shared cells, then a bar for each group, each in one layer. */
function cellLayers(
  rows: readonly GridRow[],
  years: readonly number[],
  columnPx: number,
  most: number,
  { group, against }: OverlapPlotOptions,
): ChartLayer[] {
  const boxes = rows.flatMap(({ label, cells }, r) =>
    years.flatMap((year, c) => {
      const own = cells.get(year)
      if (own === undefined) return []
      const reading = markReading(
        `${label}, ${year === 0 ? comparedWords.noYear : year}`,
        `${groupName(against)}: ${formatCount(own.against)}`,
        `${groupName(group)}: ${formatCount(own.group)}`,
      )
      return [{ ...own, left: c * columnPx, top: r * rowPx, reading }]
    }),
  )
  const bar = (count: number): number => ((columnPx - 6) * count) / most
  const rects = (
    name: string,
    color: string,
    values: { left: number; right: number; top: number; bottom: number; reading?: string }[],
  ): ChartLayer[] =>
    values.length === 0
      ? []
      : [
          {
            name,
            data: { values },
            mark: { type: 'rect', color, opacity: 1 },
            encoding: {
              x: { field: 'left', type: 'quantitative', scale: null, axis: null },
              x2: { field: 'right' },
              y: { field: 'top', type: 'quantitative', scale: null, axis: null },
              y2: { field: 'bottom' },
              ...(values[0]!.reading === undefined
                ? {}
                : { tooltip: { field: 'reading', type: 'nominal' } as const }),
            },
          },
        ]
  const bars = (kind: 'group' | 'against', offset: number) =>
    boxes
      .filter((box) => box[kind] > 0)
      .map((box) => ({
        left: box.left + 2,
        right: box.left + 2 + Math.max(1, bar(box[kind])),
        top: box.top + offset,
        bottom: box.top + offset + barPx,
        reading: box.reading,
      }))
  return [
    ...rects(
      'shared',
      neutralInk.grid.light,
      boxes
        .filter((box) => box.group > 0 && box.against > 0)
        .map(({ left, top }) => ({
          left,
          right: left + columnPx - 1,
          top: top + 1,
          bottom: top + rowPx - 1,
        })),
    ),
    ...rects('comparator', groupMark(against).ink.light, bars('against', 3)),
    ...rects('group', groupMark(group).ink.light, bars('group', 3 + barPx + 1)),
  ]
}

function rowLabels(labels: readonly (readonly string[])[], sizePx: number): ChartLayer[] {
  return labels.flatMap((lines, row) =>
    lines.map((text) => textLayer({ text, x: -6, y: (row + 0.5) * rowPx, align: 'right', sizePx })),
  )
}

/** Years above the columns; every second or fewer where they would touch. */
function yearLabels(years: readonly number[], columnPx: number, sizePx: number): ChartLayer[] {
  const texts = years.map((year) => (year === 0 ? '?' : String(year)))
  const step = [1, 2, 3, 5, 10].find((every) => fitsSpacing(texts, columnPx * every, sizePx)) ?? 20
  return texts.flatMap((text, column) =>
    column % step === 0
      ? [textLayer({ text, x: (column + 0.5) * columnPx, y: -8, align: 'center', sizePx })]
      : [],
  )
}

function legend({ group, against }: OverlapPlotOptions, x: number, y: number, sizePx: number): ChartLayer[] {
  const first = `${groupName(against)} (${comparedWords.upperBar})`
  const second = x + 16 + textWidth(first, sizePx) + 22
  const swatch = (left: number, name: string): ChartLayer => ({
    name: 'swatch',
    data: { values: [{ left, right: left + 12, top: y - 4, bottom: y + 4 }] },
    mark: { type: 'rect', color: groupMark(name).ink.light, opacity: 1 },
    encoding: {
      x: { field: 'left', type: 'quantitative', scale: null, axis: null },
      x2: { field: 'right' },
      y: { field: 'top', type: 'quantitative', scale: null, axis: null },
      y2: { field: 'bottom' },
    },
  })
  return [
    swatch(x, against),
    textLayer({ text: first, x: x + 16, y, sizePx }),
    swatch(second, group),
    textLayer({ text: `${groupName(group)} (${comparedWords.lowerBar})`, x: second + 16, y, sizePx }),
  ]
}

function describe(rows: readonly GridRow[], years: readonly number[], options: OverlapPlotOptions): string {
  const lines = rows.map(({ label, cells }) => {
    const own = years.flatMap((year) => {
      const cell = cells.get(year)
      return cell === undefined
        ? []
        : [
            `${year === 0 ? comparedWords.noYear : year} ${formatCount(cell.against)} and ${formatCount(cell.group)}`,
          ]
    })
    return `${label}: ${own.join(', ')}`
  })
  return `${comparedWords.overlapHeading}. Restorations by year, ${groupName(options.against)} and ${groupName(options.group)}. ${lines.join('. ')}.`
}
