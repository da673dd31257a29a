import { message } from '../messages/message.js'
import type { FormatName } from '../messages/numberFormats.js'
import { type Speaker, speaker } from '../messages/speaker.js'
import { type ChartLayer, type ChartSpecification, chartSchema } from './specification.js'
import { textWidth, wrapText } from './textWidth.js'
import { chartConfig, type FigureMeasures, type FigureSize, figureMeasures, neutralInk } from './theme.js'
import { printable } from './words.js'

/** Margins around the plot, in pixels. */
export interface Margins {
  readonly left: number
  readonly right: number
  readonly top: number
  readonly bottom: number
}

/** What is needed to close a chart into a specification. */
export interface FrameOptions {
  readonly size: FigureSize
  readonly margins: Margins
  readonly plotHeightPx: number
  /** What the figure shows, for a caption. */
  readonly heading: string
  readonly description: string
  /** Language in which numbers on the axes are written; default `en`. */
  readonly language?: string
  readonly layers: readonly ChartLayer[]
}

/** Outer margin of every figure: nothing is drawn nearer to its edge. */
export const edgePx = 4

/** Width of the plot that is left between the margins. */
export function plotWidth(size: FigureSize, margins: Pick<Margins, 'left' | 'right'>): number {
  return figureMeasures[size].widthPx - margins.left - margins.right
}

/** Closes layers into a specification whose picture has exactly the width of its size. */
export function framed(options: FrameOptions): ChartSpecification {
  const { size, margins, plotHeightPx, heading, description, layers } = options
  return {
    $schema: chartSchema,
    description: printable(description),
    usermeta: { heading: printable(heading) },
    autosize: 'none',
    padding: { ...margins },
    width: plotWidth(size, margins),
    height: plotHeightPx,
    config: chartConfig(size, options.language),
    layer: numbered([...layers.filter((layer) => !isPlaced(layer)), ...gathered(layers.filter(isPlaced))]),
  }
}

/** A picture with notes, and with what marks generated data, below its plot. */
export interface FootedOptions extends Omit<FrameOptions, 'margins'> {
  /** Margins but the one below, which is as high as what stands there. */
  readonly margins: Pick<Margins, 'left' | 'right' | 'top'>
  readonly foot: {
    readonly notes: readonly string[]
    readonly generated: boolean
    /** Where the notes begin, in pixels from the top of the plot. */
    readonly topPx: number
  }
}

/** Closes layers into a specification with a foot. */
export function framedWithFoot({ margins, foot, ...picture }: FootedOptions): ChartSpecification {
  const { size, language, plotHeightPx, layers } = picture
  const { layers: below, heightPx } = footLayers(foot.notes, foot.generated, {
    x: edgePx - margins.left,
    y: foot.topPx,
    roomPx: figureMeasures[size].widthPx - 2 * edgePx,
    size,
    ...(language === undefined ? {} : { language }),
  })
  return framed({
    ...picture,
    margins: { ...margins, bottom: foot.topPx + heightPx + edgePx - plotHeightPx },
    layers: [...layers, ...below],
  })
}

/** Layers with a name of their own each, as Vega-Lite wants them. */
function numbered(layers: readonly ChartLayer[]): ChartLayer[] {
  return layers.map((layer, index) => ({ ...layer, name: `${layer.name ?? 'text'}_${index}` }))
}

function isPlaced({ mark, encoding }: ChartLayer): boolean {
  return mark.type === 'text' && encoding.x?.value !== undefined && encoding.y?.value !== undefined
}

/** Placed texts of one style become one layer, since every layer costs time; they are drawn above all else. */
function gathered(layers: readonly ChartLayer[]): ChartLayer[] {
  const byStyle = new Map<string, ChartLayer>()
  for (const { data, mark, encoding } of layers) {
    const style = JSON.stringify(mark)
    const together = byStyle.get(style) ?? { name: 'text', data: { values: [] }, mark, encoding: placedTexts }
    together.data.values.push({ ...data.values[0]!, x: encoding.x!.value!, y: encoding.y!.value! })
    byStyle.set(style, together)
  }
  return [...byStyle.values()]
}

const placedTexts: ChartLayer['encoding'] = {
  x: { field: 'x', type: 'quantitative', scale: null, axis: null },
  y: { field: 'y', type: 'quantitative', scale: null, axis: null },
  text: { field: 'text', type: 'nominal' },
}

/** Text at a fixed place, in pixels from the upper left corner of the plot. */
export interface PlacedText {
  readonly text: string
  readonly x: number
  readonly y: number
  readonly align?: 'left' | 'center' | 'right'
  readonly color?: string
  readonly weight?: 'normal' | 'bold'
  readonly sizePx?: number
}

/** A layer that holds one text at a fixed place. */
export function textLayer(placed: PlacedText): ChartLayer {
  return {
    data: { values: [{ text: placed.text }] },
    mark: {
      type: 'text',
      align: placed.align ?? 'left',
      baseline: 'middle',
      color: placed.color ?? neutralInk.text.light,
      fontWeight: placed.weight ?? 'normal',
      ...(placed.sizePx === undefined ? {} : { fontSize: placed.sizePx }),
    },
    encoding: {
      x: { value: placed.x },
      y: { value: placed.y },
      text: { field: 'text', type: 'nominal' },
    },
  }
}

/** Where lines of small text start, and how wide they may run. */
export interface LinesPlace {
  readonly x: number
  readonly y: number
  readonly roomPx: number
  readonly size: FigureSize
  /** Language of the line that marks generated data; default `en`. */
  readonly language?: string
}

/** Layers of text lines together with the height that they take. */
export interface PlacedLayers {
  readonly layers: ChartLayer[]
  readonly heightPx: number
}

/** Notes in small quiet text, from a given height downwards. */
function noteLayers(notes: readonly string[], place: LinesPlace): PlacedLayers {
  const { smallTextPx } = figureMeasures[place.size]
  const lines = notes.flatMap((note) => wrapText(note, place.roomPx, smallTextPx))
  return lineLayers(lines, place, { color: neutralInk.quiet.light, weight: 'normal' })
}

/** The line that marks a picture of generated data. */
function generatedLayers(generated: boolean, place: LinesPlace): PlacedLayers {
  if (!generated) return { layers: [], heightPx: 0 }
  const { smallTextPx } = figureMeasures[place.size]
  const lines = wrapText(
    speaker(place.language).text(message('chart.generated')),
    place.roomPx,
    smallTextPx,
    { weight: 'bold' },
  )
  return lineLayers(lines, place, { color: neutralInk.warning.light, weight: 'bold' })
}

function lineLayers(
  lines: readonly string[],
  place: LinesPlace,
  style: Pick<PlacedText, 'color' | 'weight'>,
): PlacedLayers {
  const { smallTextPx, leadPx } = figureMeasures[place.size]
  const layers = lines.map((text, index) =>
    textLayer({ ...style, text, x: place.x, y: place.y + (index + 0.5) * leadPx, sizePx: smallTextPx }),
  )
  return { layers, heightPx: lines.length * leadPx }
}

/** Notes and, where the data are generated, the line that says so. */
export function footLayers(notes: readonly string[], generated: boolean, place: LinesPlace): PlacedLayers {
  const above = noteLayers(notes, place)
  const below = generatedLayers(generated, { ...place, y: place.y + above.heightPx })
  return { layers: [...above.layers, ...below.layers], heightPx: above.heightPx + below.heightPx }
}

/** Heading above the plot: what the vertical direction shows, in lines that fit. */
export function headingLines(text: string, size: FigureSize): string[] {
  const { widthPx, textPx } = figureMeasures[size]
  return wrapText(text, widthPx - 2 * edgePx, textPx, { weight: 'bold' })
}

/** Layers of the heading above the plot. */
export function headingLayers(
  lines: readonly string[],
  measures: FigureMeasures,
  margins: Margins,
): ChartLayer[] {
  return lines.map((text, index) =>
    textLayer({
      text,
      x: edgePx - margins.left,
      y: edgePx - margins.top + (index + 0.5) * measures.leadPx,
      weight: 'bold',
      sizePx: measures.textPx,
    }),
  )
}

/** Note that an axis starts above zero, or none. */
export function axisNotes(start: number, format: FormatName, by: Speaker): string[] {
  return start === 0 ? [] : [by.text(message('chart.axis-start', { start: by.number(start, format) }))]
}

/** Whether texts of given widths, centred on evenly spaced places, keep clear of each other. */
export function fitsSpacing(texts: readonly string[], spacingPx: number, sizePx: number): boolean {
  return texts.every((text) => textWidth(text, sizePx) + 8 <= spacingPx)
}
