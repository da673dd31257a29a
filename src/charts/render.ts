import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import { UsageError } from '../core/errors.js'
import { pngOf } from './png.js'
import { type ChartReading, chartReadings } from './readings.js'
import type { ChartSpecification } from './specification.js'
import { finishedSvg } from './svg.js'

/** Options of a rendered PNG. */
export interface PngOptions {
  /** Width in millimetres; default: the width of the picture at 96 pixels an inch. */
  readonly widthMm?: number
  /** Dots an inch; default 300. */
  readonly dpi?: number
}

const millimetresPerInch = 25.4
const pixelsPerInch = 96
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
  const { vega, vegaLite } = await loadVega()
  try {
    const compiled = vegaLite.compile(specification as never).spec
    const view = new vega.View(vega.parse(compiled), { renderer: 'none', logLevel: vega.Error })
    const svg = await view.toSVG()
    const readings = readingsOf(view)
    view.finalize()
    return { svg: finishedSvg(svg, descriptionOf(specification)), readings }
  } catch (cause) {
    throw new UsageError({
      code: 'unreadable-specification',
      problem: `the chart specification cannot be drawn (${cause instanceof Error ? cause.message : 'no reason given'}).`,
      expected: 'a Vega-Lite specification.',
      mend: 'use a specification that a chart function returned, or correct the one of your own.',
    })
  }
}

/** The types of Vega leave the root of its scene graph out. */
function readingsOf(view: import('vega').View): readonly ChartReading[] {
  const { root } = view.scenegraph() as unknown as { readonly root: object }
  return chartReadings(root, view.padding() as { left: number; top: number })
}

/** Renders a Vega-Lite specification as PNG, by default at 300 dots an inch of its own width. */
export async function renderPng(
  specification: ChartSpecification | object,
  options: PngOptions = {},
): Promise<Uint8Array> {
  return pngFromSvg(await renderSvg(specification), options)
}

/** Turns an SVG that `renderSvg` made into PNG; the same options. */
export async function pngFromSvg(svg: string, options: PngOptions = {}): Promise<Uint8Array> {
  const dpi = options.dpi ?? 300
  const widthMm = options.widthMm ?? (svgSizePx(svg).width / pixelsPerInch) * millimetresPerInch
  if (!(dpi > 0 && dpi <= 1200) || !(widthMm > 0 && widthMm <= 1000)) {
    throw new UsageError({
      code: 'picture-size',
      problem: `a picture of ${widthMm} mm at ${dpi} dots an inch cannot be made.`,
      expected: 'a width above 0 and up to 1,000 mm, and above 0 and up to 1,200 dots an inch.',
      mend: 'give widthMm and dpi within these limits.',
    })
  }
  const { renderAsync } = await import('@resvg/resvg-js')
  const picture = await renderAsync(svg, {
    fitTo: { mode: 'width', value: Math.round((widthMm / millimetresPerInch) * dpi) },
    font: {
      loadSystemFonts: false,
      fontFiles: fontFiles.map(fontPath),
      defaultFontFamily: 'DejaVu Sans Condensed',
    },
  })
  return pngOf({ width: picture.width, height: picture.height, pixels: picture.pixels }, dpi)
}

/** Bytes of the font of our figures, for those who embed it. */
export async function figureFontBytes(weight: 'normal' | 'bold' = 'normal'): Promise<Uint8Array> {
  return readFile(fontPath(fontFiles[weight === 'bold' ? 1 : 0]))
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
  for (const file of fontFiles) canvas.GlobalFonts.registerFromPath(fontPath(file), 'DejaVu Sans Condensed')
  const [vega, vegaLite] = await Promise.all([import('vega'), import('vega-lite')])
  return { vega, vegaLite }
}

function fontPath(file: string): string {
  return createRequire(import.meta.url).resolve(`dejavu-fonts-ttf/ttf/${file}`)
}

/** Size of an SVG that `renderSvg` made, in pixels at 96 to the inch. */
export function svgSizePx(svg: string): { readonly width: number; readonly height: number } {
  const [, width, height] = /<svg[^>]* width="([\d.]+)" height="([\d.]+)"/.exec(svg) ?? []
  return { width: Number(width ?? Number.NaN), height: Number(height ?? Number.NaN) }
}

function descriptionOf(specification: object): string {
  const { description } = specification as { description?: unknown }
  return typeof description === 'string' ? description : ''
}
