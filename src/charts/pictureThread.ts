import { setImmediate } from 'node:timers/promises'
import { parentPort } from 'node:worker_threads'
import { type DrawnChart, drawPicture, loadVega } from './render.js'
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

/** The pictures are drawn one after the other, in the order in which they were asked for. */
let turn: Promise<unknown> = loadVega()

async function draw({ order, specification, widthMm }: PictureOrder): Promise<void> {
  const answer = (one: PictureAnswer): void => parentPort!.postMessage(one)
  const fail = (error: unknown): void => answer({ order, error })
  try {
    const { chart, png } = await drawPicture(specification, { widthMm })
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
