/**
 * The part of Vega-Lite that our charts use, spelt out. The types of vega-lite itself do not resolve in every
 * compiler that reads ours (a notebook kernel among them), and would there turn into `any` without a word.
 * tests/charts/render.test.ts holds these against the types of vega-lite.
 */

/** Lengths of dash and gap in turn. */
export type DashPattern = number[]

/** Shape of a point. */
export type PointShape =
  | 'circle'
  | 'square'
  | 'diamond'
  | 'triangle-up'
  | 'triangle-down'
  | 'triangle-left'
  | 'triangle-right'
  | 'cross'
  | 'stroke'

/** Value of a cell of chart data. */
export type ChartValue = string | number | boolean | null

/** One row of chart data. */
export type ChartRow = Readonly<Record<string, ChartValue>>

/** How a position gets its value: from a field of the data, or one place in pixels for all. */
export interface ChannelDefinition {
  field?: string
  type?: 'quantitative'
  value?: number
  scale?: {
    domain?: number[]
    type?: 'linear' | 'log'
    zero?: boolean
    nice?: boolean
  } | null
  axis?: AxisDefinition | null
}

/** Axis of a position channel. */
export interface AxisDefinition {
  title?: string | null
  values?: number[]
  format?: string
  labelExpr?: string
  grid?: boolean
  domain?: boolean
  ticks?: boolean
  labels?: boolean
  titleAnchor?: 'start' | 'middle' | 'end'
  titlePadding?: number
  zindex?: number
  offset?: number
}

/** Far end of a range, on the scale of its near end. */
export interface RangeEnd {
  field?: string
  value?: number
}

/** Channels of a layer. */
export interface ChannelSet {
  x?: ChannelDefinition
  x2?: RangeEnd
  y?: ChannelDefinition
  y2?: RangeEnd
  text?: { field: string; type: 'nominal' }
  /** What a reader is told who points at the mark; nothing of it is drawn. */
  tooltip?: { field: string; type: 'nominal' }
}

/** Mark of a layer. */
export interface MarkDefinition {
  type: 'line' | 'area' | 'rule' | 'text' | 'point' | 'rect' | 'bar'
  interpolate?: 'step-after' | 'linear'
  color?: string
  fill?: string
  stroke?: string
  strokeWidth?: number
  strokeDash?: DashPattern
  strokeCap?: 'butt' | 'round' | 'square'
  opacity?: number
  filled?: boolean
  shape?: PointShape
  size?: number
  height?: number
  cornerRadius?: number
  align?: 'left' | 'center' | 'right'
  baseline?: 'top' | 'middle' | 'bottom' | 'alphabetic'
  dx?: number
  dy?: number
  fontSize?: number
  fontWeight?: 'normal' | 'bold'
  lineHeight?: number
  clip?: boolean
}

/** One layer of a chart, with its own data. */
export interface ChartLayer {
  /** What the layer is: `curve`, `band`, `at_risk`…; the finished specification adds its number. */
  name?: string
  data: { values: ChartRow[] }
  mark: MarkDefinition
  encoding: ChannelSet
}

/** Configuration of a chart. */
export interface ChartConfig {
  /** How numbers of the axes are written; absent in English. */
  locale?: { number: NumberLocale }
  aria: boolean
  background: string
  font: string
  view: { stroke: null }
  text: { color: string; fontSize: number }
  axis: Readonly<Record<string, string | number | boolean>>
}

/** How Vega writes the numbers of a language. */
export interface NumberLocale {
  decimal: string
  thousands: string
  grouping: number[]
  currency: [string, string]
  percent: string
}

/** A Vega-Lite specification of a layered chart with fixed margins: what is drawn is exactly `width` by `height`. */
export interface ChartSpecification {
  $schema: string
  /** Short title, for a list of figures and for files. */
  title?: never
  /** Text alternative: what the figure shows, with its main numbers. */
  description: string
  /** What the figure shows, for a caption; Vega-Lite lets it be. */
  usermeta: { heading: string }
  autosize: 'none'
  padding: { left: number; right: number; top: number; bottom: number }
  width: number
  height: number
  config: ChartConfig
  layer: ChartLayer[]
}

/** Size of the picture of a chart in pixels at 96 to the inch: what is inside with the fixed margins around it. */
export function pictureSizePx({ width, height, padding }: ChartSpecification): {
  readonly width: number
  readonly height: number
} {
  return { width: width + padding.left + padding.right, height: height + padding.top + padding.bottom }
}

/** The schema that our specifications follow. */
export const chartSchema = 'https://vega.github.io/schema/vega-lite/v6.json'
