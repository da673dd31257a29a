import type { Quantity } from '../core/estimate.js'
import type { PlotAxis } from './plotAxis.js'
import type { ChannelDefinition, DashPattern, PointShape } from './specification.js'
import type { FigureMeasures, FigureSize } from './theme.js'

/** One place of a line, with its band where it has one. */
export interface LinePoint {
  readonly x: number
  readonly y: number
  readonly lower?: Quantity
  readonly upper?: Quantity
  /** What a reader is told who points there. */
  readonly reading?: string
}

/** One line, as far as it is drawn. */
export interface PlotLine {
  /** Name at the end of the line; none where it is empty. */
  readonly label: string
  readonly color: string
  readonly dash: DashPattern
  readonly points: readonly LinePoint[]
  readonly interpolate: 'linear' | 'step-after'
  readonly band: boolean
  /** Thin lines are limits and means, not results. */
  readonly thin?: boolean
}

/** One mark, with a text beside it where it has one. */
export interface PlotMark {
  readonly x: number
  readonly y: number
  readonly lower?: Quantity
  readonly upper?: Quantity
  readonly color: string
  readonly shape: PointShape
  readonly open: boolean
  readonly text?: string
  /** Where the text stands; default beside the mark, where there is room. */
  readonly textSide?: 'beside' | 'above' | 'below'
  /** What a reader is told who points at it. */
  readonly reading?: string
}

/** A span of the horizontal axis that is shaded. */
export interface PlotSpan {
  readonly from: number
  readonly to: number
}

/** A line across the plot, with a text at its end where it has one. */
export interface PlotRule {
  readonly axis: 'x' | 'y'
  readonly at: number
  readonly text?: string
  readonly dash: DashPattern
}

/** What a plot of lines and marks shows; the heading says what the vertical direction is. */
export interface LinePlot {
  readonly size: FigureSize
  readonly generated: boolean
  /** Default `en`. */
  readonly language?: string
  readonly heading: string
  readonly description: string
  readonly lines: readonly PlotLine[]
  readonly marks: readonly PlotMark[]
  readonly spans: readonly PlotSpan[]
  readonly rules: readonly PlotRule[]
  readonly x: PlotAxis
  readonly y: PlotAxis
  readonly notes: readonly string[]
  /** Whether the plot takes three fifths of the usual height, for pages that hold several; default false. */
  readonly flat?: boolean
}

/** Where everything of a plot of lines stands. */
export interface LineLayout {
  readonly measures: FigureMeasures
  readonly margins: {
    readonly left: number
    readonly right: number
    readonly top: number
    readonly bottom: number
  }
  readonly width: number
  readonly height: number
  readonly x: ChannelDefinition
  readonly y: ChannelDefinition
  readonly labels: readonly (readonly string[])[]
  readonly headingLines: readonly string[]
}
