import { createHash } from 'node:crypto'
import { numbersOf } from '../model/contents.js'
import { plainText, type ReportDocument, type Section } from '../model/document.js'
import { frameWords } from '../model/frameWords.js'
import { type BlockContext, blockHtml, sectionHtml } from './htmlBlocks.js'
import { escapeHtml, phraseHtml } from './htmlText.js'
import { pageScript } from './pageScript.js'
import type { DrawnFigure } from './pictures.js'
import { type Paper, styleSheet } from './styleSheet.js'

/**
 * One HTML file that holds everything: text, style, figures, and one script with which values are read off them. It
 * loads nothing and runs nothing else, and its content security policy says so. Only the line with the date of making differs between two reports of the same data.
 *
 * @param paper paper that a printed file is made for; default: that of whoever prints
 */
export function documentHtml(
  document: ReportDocument,
  pictures: ReadonlyMap<string, DrawnFigure>,
  paper?: Paper,
): string {
  const words = frameWords(document.language)
  const style = styleSheet(document.generated ? words.generated : undefined, paper)
  const context: BlockContext = { pictures, numbers: numbersOf(document), words }
  const [first, ...rest] = document.sections
  const title = plainText(document.title)
  return [
    '<!doctype html>',
    `<html lang="${document.language ?? 'en'}">`,
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy(style)}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    '<meta name="color-scheme" content="light dark">',
    '<meta name="referrer" content="no-referrer">',
    `<title>${escapeHtml(document.generated ? `${title} (${words.generatedShort})` : title)}</title>`,
    `<style>${style}</style>`,
    '</head>',
    document.layout === undefined ? '<body>' : `<body class="${document.layout}">`,
    `<a class="skip" href="#${first!.id}">${words.toAnswer}</a>`,
    ...(document.generated
      ? [`<aside class="generated" aria-label="${words.generatedName}">${words.generated}</aside>`]
      : []),
    '<div class="sheet">',
    headHtml(document),
    ...(document.layout === 'start' ? [] : linksHtml(document)),
    '<main>',
    sectionHtml(first!, context),
    sideHtml(document, first!, context),
    ...rest.map((section) => sectionHtml(section, context)),
    ...(document.layout === 'start' ? linksHtml(document) : []),
    '</main>',
    `<footer>${escapeHtml(words.footer)}</footer>`,
    '</div>',
    `<script>${pageScript}</script>`,
    '</body>',
    '</html>',
    '',
  ].join('\n')
}

function headHtml(document: ReportDocument): string {
  return [
    '<header class="head">',
    `<p class="kicker">${escapeHtml(document.kicker)}</p>`,
    `<h1>${phraseHtml(document.title)}</h1>`,
    `<p class="meta">${phraseHtml(document.summary)}.</p>`,
    `<p class="meta">${escapeHtml(frameWords(document.language).made(document.date))}</p>`,
    '</header>',
  ].join('\n')
}

/** The way to the other documents; on the page to open first, with a line about each. */
function linksHtml({ links = [], layout, language }: ReportDocument): readonly string[] {
  if (links.length === 0) return []
  const name = escapeHtml(frameWords(language).documents)
  const entries = links.map(({ file, name: title, about }) => {
    const said = layout === 'start' ? ` <span class="about">${escapeHtml(about)}</span>` : ''
    return `<li><a href="${file}">${escapeHtml(title)}</a>${said}</li>`
  })
  return [`<nav class="documents" aria-label="${name}">`, `<ul>\n${entries.join('\n')}\n</ul>`, '</nav>']
}

function sideHtml(document: ReportDocument, first: Section, context: BlockContext): string {
  const { aside } = first
  const care =
    aside === undefined
      ? []
      : [
          '<aside class="care" aria-labelledby="care-title">',
          `<h2 id="care-title">${escapeHtml(aside.title)}</h2>`,
          ...aside.blocks.map((block) => blockHtml(block, context)),
          '</aside>',
        ]
  const entries = document.sections.map(
    ({ id, title }) => `<li><a href="#${id}">${escapeHtml(title)}</a></li>`,
  )
  if (document.sections.length === 1 && care.length === 0) return ''
  return [
    '<div class="side">',
    ...care,
    '<nav aria-labelledby="contents-title">',
    `<h2 id="contents-title">${context.words.contents}</h2>`,
    `<ol>\n${entries.join('\n')}\n</ol>`,
    '</nav>',
    '</div>',
  ].join('\n')
}

/** Nothing may be loaded; the one style and the one script are known by their hashes. */
function policy(style: string): string {
  return [
    "default-src 'none'",
    `style-src ${hashSource(style)}`,
    `script-src ${hashSource(pageScript)}`,
    'img-src data:',
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ')
}

function hashSource(text: string): string {
  return `'sha256-${createHash('sha256').update(text).digest('base64')}'`
}
