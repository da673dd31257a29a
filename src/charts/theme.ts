import { formatNumber, percentSign } from '../core/format.js'
import { css } from '../core/markup.js'
import type { ChartConfig, DashPattern, NumberLocale, PointShape } from './specification.js'

/** Colours of one group on a light and on a dark surface. */
export interface GroupInk {
  readonly light: string
  readonly dark: string
}

/** How a group is told apart: by colour, by dash and by point shape, so that any two of them may be lost. */
export interface GroupMark {
  readonly ink: GroupInk
  readonly dash: DashPattern
  readonly shape: PointShape
}

/**
 * Colours that belong to no group. Chosen in OKLCH for this project; text has a contrast of at least 4.5 : 1 with
 * the surface, marks at least 3 : 1 (tests/charts/theme.test.ts). Grid lines carry no information and are fainter.
 */
export const neutralInk = Object.freeze({
  surface: Object.freeze({ light: '#ffffff', dark: '#13191f' }),
  text: Object.freeze({ light: '#1f2730', dark: '#e3e8ee' }),
  quiet: Object.freeze({ light: '#59616b', dark: '#a4acb4' }),
  grid: Object.freeze({ light: '#dadee3', dark: '#31363b' }),
  frame: Object.freeze({ light: '#81868c', dark: '#777c82' }),
  panel: Object.freeze({ light: '#f1f4f7', dark: '#1e252c' }),
  warning: Object.freeze({ light: '#8a3b06', dark: '#f0a35e' }),
}) satisfies Readonly<Record<string, GroupInk>>

/** Marks of the exposure groups of the delivery day, of all restorations together and of competing events. */
export const groupMarks: Readonly<Record<string, GroupMark>> = Object.freeze({
  all: mark('#1f2730', '#e3e8ee', [1, 0], 'circle'),
  single: mark('#183e76', '#8fc4f1', [1, 0], 'circle'),
  'repeated in the window': mark('#c3501a', '#ef8448', [9, 3], 'square'),
  'repeated outside the window': mark('#007d70', '#5ec6b6', [5, 2, 1, 2], 'diamond'),
  'repeated, wait not recorded': mark('#b0423c', '#e0766f', [8, 8], 'triangle-left'),
  'single, by the chart': mark('#3b3a8c', '#b9bcf8', [24, 3], 'triangle-right'),
  'undone and tightened again': mark('#8b327b', '#da81c7', [3, 2], 'triangle-up'),
  other: mark('#7d7609', '#c9c261', [12, 3, 2, 3], 'triangle-down'),
  unknown: mark('#6f757b', '#999fa6', [1, 2], 'cross'),
  competing: mark('#636a73', '#aab0b8', [2, 5], 'stroke'),
})

/**
 * Mark of a group. A name that the theme does not know gets a mark by its place among the groups of the result, or that
 * of "other" where none are given.
 */
export function groupMark(group: string, among: readonly string[] = []): GroupMark {
  if (Object.hasOwn(groupMarks, group)) return groupMarks[group]!
  const place = among.indexOf(group)
  return place < 0 ? groupMarks.other! : marksInTurn[place % marksInTurn.length]!
}

/** Marks of groups that have none of their own, in turn. */
const marksInTurn: readonly GroupMark[] = Object.entries(groupMarks)
  .filter(([name]) => !['all', 'unknown', 'competing'].includes(name))
  .map(([, own]) => own)

/**
 * Family of every text in a figure. The first is the font that ships with the toolkit and by which room is measured;
 * the others are no wider on the whole, so that labels keep clear of each other where it is missing.
 */
const figureFont = css`DejaVu Sans Condensed, Arial, Helvetica, sans-serif`

/** Sizes of a figure: one journal column (90 mm), the page (190 mm), and a screen or slide. */
export type FigureSize = 'column' | 'page' | 'screen'

/** Lengths of one figure size in CSS pixels (96 to the inch). */
export interface FigureMeasures {
  readonly widthPx: number
  readonly plotHeightPx: number
  readonly textPx: number
  readonly smallTextPx: number
  readonly linePx: number
  /** Height of one line of text. */
  readonly leadPx: number
}

/** Measures of each figure size. */
export const figureMeasures: Readonly<Record<FigureSize, FigureMeasures>> = Object.freeze({
  column: measures(340, 200, 10.5, 9.5, 1.5, 14),
  page: measures(718, 300, 12, 11, 1.8, 16),
  screen: measures(960, 420, 15, 13.5, 2.4, 20),
})

/** Widths for print in millimetres. */
export const figureWidthsMm = Object.freeze({ column: 90, page: 190 })

/** Options that every chart takes. */
export interface FigureOptions {
  /** Size of the figure; default page (190 mm). */
  readonly size?: FigureSize
  /** Whether the data are generated: the figure then says so; default false. */
  readonly generated?: boolean
  /** Language of the words in the figure; default en. */
  readonly language?: string
  /** Minutes by which groups of tightening are named as in the tables beside the figure; without it their shortest names. */
  readonly window?: { readonly from: number; readonly to: number }
}

/** What every plot is told of its frame, with defaults filled in. */
export function frameOf({
  size = 'page',
  generated = false,
  language = 'en',
}: FigureOptions): Required<Omit<FigureOptions, 'window'>> {
  return { size, generated, language }
}

/** Configuration that every specification carries: fonts and colours, nothing that moves with the data. */
export function chartConfig(size: FigureSize, language = 'en'): ChartConfig {
  const { textPx, smallTextPx } = figureMeasures[size]
  const ink = neutralInk
  return {
    aria: false,
    ...(language === 'en' ? {} : { locale: { number: numberLocale(language) } }),
    background: ink.surface.light,
    font: figureFont,
    view: { stroke: null },
    text: { color: ink.text.light, fontSize: textPx },
    axis: {
      domainColor: ink.frame.light,
      tickColor: ink.frame.light,
      gridColor: ink.grid.light,
      labelColor: ink.quiet.light,
      labelFlush: false,
      labelBound: false,
      labelFontSize: smallTextPx,
      labelLimit: 0,
      labelOverlap: false,
      labelPadding: 4,
      titleColor: ink.text.light,
      titleFontSize: textPx,
      titleFontWeight: 'normal',
      titleLimit: 0,
      tickSize: 5,
    },
  }
}

/** How Vega writes numbers of a language: as the one rounding of the core does. */
function numberLocale(language: string): NumberLocale {
  return {
    decimal: formatNumber(0.5, 1, language).charAt(1),
    thousands: formatNumber(10000, 0, language).charAt(2),
    grouping: [3],
    currency: ['', ''],
    percent: percentSign(language),
  }
}

function mark(light: string, dark: string, dash: DashPattern, shape: PointShape): GroupMark {
  return Object.freeze({
    ink: Object.freeze({ light, dark }),
    dash: Object.freeze(dash) as DashPattern,
    shape,
  })
}

function measures(
  widthPx: number,
  plotHeightPx: number,
  textPx: number,
  smallTextPx: number,
  linePx: number,
  leadPx: number,
): FigureMeasures {
  return Object.freeze({ widthPx, plotHeightPx, textPx, smallTextPx, linePx, leadPx })
}
