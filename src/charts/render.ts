import { createRequire } from 'node:module'
import { UsageError } from '../core/errors.js'
import { css } from '../core/markup.js'
import { withResolution } from './png.js'
import { type ChartReading, chartReadings } from './readings.js'
import type { ChartSpecification } from './specification.js'
import { finishedSvg, svgSizePx } from './svg.js'

/** Options of a rendered PNG. */
export interface PngOptions {
  /** Width in millimetres; default: the width of the picture at 96 pixels an inch. */
  readonly widthMm?: number
  /** Dots an inch; default 300. */
  readonly dpi?: number
}

const millimetresPerInch = 25.4
const pixelsPerInch = 96
const usualDpi = 300
const fontFiles = ['DejaVuSansCondensed.ttf', 'DejaVuSansCondensed-Bold.ttf'] as const

/**
 * Renders a Vega-Lite specification as an SVG document. Equal specifications give equal bytes. Vega is loaded at the
 * first call, never before: it has a top-level await, which a notebook kernel cannot require.
 *
 * @throws UsageError `unreadable-specification` where Vega-Lite cannot compile it
 */
export async function renderSvg(specification: ChartSpecification | object): Promise<string> {
  return (await drawChart(specification)).svg
}

/** A chart as a picture, with what can be read off it by pointing. */
export interface DrawnChart {
  readonly svg: string
  readonly readings: readonly ChartReading[]
}

/**
 * Draws a Vega-Lite specification as `renderSvg` does, and tells what can be read off it.
 *
 * @throws UsageError `unreadable-specification` where Vega-Lite cannot compile it
 */
export async function drawChart(specification: ChartSpecification | object): Promise<DrawnChart> {
  const view = await openView(specification)
  const chart = await chartOf(view, specification)
  view.finalize()
  return chart
}

/** A chart drawn both ways; its PNG is encoded beside whatever goes on. */
export interface DrawnPicture {
  readonly chart: DrawnChart
  readonly png: Promise<Uint8Array>
}

/**
 * Draws a Vega-Lite specification once as SVG and as PNG.
 *
 * @throws UsageError `unreadable-specification` where Vega-Lite cannot compile it, `picture-size`
 */
export async function drawPicture(
  specification: ChartSpecification | object,
  options: PngOptions = {},
): Promise<DrawnPicture> {
  const view = await openView(specification)
  const chart = await chartOf(view, specification)
  const canvas = await drawnCanvas(view, svgSizePx(chart.svg).width, options)
  view.finalize()
  const png = canvas.encode('png').then((bytes) => withResolution(bytes, options.dpi ?? usualDpi))
  return { chart, png }
}

/** Renders a Vega-Lite specification as PNG, by default at 300 dots an inch of its own width. */
export async function renderPng(
  specification: ChartSpecification | object,
  options: PngOptions = {},
): Promise<Uint8Array> {
  return (await drawPicture(specification, options)).png
}

async function openView(specification: ChartSpecification | object): Promise<import('vega').View> {
  const { vega, vegaLite } = await loadVega()
  try {
    const compiled = vegaLite.compile(structuredClone(specification) as never).spec
    const view = new vega.View(vega.parse(compiled), { renderer: 'none', logLevel: vega.Error })
    return await view.runAsync()
  } catch (cause) {
    throw new UsageError({
      code: 'unreadable-specification',
      problem: `the chart specification cannot be drawn (${cause instanceof Error ? cause.message : 'no reason given'}).`,
      expected: 'a Vega-Lite specification.',
      mend: 'use a specification that a chart function returned, or correct the one of your own.',
    })
  }
}

async function chartOf(
  view: import('vega').View,
  specification: ChartSpecification | object,
): Promise<DrawnChart> {
  const svg = finishedSvg(await view.toSVG(), descriptionOf(specification))
  return { svg, readings: readingsOf(view) }
}

/** Draws at the asked width; a hair more, since the canvas takes whole pixels and drops what is left over. */
async function drawnCanvas(
  view: import('vega').View,
  widthPx: number,
  { widthMm = (widthPx / pixelsPerInch) * millimetresPerInch, dpi = usualDpi }: PngOptions,
): Promise<import('canvas').Canvas> {
  if (!(dpi > 0 && dpi <= 1200) || !(widthMm > 0 && widthMm <= 1000)) {
    throw new UsageError({
      code: 'picture-size',
      problem: `a picture of ${widthMm} mm at ${dpi} dots an inch cannot be made.`,
      expected: 'a width above 0 and up to 1,000 mm, and above 0 and up to 1,200 dots an inch.',
      mend: 'give widthMm and dpi within these limits.',
    })
  }
  const width = Math.round((widthMm / millimetresPerInch) * dpi)
  // The types of Vega know the canvas of a browser, not that of the drawing library.
  return (await view.toCanvas((width + 1e-6) / widthPx)) as unknown as import('canvas').Canvas
}

/** The types of Vega leave the root of its scene graph out. */
function readingsOf(view: import('vega').View): readonly ChartReading[] {
  const { root } = view.scenegraph() as unknown as { readonly root: object }
  return chartReadings(root, view.padding() as { left: number; top: number })
}

type LoadedVega = { vega: typeof import('vega'); vegaLite: typeof import('vega-lite') }
let loading: Promise<LoadedVega> | undefined

/** Loads Vega before the first picture is wanted. */
export function loadVega(): Promise<LoadedVega> {
  loading ??= loadWithFonts()
  return loading
}

/** Registers our font for the measuring canvas before Vega measures its first text. */
async function loadWithFonts(): Promise<LoadedVega> {
  const canvas = createRequire(import.meta.url)('canvas') as typeof import('canvas')
  for (const file of fontFiles)
    canvas.GlobalFonts.registerFromPath(fontPath(file), css`DejaVu Sans Condensed`)
  const [vega, vegaLite] = await Promise.all([import('vega'), import('vega-lite')])
  return { vega, vegaLite }
}

function fontPath(file: string): string {
  return createRequire(import.meta.url).resolve(`dejavu-fonts-ttf/ttf/${file}`)
}

function descriptionOf(specification: object): string {
  const { description } = specification as { description?: unknown }
  return typeof description === 'string' ? description : ''
}
