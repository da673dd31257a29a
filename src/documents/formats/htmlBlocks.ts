import type { DrawnChart } from '../../charts/render.js'
import type {
  Block,
  BulletList,
  Cell,
  Figure,
  KeyFigures,
  Section,
  Table,
  TermList,
} from '../model/document.js'
import type { FrameWords } from '../model/frameWords.js'
import { escapeHtml, phraseHtml, titleHtml } from './htmlText.js'
import type { DrawnFigure, PictureSize } from './pictures.js'

/** What blocks need besides themselves: pictures by figure id, and the numbers of tables and figures. */
export interface BlockContext {
  readonly pictures: ReadonlyMap<string, DrawnFigure>
  readonly numbers: ReadonlyMap<string, string>
  readonly words: FrameWords
}

/** Tables of up to this many rows are kept on one page in print. */
const shortRows = 6

/** HTML of a section; its aside is placed by the page. */
export function sectionHtml(section: Section, context: BlockContext): string {
  const blocks = section.blocks.map((block) => blockHtml(block, context)).join('\n')
  return (
    `<section id="${section.id}" aria-labelledby="${section.id}-title">\n` +
    `<h2 id="${section.id}-title">${escapeHtml(section.title)}</h2>\n${blocks}\n</section>`
  )
}

/** HTML of one block. */
export function blockHtml(block: Block, context: BlockContext): string {
  switch (block.kind) {
    case 'paragraph': {
      const tone = block.tone === 'plain' ? '' : ` class="${block.tone}"`
      return `<p${tone}>${phraseHtml(block.content)}</p>`
    }
    case 'heading':
      return `<h3>${escapeHtml(block.text)}</h3>`
    case 'list':
      return listHtml(block)
    case 'terms':
      return termsHtml(block)
    case 'key-figures':
      return keyFiguresHtml(block)
    case 'table':
      return tableHtml(block, context)
    case 'figure':
      return figureHtml(block, context)
  }
}

function listHtml({ items, numbered }: BulletList): string {
  const tag = numbered === true ? 'ol' : 'ul'
  return `<${tag}>\n${items.map((item) => `<li>${phraseHtml(item)}</li>`).join('\n')}\n</${tag}>`
}

function termsHtml({ entries }: TermList): string {
  const items = entries.map(
    ({ term, meaning }) => `<div><dt>${escapeHtml(term)}</dt><dd>${phraseHtml(meaning)}</dd></div>`,
  )
  return `<dl class="terms">\n${items.join('\n')}\n</dl>`
}

function keyFiguresHtml({ figures }: KeyFigures): string {
  const items = figures.map(
    ({ label, value, interval }) =>
      `<li><span class="value">${phraseHtml(value)}</span> <span class="label">${phraseHtml(label)}</span> ` +
      `<span class="interval">${phraseHtml(interval)}</span></li>`,
  )
  return `<ul class="key-figures">\n${items.join('\n')}\n</ul>`
}

/**
 * A table. On small screens every row becomes a card whose cells carry the heads of their columns; the roles are
 * spelt out because some browsers take them away from a table that is laid out in another way.
 */
function tableHtml(table: Table, { numbers, words }: BlockContext): string {
  const number = numberHtml(words.table, numbers.get(table.id))
  const heads = table.columns.map(
    ({ title, align }) =>
      `<th role="columnheader" scope="col"${align === 'end' ? ' class="end"' : ''}>${titleHtml(title)}</th>`,
  )
  const rows = table.rows.map((row) => {
    const cells = row.map((cell, index) => {
      const { title, longTitle, align } = table.columns[index]!
      if (index === 0) return `<th role="rowheader" scope="row">${cellHtml(cell)}</th>`
      const kind = align === 'end' ? ' class="end"' : ''
      return `<td role="cell" data-head="${escapeHtml(longTitle ?? title)}"${kind}>${cellHtml(cell)}</td>`
    })
    return `<tr role="row">${cells.join('')}</tr>`
  })
  const short = table.rows.length <= shortRows ? ' short' : ''
  const notes = table.notes.map((note) => `<p class="note">${phraseHtml(note)}</p>`)
  return [
    `<div class="table${short}" id="${table.id}">`,
    `<table role="table"${widthClass(table)}>`,
    `<caption>${number}${escapeHtml(table.caption)}</caption>`,
    `<thead role="rowgroup"><tr role="row">${heads.join('')}</tr></thead>`,
    `<tbody role="rowgroup">\n${rows.join('\n')}\n</tbody>`,
    '</table>',
    ...notes,
    '</div>',
  ].join('\n')
}

/** More columns than this are set smaller in print. */
const manyColumns = 6

function widthClass(table: Table): string {
  const classes = [
    ...(isWide(table) ? ['wide'] : []),
    ...(table.columns.length > manyColumns ? ['many'] : []),
  ]
  return classes.length === 0 ? '' : ` class="${classes.join(' ')}"`
}

/** Tables of more columns than a small screen holds, numbers taking less room than words. */
function isWide({ columns }: Table): boolean {
  const words = columns.filter((column) => column.align === 'start').length
  return columns.length + words > 4
}

function cellHtml({ content, under }: Cell): string {
  const first = `<span class="first">${phraseHtml(content)}</span>`
  return under === undefined ? first : `${first} <span class="under">${phraseHtml(under)}</span>`
}

function figureHtml(figure: Figure, { pictures, numbers, words }: BlockContext): string {
  const picture = pictures.get(figure.id)
  const number = numbers.get(figure.id)
  const name = `${words.figure} ${number ?? ''}`.trimEnd()
  const notes = figure.notes.map((note) => `<p class="note">${phraseHtml(note)}</p>`)
  return [
    `<figure id="${figure.id}">`,
    pictureHtml('page', picture?.page, words.reader(name)),
    pictureHtml('column', picture?.column, words.reader(name)),
    `<figcaption>${numberHtml(words.figure, number)}${escapeHtml(figure.caption)}</figcaption>`,
    ...notes,
    '</figure>',
  ].join('\n')
}

/** "Table 3. " before a caption; nothing where tables and figures bear no numbers. */
function numberHtml(name: string, number: string | undefined): string {
  return number === undefined ? '' : `<span class="number">${name} ${number}.</span> `
}

/** A picture with what can be read off it, for the script of the page. */
function pictureHtml(size: PictureSize, chart: DrawnChart | undefined, reader: string): string {
  const readings = (chart?.readings ?? []).map(({ left, top, right, bottom, layer, text }) => [
    left,
    top,
    right,
    bottom,
    layer,
    text,
  ])
  const data =
    readings.length === 0
      ? ''
      : ` data-reader="${escapeHtml(reader)}" data-readings="${escapeHtml(JSON.stringify(readings))}"`
  return `<div class="picture ${size}"${data}>${chart?.svg ?? ''}</div>`
}
