import { setImmediate } from 'node:timers/promises'
import { parentPort } from 'node:worker_threads'
import { type DrawnChart, drawChart, drawPicture, loadVega } from './render.js'
import type { ChartSpecification } from './specification.js'

/** A picture that the thread is asked for. */
export interface PictureOrder {
  readonly order: number
  readonly specification: ChartSpecification
  /** Width of the PNG; absent where none is wanted. */
  readonly pngWidthMm?: number
}

/** What the thread answers unless something went wrong: first the chart, then the PNG where one is wanted. */
export type PictureAnswer =
  | { readonly order: number; readonly chart: DrawnChart }
  | { readonly order: number; readonly png: Uint8Array }
  | { readonly order: number; readonly error: unknown }

/** Over before the first order is looked at. */
export const rehearsed: Promise<unknown> = loadVega()

/** The pictures are drawn one after the other, in the order in which they were asked for. */
let turn = rehearsed

async function draw({ order, specification, pngWidthMm }: PictureOrder): Promise<void> {
  const answer = (one: PictureAnswer): void => parentPort!.postMessage(one)
  const fail = (error: unknown): void => answer({ order, error })
  try {
    if (pngWidthMm === undefined) return answer({ order, chart: await drawChart(specification) })
    const { chart, png } = await drawPicture(specification, { widthMm: pngWidthMm })
    answer({ order, chart })
    png.then((bytes) => answer({ order, png: bytes }), fail)
  } catch (error) {
    fail(error)
  }
}

parentPort?.on('message', (order: PictureOrder) => {
  // Between two pictures, compressed ones get their turn to be answered.
  turn = turn.then(() => draw(order)).then(() => setImmediate())
})
