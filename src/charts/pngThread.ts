import { parentPort } from 'node:worker_threads'
import { pngFromSvg } from './render.js'

/** A picture that the thread is asked for. */
export interface PictureOrder {
  readonly order: number
  readonly svg: string
  readonly widthMm: number
}

/** What the thread answers. */
export type PictureAnswer =
  | { readonly order: number; readonly png: Uint8Array }
  | { readonly order: number; readonly error: unknown }

/** Pictures that are drawn at once: their pixels are large, and must not pile up. */
const mostAtOnce = 2

const waiting: PictureOrder[] = []
let drawing = 0

async function drawNext(): Promise<void> {
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
  void drawNext()
}

parentPort?.on('message', (order: PictureOrder) => {
  waiting.push(order)
  if (drawing < mostAtOnce) void drawNext()
})
