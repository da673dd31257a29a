import type { Inline, Phrase } from '../model/document.js'
import { turnsDirection } from '../model/isolation.js'

/** Escapes text for HTML content and for attributes in double quotes. */
export function escapeHtml(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;')
}

/** HTML of running text. Text of the data is isolated, so that its direction cannot turn ours. */
export function phraseHtml(phrase: Phrase): string {
  return phrase.map(inlineHtml).join('')
}

/** A word that may have to be broken anywhere to fit a cell or a small screen. */
const longWord = /\S{25,}/

/** HTML of a title that may hold a name out of the data, such as the head of a column for a clinic. */
export function titleHtml(title: string): string {
  return longWord.test(title) || turnsDirection(title) ? foreignHtml(title) : escapeHtml(title)
}

function foreignHtml(text: string): string {
  return `<bdi${longWord.test(text) ? ' class="long"' : ''}>${escapeHtml(text)}</bdi>`
}

function inlineHtml(part: Inline): string {
  if (typeof part === 'string') return escapeHtml(part)
  switch (part.kind) {
    case 'number':
      return (
        `<data value="${escapeHtml(String(part.value))}" data-result="${escapeHtml(part.path)}" ` +
        `data-format="${escapeHtml(part.format)}">${escapeHtml(part.text)}</data>`
      )
    case 'foreign':
      return foreignHtml(part.text)
    case 'strong':
      return `<strong>${phraseHtml(part.content)}</strong>`
    case 'blank':
      return `<mark>${escapeHtml(`[${part.text}]`)}</mark>`
    case 'pointer':
      return `<a href="#${escapeHtml(part.target)}">${escapeHtml(part.text)}</a>`
  }
}
