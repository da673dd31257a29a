import { openPngDrawer } from '../charts/pngDrawer.js'
import { renderSvg } from '../charts/render.js'
import { figureWidthsMm } from '../charts/theme.js'
import { bundleName, figuresOf } from './contents.js'
import type { ReportDocument } from './document.js'

/** The two pictures of a figure, as SVG: over the page, and over one column. */
export interface DrawnFigure {
  readonly page: string
  readonly column: string
}

/** The two sizes of a figure. */
export type PictureSize = keyof DrawnFigure

const pictureSizes = ['page', 'column'] as const

/** A picture as a file of the bundle. */
export interface PictureFile {
  readonly id: string
  readonly size: PictureSize
  /** Path in the bundle without its ending. */
  readonly path: string
  readonly svg: string
  readonly png: Uint8Array
}

/** Draws every figure of a document in both sizes. */
export async function drawFigures(document: ReportDocument): Promise<ReadonlyMap<string, DrawnFigure>> {
  const pictures = new Map<string, DrawnFigure>()
  for (const figure of figuresOf(document)) {
    pictures.set(figure.id, { page: await renderSvg(figure.page), column: await renderSvg(figure.column) })
  }
  return pictures
}

/**
 * Draws every figure of a document in both sizes, as SVG and as PNG of 300 dots an inch. Each PNG is begun as soon as
 * its SVG stands, beside the main thread.
 */
export async function drawPictureFiles(document: ReportDocument): Promise<readonly PictureFile[]> {
  const drawer = openPngDrawer()
  try {
    const files: Promise<PictureFile>[] = []
    for (const figure of figuresOf(document)) {
      for (const size of pictureSizes) {
        const svg = await renderSvg(figure[size])
        const path = picturePath(figure.id, size)
        const drawn = drawer.draw(svg, figureWidthsMm[size])
        const file = drawn.then((png) => ({ id: figure.id, size, path, svg, png }))
        file.catch(() => undefined)
        files.push(file)
      }
    }
    return await Promise.all(files)
  } finally {
    await drawer.close()
  }
}

/** Path of a picture in the bundle, without its ending. */
export function picturePath(id: string, size: PictureSize): string {
  return `figures/${bundleName(id)}-${figureWidthsMm[size]}mm`
}

/** The SVG of the files by figure, as the page shows them. */
export function drawnFigures(files: readonly PictureFile[]): ReadonlyMap<string, DrawnFigure> {
  const pictures = new Map<string, DrawnFigure>()
  for (const { id, size, svg } of files) {
    pictures.set(id, { page: '', column: '', ...pictures.get(id), [size]: svg })
  }
  return pictures
}
