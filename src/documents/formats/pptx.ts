import { createRequire } from 'node:module'
import type pptx from 'pptxgenjs'
import { pictureSizePx } from '../../charts/specification.js'
import { widestText, wrapText } from '../../charts/textWidth.js'
import { groupMarks, neutralInk } from '../../charts/theme.js'
import {
  type Block,
  type Cell,
  type Figure,
  type Phrase,
  plainText,
  type ReportDocument,
  type Section,
  type Table,
} from '../model/document.js'
import { type FrameWords, frameWords, maker } from '../model/frameWords.js'
import { closedPackage } from './officePackage.js'
import type { PictureFile } from './pictures.js'

/** A slide of 16 to 9 in inches, as presentation programs measure it, and where things stand on it. */
const page = Object.freeze({
  width: 13.333,
  height: 7.5,
  margin: 0.6,
  title: Object.freeze({ top: 0.4, height: 1 }),
  body: Object.freeze({ top: 1.55, bottom: 6.85 }),
  foot: Object.freeze({ top: 6.98, height: 0.32 }),
  /** Width of the text where a figure stands beside it. */
  textBesideFigure: 6.3,
  gap: 0.35,
})

const face = 'Arial'
const pointsPerInch = 72
const ink = (colour: string): string => colour.slice(1).toUpperCase()
const colours = Object.freeze({
  text: ink(neutralInk.text.light),
  quiet: ink(neutralInk.quiet.light),
  accent: ink(groupMarks.single!.ink.light),
  warning: ink(neutralInk.warning.light),
  line: ink(neutralInk.grid.light),
  paper: ink(neutralInk.surface.light),
})

/** Sizes of text in points, from the one that is wished for down to the least that can be read from the back of a room. */
const textSizes = [24, 22, 20, 18, 16, 15, 14, 13, 12, 11] as const
const tablePoints = 11

/** One line of a text box. */
interface Line {
  readonly content: Phrase
  readonly tone: 'plain' | 'lead' | 'note' | 'bullet'
}

/**
 * Slides (ECMA-376, PresentationML): one for each section, the first of them as a title, what stands beside a section
 * as the notes of its slide. Figures are pictures with text alternatives. Equal documents give equal bytes.
 *
 * @param pictures the figures at the width of a column, with their PNG
 */
export async function documentPptx(
  document: ReportDocument,
  pictures: readonly PictureFile[],
): Promise<Uint8Array> {
  // Its build for import cannot be read by Node, which takes it for one to be required.
  const Presentation = createRequire(import.meta.url)('pptxgenjs') as new () => pptx.default
  const deck = new Presentation()
  const words = frameWords(document.language)
  deck.layout = 'LAYOUT_WIDE'
  deck.title = plainText(document.title)
  deck.subject = document.kicker
  deck.author = maker
  deck.company = maker
  deck.theme = { headFontFace: face, bodyFontFace: face }
  document.sections.forEach((section, index) => {
    const slide = deck.addSlide()
    if (index === 0) titleSlide(slide, document, words)
    else contentSlide(slide, section, pictures)
    foot(slide, document, words, index + 1)
    const notes = (section.aside?.blocks ?? []).flatMap(linesOf).map(({ content }) => plainText(content))
    if (notes.length > 0) slide.addNotes(notes.join('\n'))
  })
  const bytes = (await deck.write({ outputType: 'nodebuffer' })) as Uint8Array
  return closedPackage(bytes, document.date)
}

function titleSlide(slide: pptx.default.Slide, document: ReportDocument, words: FrameWords): void {
  const width = page.width - 2 * page.margin
  const box = { x: page.margin, w: width, fontFace: face, margin: 0 }
  slide.addShape('rect', { x: 0, y: 0, w: page.width, h: 0.22, fill: { color: colours.accent } })
  const title = plainText(document.title)
  slide.addText(title, {
    ...box,
    y: 1.7,
    h: 2.2,
    valign: 'bottom',
    fontSize: fittingSize([title], width, 2.2, [40, 36, 32, 28, 24], 'bold'),
    bold: true,
    color: colours.text,
  })
  slide.addText(`${plainText(document.summary)}.`, {
    ...box,
    y: 4.15,
    h: 1,
    valign: 'top',
    fontSize: 20,
    color: colours.text,
  })
  slide.addText(words.made(document.date), {
    ...box,
    y: 5.25,
    h: 0.4,
    valign: 'top',
    fontSize: 14,
    color: colours.quiet,
  })
}

function contentSlide(slide: pptx.default.Slide, section: Section, pictures: readonly PictureFile[]): void {
  const [full, height] = [page.width - 2 * page.margin, page.body.bottom - page.body.top]
  slide.addText(section.title, {
    x: page.margin,
    y: page.title.top,
    w: full,
    h: page.title.height,
    fontFace: face,
    fontSize: fittingSize([section.title], full, page.title.height, [30, 28, 26, 24, 22, 20], 'bold'),
    bold: true,
    color: colours.accent,
    valign: 'top',
    margin: 0,
  })
  const figure = section.blocks.find((block): block is Figure => block.kind === 'figure')
  const table = section.blocks.find((block): block is Table => block.kind === 'table')
  const lines = section.blocks.flatMap(linesOf)
  const width = figure === undefined ? full : page.textBesideFigure
  const tableHeight = table === undefined ? 0 : heightOf(table, width)
  const textHeight = height - tableHeight - (table === undefined ? 0 : page.gap / 2)
  addLines(slide, lines, width, textHeight)
  if (table !== undefined) addTable(slide, table, width, page.body.bottom - tableHeight)
  if (figure !== undefined) addFigure(slide, figure, pictures, full - width - page.gap, height)
}

/** Text of a block; tables and figures have none. */
function linesOf(block: Block): readonly Line[] {
  if (block.kind === 'paragraph') return [{ content: block.content, tone: block.tone }]
  if (block.kind === 'list') return block.items.map((content) => ({ content, tone: 'bullet' as const }))
  if (block.kind === 'heading') return [{ content: [block.text], tone: 'lead' }]
  return []
}

function addLines(slide: pptx.default.Slide, lines: readonly Line[], width: number, height: number): void {
  if (lines.length === 0) return
  const size = fittingSize(
    lines.map(({ content }) => plainText(content)),
    width - 0.3,
    height - lines.length * 0.12,
    textSizes,
  )
  const runs = lines.flatMap(({ content, tone }) =>
    runsOf(content).map(({ text, bold }, index, all): pptx.default.TextProps => {
      const first = index === 0
      return {
        text,
        options: {
          bold,
          fontSize: tone === 'note' ? Math.max(11, size - 3) : size,
          color: tone === 'note' ? colours.quiet : colours.text,
          ...(first && tone === 'bullet' ? { bullet: { indent: 16 } } : {}),
          ...(first ? { paraSpaceAfter: 8 } : {}),
          ...(index === all.length - 1 ? { breakLine: true } : {}),
        },
      }
    }),
  )
  slide.addText(runs, {
    x: page.margin,
    y: page.body.top,
    w: width,
    h: height,
    fontFace: face,
    valign: 'top',
    margin: 0,
    fit: 'shrink',
  })
}

/** Running text as runs, those that stand out marked. */
function runsOf(phrase: Phrase): readonly { readonly text: string; readonly bold: boolean }[] {
  const runs: { text: string; bold: boolean }[] = []
  for (const part of phrase) {
    const bold = typeof part !== 'string' && part.kind === 'strong'
    const text = plainText([part])
    const last = runs.at(-1)
    if (last !== undefined && last.bold === bold) last.text += text
    else runs.push({ text, bold })
  }
  return runs
}

/** The largest of some sizes in points at which texts, one below the other, fit into a box; the least where none does. */
function fittingSize(
  texts: readonly string[],
  widthInches: number,
  heightInches: number,
  sizes: readonly number[],
  weight: 'normal' | 'bold' = 'normal',
): number {
  // A twentieth less, for machines that show another typeface.
  const room = widthInches * pointsPerInch * 0.95
  const fits = (size: number): boolean => {
    const lines = texts.flatMap((text) => wrapText(text, room, size, { weight }))
    return lines.length * size * 1.22 <= heightInches * pointsPerInch
  }
  return sizes.find(fits) ?? sizes.at(-1)!
}

const cellMargin = 0.06

/** Widths of the columns in inches: as the longest word of each needs, and what is left to the first, which names the rows. */
function columnsOf({ columns, rows }: Table, width: number): readonly number[] {
  const needed = columns.map(({ title }, index) => {
    const cells = rows.flatMap((row) => [row[index]!.content, row[index]!.under ?? []].map(plainText))
    const words = widestText(title.split(/\s/), tablePoints, 'bold')
    const numbers = widestText(index === 0 ? cells.flatMap((cell) => cell.split(/\s/)) : cells, tablePoints)
    return (Math.max(words, numbers) * 1.08) / pointsPerInch + 2 * cellMargin
  })
  const left = width - needed.reduce((sum, one) => sum + one, 0)
  return left >= 0
    ? needed.map((one, index) => (index === 0 ? one + left : one))
    : needed.map((one) => (one * width) / (width - left))
}

function rowHeights(table: Table, width: number): readonly number[] {
  const widths = columnsOf(table, width)
  const linesIn = (text: string, index: number, bold = false): number =>
    wrapText(text, (widths[index]! - 2 * cellMargin) * pointsPerInch, tablePoints, {
      weight: bold ? 'bold' : 'normal',
    }).length
  const heightOfLines = (lines: number): number =>
    (lines * tablePoints * 1.2) / pointsPerInch + 2 * cellMargin + 0.02
  const cellLines = ({ content, under }: Cell, index: number): number =>
    linesIn(plainText(content), index) + (under === undefined ? 0 : linesIn(plainText(under), index))
  return [
    heightOfLines(Math.max(...table.columns.map(({ title }, index) => linesIn(title, index, true)))),
    ...table.rows.map((row) => heightOfLines(Math.max(...row.map(cellLines)))),
  ]
}

function heightOf(table: Table, width: number): number {
  return rowHeights(table, width).reduce((sum, height) => sum + height, 0)
}

function addTable(slide: pptx.default.Slide, table: Table, width: number, top: number): void {
  const align = (index: number): 'left' | 'right' =>
    table.columns[index]!.align === 'end' ? 'right' : 'left'
  const head = table.columns.map(
    ({ title }, index): pptx.default.TableCell => ({
      text: title,
      options: { bold: true, align: align(index), valign: 'bottom', color: colours.text },
    }),
  )
  const rows = table.rows.map((row) =>
    row.map(
      ({ content, under }, index): pptx.default.TableCell => ({
        text: [plainText(content), ...(under === undefined ? [] : [plainText(under)])].join('\n'),
        options: { align: align(index), valign: 'top', color: colours.text },
      }),
    ),
  )
  const line = { type: 'solid' as const, pt: 0.75, color: colours.line }
  const none = { type: 'none' as const }
  slide.addTable([head, ...rows], {
    x: page.margin,
    y: top,
    w: width,
    colW: [...columnsOf(table, width)],
    rowH: [...rowHeights(table, width)],
    fontFace: face,
    fontSize: tablePoints,
    margin: cellMargin,
    border: [line, none, line, none],
  })
}

function addFigure(
  slide: pptx.default.Slide,
  figure: Figure,
  pictures: readonly PictureFile[],
  width: number,
  height: number,
): void {
  const png = pictures.find(({ id }) => id === figure.id)?.png
  if (png === undefined) throw new TypeError(`no PNG was drawn of ${figure.id}`)
  const size = pictureSizePx(figure.column)
  const scale = Math.min(width / size.width, height / size.height)
  slide.addImage({
    data: `image/png;base64,${Buffer.from(png).toString('base64')}`,
    x: page.width - page.margin - width + (width - size.width * scale) / 2,
    y: page.body.top,
    w: size.width * scale,
    h: size.height * scale,
    altText: figure.column.description,
  })
}

/** What stands under every slide: that the data are generated, where they are, and the number of the slide. */
function foot(
  slide: pptx.default.Slide,
  { generated }: ReportDocument,
  words: FrameWords,
  number: number,
): void {
  const box = { y: page.foot.top, h: page.foot.height, fontFace: face, fontSize: 11, margin: 0 }
  if (generated) {
    slide.addText(words.generated, { ...box, x: page.margin, w: 10, bold: true, color: colours.warning })
  }
  slide.addText(String(number), {
    ...box,
    x: page.width - page.margin - 1,
    w: 1,
    align: 'right',
    color: colours.quiet,
  })
}
