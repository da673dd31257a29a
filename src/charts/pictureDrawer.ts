import { existsSync } from 'node:fs'
import { Worker } from 'node:worker_threads'
import type { PictureAnswer, PictureOrder } from './pictureThread.js'
import { type DrawnChart, drawChart, drawPicture } from './render.js'
import type { ChartSpecification } from './specification.js'

/** A picture under way. */
export interface PictureUnderWay {
  readonly chart: Promise<DrawnChart>
  /** Undefined where no PNG was asked for. */
  readonly png: Promise<Uint8Array | undefined>
}

/** Draws chart specifications as SVG and, where asked, as PNG; to be closed when no more are wanted. */
export interface PictureDrawer {
  /** Width of the PNG in millimetres, at 300 dots an inch; without it no PNG is drawn. */
  draw(specification: ChartSpecification, pngWidthMm?: number): PictureUnderWay
  /** Begins a picture that `draw` will be asked for with the same width. */
  drawAhead(specification: ChartSpecification, pngWidthMm?: number): void
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
  const keyOf = (...order: [ChartSpecification, number?]): string => JSON.stringify(order)
  return {
    draw: (specification, pngWidthMm) => {
      const key = keyOf(specification, pngWidthMm)
      const picture = begun.get(key) ?? drawer.draw(specification, pngWidthMm)
      begun.delete(key)
      return picture
    },
    drawAhead: (specification, pngWidthMm) => {
      begun.set(keyOf(specification, pngWidthMm), drawer.draw(specification, pngWidthMm))
    },
    close: drawer.close,
  }
}

function plainDrawer(): PlainDrawer {
  return {
    draw: (specification, pngWidthMm) => {
      if (pngWidthMm === undefined) {
        return quietly({ chart: drawChart(specification), png: Promise.resolve(undefined) })
      }
      const drawn = drawPicture(specification, { widthMm: pngWidthMm })
      return quietly({ chart: drawn.then(({ chart }) => chart), png: drawn.then(({ png }) => png) })
    },
    close: async () => undefined,
  }
}

interface Settling {
  readonly chart: (chart: DrawnChart) => void
  readonly png: (png: Uint8Array | undefined) => void
  readonly fail: (error: unknown) => void
}

function threadedDrawer(): PlainDrawer {
  const open = new Map<number, Settling>()
  const thread = startedThread(open)
  let orders = 0
  return {
    draw: (specification, pngWidthMm) => {
      const order = orders++
      let settling: Partial<Settling> = {}
      const chart = new Promise<DrawnChart>((resolve, reject) => {
        settling = { chart: resolve, fail: reject }
      })
      const png = new Promise<Uint8Array | undefined>((resolve, reject) => {
        const failChart = settling.fail!
        open.set(order, {
          chart: (drawn) => {
            settling.chart!(drawn)
            if (pngWidthMm !== undefined) return
            open.delete(order)
            resolve(undefined)
          },
          png: resolve,
          fail: (error) => {
            failChart(error)
            reject(error)
          },
        })
      })
      const size = pngWidthMm === undefined ? {} : { pngWidthMm }
      thread.postMessage({ order, specification, ...size } satisfies PictureOrder)
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
