import { createHash } from 'node:crypto'
import { css } from '../core/markup.js'
import { escapeHtml } from '../documents/formats/htmlText.js'
import { notebookColours } from '../documents/formats/styleSheet.js'
import { message, speaker } from '../messages/index.js'
import { markdownHtml } from './markdownHtml.js'
import { narrowMime } from './narrowCharts.js'
import { type CellOutput, cellSource, type Notebook, type NotebookCell } from './notebookFile.js'

/** How a page is made of a notebook. */
export interface NotebookPageOptions {
  /** Whether the code of the cells stands on the page; default true. */
  readonly code?: boolean
  /** What the page was made from, line by line, to stand at its top. */
  readonly head?: readonly string[]
  /**
   * Whether the page is to be handed on: without code but that of cells tagged `keep`, without cells tagged `hide`, and
   * with those tagged `appendix` at its end; default false.
   */
  readonly handOn?: boolean
}

const pageStyle = css`
${notebookColours()}
body{margin:0;background:var(--surface);color:var(--text);font:400 1rem/1.55 system-ui,sans-serif}
main{max-width:56rem;margin:0 auto;padding:2rem 1.25rem 4rem}
h1,h2{line-height:1.25}
p,li{max-width:44rem}
a{color:var(--accent)}
a:focus-visible,[tabindex]:focus-visible{outline:3px solid var(--accent);outline-offset:2px}
pre{overflow-x:auto;white-space:pre-wrap;overflow-wrap:anywhere;padding:.7rem .9rem;border:1px solid var(--frame);border-radius:4px;font:.8125rem/1.5 ui-monospace,monospace}
.output{margin:1rem 0;overflow-x:auto}
.output img,.output svg{max-width:100%;height:auto}
.output pre{border:0;padding:0}
.error pre{color:var(--warning);font-weight:600}
.picture.column{display:none}
@media screen and (max-width:40rem){main{padding:1rem .75rem 2rem}.output>.picture.page:not(:only-child){display:none}.picture.column{display:block}.output .holdfast-part{padding:.2rem 0 1rem}}
@page{size:A4;margin:16mm}
@media print{main{max-width:none;padding:0}pre,figure,img,svg{break-inside:avoid}}`

/**
 * A notebook as one HTML page that holds everything, with or without its code, light or dark as the reader's system is. It loads nothing and runs nothing: its
 * content security policy allows the styles that stand in it, by their hashes, and pictures that stand in it.
 */
export function notebookHtml(notebook: Notebook, options: NotebookPageOptions = {}): string {
  const { code = true, head = [], handOn = false } = options
  const cells = handOn ? handedOn(notebook.cells) : notebook.cells
  const shows = (cell: NotebookCell): boolean => (handOn ? isTagged(cell, 'keep') : code)
  const body = cells.map((cell, index) => cellHtml(cell, shows(cell), `cell${index}`)).join('\n')
  const styles = [pageStyle, ...[...body.matchAll(/<style>([\s\S]*?)<\/style>/g)].map((match) => match[1]!)]
  const hashes = [...new Set(styles)].map((style) => `'sha256-${sha256(style)}'`).join(' ')
  const policy = [
    "default-src 'none'",
    `style-src ${hashes}`,
    'img-src data:',
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ')
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    '<meta name="color-scheme" content="light dark">',
    '<meta name="referrer" content="no-referrer">',
    `<title>${escapeHtml(titleOf(notebook))}</title>`,
    `<style>${pageStyle}</style>`,
    '</head>',
    `<body><main>\n${headHtml(head)}${body}\n</main></body>`,
    '</html>',
    '',
  ].join('\n')
}

function isTagged({ metadata }: NotebookCell, tag: string): boolean {
  return metadata?.tags?.includes(tag) === true
}

/** The cells of a page that is handed on, in their order, those of the appendix last. */
function handedOn(cells: readonly NotebookCell[]): readonly NotebookCell[] {
  const shown = cells.filter((cell) => !isTagged(cell, 'hide'))
  const appendix = shown.filter((cell) => isTagged(cell, 'appendix'))
  if (appendix.length === 0) return shown
  const source = `## ${speaker().text(message('run.appendix'))}`
  const heading: NotebookCell = { cell_type: 'markdown', source, metadata: {} }
  return [...shown.filter((cell) => !appendix.includes(cell)), heading, ...appendix]
}

function headHtml(lines: readonly string[]): string {
  if (lines.length === 0) return ''
  return `<ul>${lines.map((line) => `<li>${escapeHtml(line)}</li>`).join('')}</ul>\n`
}

function cellHtml(cell: Notebook['cells'][number], code: boolean, place: string): string {
  const source = cellSource(cell)
  if (cell.cell_type === 'markdown') return markdownHtml(source)
  if (cell.cell_type !== 'code') return ''
  const outputs = ((cell.outputs as CellOutput[] | undefined) ?? []).map((output, index) =>
    outputHtml(output, `${place}-${index}`),
  )
  return [
    ...(code && source.trim() !== '' ? [`<pre><code>${escapeHtml(source)}</code></pre>`] : []),
    ...outputs,
  ]
    .filter((part) => part !== '')
    .join('\n')
}

function outputHtml(output: CellOutput, place: string): string {
  if (output.output_type === 'error') {
    const text = `${asText(output.ename)}: ${asText(output.evalue)}`
    return `<div class="output error"><pre>${escapeHtml(text)}</pre></div>`
  }
  if (output.output_type === 'stream') return preformatted(asText(output.text))
  const data = (output.data ?? {}) as Readonly<Record<string, unknown>>
  if (data['text/html'] !== undefined)
    return `<div class="output">${withOwnNames(asText(data['text/html']), place)}</div>`
  if (data['image/svg+xml'] !== undefined) return svgHtml(data, place)
  if (data['image/png'] !== undefined)
    return pictureHtml('image/png', asText(data['image/png']).replace(/\s/g, ''), data)
  if (data['text/markdown'] !== undefined)
    return `<div class="output">${markdownHtml(asText(data['text/markdown']))}</div>`
  return preformatted(asText(data['text/plain'] ?? ''))
}

/** A picture that is text stands in the page as such, so that it can be dark; each has names of parts of its own. */
function svgHtml(data: Readonly<Record<string, unknown>>, place: string): string {
  const narrow = data[narrowMime]
  const inPlace = (svg: unknown, size: string): string =>
    `<div class="picture ${size}">${withOwnNames(bareSvg(asText(svg)), `${place}${size}`)}</div>`
  const column = narrow === undefined ? '' : inPlace(narrow, 'column')
  return `<div class="output">${inPlace(data['image/svg+xml'], 'page')}${column}</div>`
}

/** An SVG document without what stands before its element. */
function bareSvg(svg: string): string {
  return svg.slice(Math.max(0, svg.indexOf('<svg')))
}

/** Names of parts, and what points to them, with the place in the page before them: two cells may show the same. */
function withOwnNames(html: string, place: string): string {
  return html.replace(/( id="| aria-labelledby="| href="#|url\(#)/g, `$1${place}-`)
}

function pictureHtml(type: string, base64: string, data: Readonly<Record<string, unknown>>): string {
  const description = escapeHtml(asText(data['text/plain'] ?? 'chart'))
  return `<div class="output"><img alt="${description}" src="data:${type};base64,${base64}"></div>`
}

function preformatted(text: string): string {
  return text === '' ? '' : `<div class="output"><pre>${escapeHtml(text)}</pre></div>`
}

/** The format keeps texts whole or as a list of lines. */
function asText(value: unknown): string {
  return Array.isArray(value) ? value.join('') : String(value)
}

function sha256(text: string): string {
  return createHash('sha256').update(text).digest('base64')
}

function titleOf(notebook: Notebook): string {
  const heading = notebook.cells.map((cell) => /^#\s+(.+)$/m.exec(cellSource(cell))?.[1]).find(Boolean)
  return heading ?? 'Notebook'
}
