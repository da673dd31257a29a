import { createRequire } from 'node:module'
import { crc32 } from 'node:zlib'
import { UsageError } from '../core/errors.js'
import { css } from '../core/markup.js'
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

/** Bytes of a PNG before its first chunk after the header: the signature and IHDR. */
const headBytes = 33

/**
 * The same PNG (W3C 2003) with its resolution (chunk pHYs), so that it opens at its real size: the drawing library,
 * which encodes it, leaves the resolution out.
 */
function withResolution(png: Uint8Array, dpi: number): Uint8Array {
  const content = Buffer.alloc(13)
  const dotsPerMetre = Math.round(dpi / 0.0254)
  content.write('pHYs', 0, 'latin1')
  content.writeUInt32BE(dotsPerMetre, 4)
  content.writeUInt32BE(dotsPerMetre, 8)
  content.writeUInt8(1, 12)
  const chunk = Buffer.alloc(21)
  chunk.writeUInt32BE(9, 0)
  content.copy(chunk, 4)
  chunk.writeUInt32BE(crc32(content), 17)
  return Buffer.concat([png.subarray(0, headBytes), chunk, png.subarray(headBytes)])
}

/** A box of a picture, in pixels from its upper left corner, with what a reader is told who points there. */
export interface ChartReading {
  readonly left: number
  readonly top: number
  readonly right: number
  readonly bottom: number
  /** Which of the marks it belongs to, such as one curve among several: 0, 1, 2… in the order of drawing. */
  readonly layer: number
  /** One line or more: what is pointed at, then what it shows. */
  readonly text: string
}

/** The part of the scene graph of Vega that holds marks and their items. */
interface SceneMark {
  readonly marktype?: string
  readonly items?: readonly SceneItem[]
}

interface SceneItem {
  readonly x?: number
  readonly y?: number
  readonly tooltip?: unknown
  readonly bounds?: { readonly x1: number; readonly y1: number; readonly x2: number; readonly y2: number }
  readonly items?: readonly SceneMark[]
}

/**
 * What can be read off a drawn chart by pointing at it: every mark that carries a tooltip, with the box that it takes.
 *
 * @param root top of the scene graph of a Vega view that has been run
 * @param padding room of the picture left of and above the plot
 */
function chartReadings(
  root: object,
  padding: { readonly left: number; readonly top: number },
): readonly ChartReading[] {
  const readings: ChartReading[] = []
  const layers = new Map<SceneMark, number>()
  const visit = (mark: SceneMark, left: number, top: number): void => {
    for (const item of mark.items ?? []) {
      if (mark.marktype === 'group') {
        for (const inner of item.items ?? []) visit(inner, left + (item.x ?? 0), top + (item.y ?? 0))
      } else if (typeof item.tooltip === 'string' && item.bounds !== undefined) {
        const { x1, y1, x2, y2 } = item.bounds
        if (!layers.has(mark)) layers.set(mark, layers.size)
        readings.push({
          left: Math.round(left + x1),
          top: Math.round(top + y1),
          right: Math.round(left + x2),
          bottom: Math.round(top + y2),
          layer: layers.get(mark)!,
          text: item.tooltip,
        })
      }
    }
  }
  visit(root as SceneMark, padding.left, padding.top)
  return readings
}
