import type { PictureDrawer, PictureUnderWay } from '../../charts/pictureDrawer.js'
import type { DrawnChart } from '../../charts/render.js'
import { figureWidthsMm } from '../../charts/theme.js'
import { bundleName, figuresOf } from '../model/contents.js'
import type { ReportDocument } from '../model/document.js'
import type { ReportFormat } from './formats.js'

/** The two pictures of a figure: over the page, and over one column. */
export interface DrawnFigure {
  readonly page: DrawnChart
  readonly column: DrawnChart
}

/** The two sizes of a figure. */
export type PictureSize = keyof DrawnFigure

/** A picture as a file of the bundle. */
export interface PictureFile {
  readonly id: string
  readonly size: PictureSize
  /** Path in the bundle without its ending. */
  readonly path: string
  readonly chart: DrawnChart
  /** Absent where no format needs it. */
  readonly png?: Uint8Array
}

/** Which figures are drawn as PNG besides, and at which size. */
export type PngWish = (id: string, size: PictureSize) => boolean

/** The figures that formats take as PNG: Word those of the page, slides their own at the width of a column. */
export function pngsFor(formats: readonly ReportFormat[], slideFigures: readonly string[]): PngWish {
  return (id, size) =>
    formats.includes('png') ||
    (size === 'page' ? formats.includes('word') : formats.includes('slides') && slideFigures.includes(id))
}

/** Pictures under way: a page needs no PNG, and can be made while the PNG are still being drawn. */
export interface PicturesUnderWay {
  readonly figures: Promise<ReadonlyMap<string, DrawnFigure>>
  /** The pictures of one size as files, PNG included. */
  readonly files: Readonly<Record<PictureSize, Promise<readonly PictureFile[]>>>
}

/** Begins to draw every figure of a document in both sizes, those over the page first; PNG only where one is wished for. */
export function beginPictures(
  document: Pick<ReportDocument, 'sections'>,
  drawer: PictureDrawer,
  wish: PngWish = () => false,
): PicturesUnderWay {
  const page = begunPictures(document, 'page', drawer, wish)
  const column = begunPictures(document, 'column', drawer, wish)
  return {
    figures: quietly(drawnFigures(page, column)),
    files: { page: quietly(Promise.all(page.map(fileOf))), column: quietly(Promise.all(column.map(fileOf))) },
  }
}

interface BegunPicture extends PictureUnderWay {
  readonly id: string
  readonly size: PictureSize
}

function begunPictures(
  document: Pick<ReportDocument, 'sections'>,
  size: PictureSize,
  drawer: PictureDrawer,
  wish: PngWish,
): readonly BegunPicture[] {
  return figuresOf(document).map((figure) => ({
    id: figure.id,
    size,
    ...drawer.draw(figure[size], pngWidth(figure.id, size, wish)),
  }))
}

async function drawnFigures(
  page: readonly BegunPicture[],
  column: readonly BegunPicture[],
): Promise<ReadonlyMap<string, DrawnFigure>> {
  const drawn = await Promise.all(
    page.map(
      async ({ id, chart }, index): Promise<[string, DrawnFigure]> => [
        id,
        { page: await chart, column: await column[index]!.chart },
      ],
    ),
  )
  return new Map(drawn)
}

async function fileOf({ id, size, chart, png }: BegunPicture): Promise<PictureFile> {
  const drawn = await png
  return {
    id,
    size,
    path: picturePath(id, size),
    chart: await chart,
    ...(drawn === undefined ? {} : { png: drawn }),
  }
}

/** Width in millimetres at which a figure is drawn as PNG; undefined where it is not. */
export function pngWidth(id: string, size: PictureSize, wish: PngWish): number | undefined {
  return wish(id, size) ? figureWidthsMm[size] : undefined
}

/** Whoever awaits it hears of a failure; nobody else does. */
function quietly<T>(promise: Promise<T>): Promise<T> {
  promise.catch(() => undefined)
  return promise
}

/** Path of a picture in the bundle, without its ending. */
export function picturePath(id: string, size: PictureSize): string {
  return `figures/${bundleName(id)}-${figureWidthsMm[size]}mm`
}
