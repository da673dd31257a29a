import { existsSync } from 'node:fs'
import { Worker } from 'node:worker_threads'
import type { PictureAnswer, PictureOrder } from './pngThread.js'
import { pngFromSvg } from './render.js'

/** Turns SVG pictures into PNG beside the main thread; to be closed when no more are wanted. */
export interface PngDrawer {
  draw(svg: string, widthMm: number): Promise<Uint8Array>
  close(): Promise<void>
}

const threadFile = new URL('./pngThread.js', import.meta.url)

/**
 * Opens a drawer. The pixels of a picture at 300 dots an inch are some ten megabytes, and a thread of their own keeps
 * them out of the memory that the main thread has to look after. Where the thread has not been built (tests run the
 * sources), pictures are drawn in the main thread, with the same bytes.
 */
export function openPngDrawer(): PngDrawer {
  if (!existsSync(threadFile)) {
    return { draw: (svg, widthMm) => pngFromSvg(svg, { widthMm }), close: async () => undefined }
  }
  const open = new Map<number, { resolve(png: Uint8Array): void; reject(error: unknown): void }>()
  const thread = new Worker(threadFile)
  thread.on('message', (answer: PictureAnswer) => {
    const promise = open.get(answer.order)
    open.delete(answer.order)
    if ('png' in answer) promise?.resolve(answer.png)
    else promise?.reject(answer.error)
  })
  thread.on('error', (error) => {
    for (const { reject } of open.values()) reject(error)
    open.clear()
  })
  let orders = 0
  return {
    draw: (svg, widthMm) =>
      new Promise((resolve, reject) => {
        const order = orders++
        open.set(order, { resolve, reject })
        thread.postMessage({ order, svg, widthMm } satisfies PictureOrder)
      }),
    close: async () => {
      await thread.terminate()
    },
  }
}
