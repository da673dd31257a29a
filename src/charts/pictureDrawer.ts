import { existsSync } from 'node:fs'
import { Worker } from 'node:worker_threads'
import type { PictureAnswer, PictureOrder } from './pictureThread.js'
import { type DrawnChart, drawPicture } from './render.js'
import type { ChartSpecification } from './specification.js'

/** A picture under way. */
export interface PictureUnderWay {
  readonly chart: Promise<DrawnChart>
  readonly png: Promise<Uint8Array>
}

/** Draws chart specifications as SVG and PNG; to be closed when no more are wanted. */
export interface PictureDrawer {
  /** Width of the PNG in millimetres, at 300 dots an inch. */
  draw(specification: ChartSpecification, widthMm: number): PictureUnderWay
  /** Begins a picture that `draw` will be asked for. */
  drawAhead(specification: ChartSpecification, widthMm: number): void
  close(): Promise<void>
}

const threadFile = new URL('./pictureThread.js', import.meta.url)

/**
 * Opens a drawer with a thread of its own: opened while records are read and analysed, it has loaded what it needs when
 * the first picture is wanted, and the pixels, some ten megabytes a picture, stay out of the memory that the main
 * thread looks after. Where the thread has not been built (tests run the sources), pictures are drawn in the main
 * thread, with the same bytes.
 */
export function openPictureDrawer(): PictureDrawer {
  return remembering(existsSync(threadFile) ? threadedDrawer() : plainDrawer())
}

type PlainDrawer = Omit<PictureDrawer, 'drawAhead'>

/** Keeps what was begun ahead until it is asked for, and not longer. */
function remembering(drawer: PlainDrawer): PictureDrawer {
  const begun = new Map<string, PictureUnderWay>()
  const keyOf = (...order: [ChartSpecification, number]): string => JSON.stringify(order)
  return {
    draw: (specification, widthMm) => {
      const key = keyOf(specification, widthMm)
      const picture = begun.get(key) ?? drawer.draw(specification, widthMm)
      begun.delete(key)
      return picture
    },
    drawAhead: (specification, widthMm) => {
      begun.set(keyOf(specification, widthMm), drawer.draw(specification, widthMm))
    },
    close: drawer.close,
  }
}

function plainDrawer(): PlainDrawer {
  return {
    draw: (specification, widthMm) => {
      const drawn = drawPicture(specification, { widthMm })
      return quietly({ chart: drawn.then(({ chart }) => chart), png: drawn.then(({ png }) => png) })
    },
    close: async () => undefined,
  }
}

interface Settling {
  readonly chart: (chart: DrawnChart) => void
  readonly png: (png: Uint8Array) => void
  readonly fail: (error: unknown) => void
}

function threadedDrawer(): PlainDrawer {
  const open = new Map<number, Settling>()
  const thread = startedThread(open)
  let orders = 0
  return {
    draw: (specification, widthMm) => {
      const order = orders++
      let settling: Partial<Settling> = {}
      const chart = new Promise<DrawnChart>((resolve, reject) => {
        settling = { chart: resolve, fail: reject }
      })
      const png = new Promise<Uint8Array>((resolve, reject) => {
        const failChart = settling.fail!
        open.set(order, {
          chart: settling.chart!,
          png: resolve,
          fail: (error) => {
            failChart(error)
            reject(error)
          },
        })
      })
      thread.postMessage({ order, specification, widthMm } satisfies PictureOrder)
      return quietly({ chart, png })
    },
    close: async () => {
      await thread.terminate()
    },
  }
}

function startedThread(open: Map<number, Settling>): Worker {
  const thread = new Worker(threadFile)
  thread.unref()
  thread.on('message', (answer: PictureAnswer) => {
    const picture = open.get(answer.order)
    if ('chart' in answer) return picture?.chart(answer.chart)
    open.delete(answer.order)
    if ('png' in answer) picture?.png(answer.png)
    else picture?.fail(answer.error)
  })
  thread.on('error', (error) => {
    for (const { fail } of open.values()) fail(error)
    open.clear()
  })
  return thread
}

/** Whoever awaits a picture hears of its failure; nobody else does. */
function quietly(picture: PictureUnderWay): PictureUnderWay {
  picture.chart.catch(() => undefined)
  picture.png.catch(() => undefined)
  return picture
}
