import { setImmediate } from 'node:timers/promises'
import { parentPort } from 'node:worker_threads'
import { type DrawnChart, drawChart, loadVega, pngFromSvg } from './render.js'
import type { ChartSpecification } from './specification.js'

/** A picture that the thread is asked for. */
export interface PictureOrder {
  readonly order: number
  readonly specification: ChartSpecification
  readonly widthMm: number
}

/** What the thread answers, twice to each order unless something went wrong: first with the chart, then with the PNG. */
export type PictureAnswer =
  | { readonly order: number; readonly chart: DrawnChart }
  | { readonly order: number; readonly png: Uint8Array }
  | { readonly order: number; readonly error: unknown }

/** Pictures whose pixels are held at once: they are large, and must not pile up. */
const mostAtOnce = 2

interface DrawnSvg {
  readonly order: number
  readonly svg: string
  readonly widthMm: number
}

const waiting: DrawnSvg[] = []
let drawing = 0
/** The SVG are drawn one after the other, in the order in which they were asked for; between them, PNG get their turn. */
let turn: Promise<unknown> = loadVega()

async function drawSvg({ order, specification, widthMm }: PictureOrder): Promise<void> {
  try {
    const chart = await drawChart(specification)
    parentPort!.postMessage({ order, chart } satisfies PictureAnswer)
    waiting.push({ order, svg: chart.svg, widthMm })
    if (drawing < mostAtOnce) void drawPng()
  } catch (error) {
    parentPort!.postMessage({ order, error } satisfies PictureAnswer)
  }
}

async function drawPng(): Promise<void> {
  const next = waiting.shift()
  if (next === undefined) return
  drawing++
  const { order, svg, widthMm } = next
  try {
    const png = await pngFromSvg(svg, { widthMm })
    parentPort!.postMessage({ order, png } satisfies PictureAnswer)
  } catch (error) {
    parentPort!.postMessage({ order, error } satisfies PictureAnswer)
  }
  drawing--
  void drawPng()
}

parentPort?.on('message', (order: PictureOrder) => {
  turn = turn.then(() => drawSvg(order)).then(() => setImmediate())
})
