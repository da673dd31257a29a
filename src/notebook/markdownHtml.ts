import { escapeHtml } from '../report/htmlText.js'

/**
 * HTML of the Markdown that notebooks of the project use: headings, paragraphs, lists, code, strong, emphasis and
 * links. Anything else stays as it is written; HTML in the text is shown, not run.
 */
export function markdownHtml(text: string): string {
  const blocks = text.replaceAll('\r\n', '\n').split(/(```[^\n]*\n[\s\S]*?```)|\n{2,}/)
  return blocks
    .filter((block): block is string => block !== undefined && block.trim() !== '')
    .map(blockHtml)
    .join('\n')
}

function blockHtml(block: string): string {
  const code = /^```[^\n]*\n([\s\S]*?)\n?```$/.exec(block.trim())
  if (code !== null) return `<pre><code>${escapeHtml(code[1]!)}</code></pre>`
  const lines = block.split('\n').filter((line) => line.trim() !== '')
  const heading = /^(#{1,6})\s+(.*)$/.exec(lines[0]!)
  if (heading !== null) {
    const level = heading[1]!.length
    const rest = lines.slice(1).join('\n')
    return `<h${level}>${inlineHtml(heading[2]!)}</h${level}>${rest === '' ? '' : `\n${blockHtml(rest)}`}`
  }
  const start = lines.findIndex((line) => itemOf(line) !== undefined)
  if (start < 0) return `<p>${inlineHtml(lines.join('\n'))}</p>`
  const before = start === 0 ? '' : `<p>${inlineHtml(lines.slice(0, start).join('\n'))}</p>\n`
  return before + listHtml(lines.slice(start))
}

function listHtml(lines: readonly string[]): string {
  const items: string[] = []
  for (const line of lines) {
    const item = itemOf(line)
    if (item === undefined) items[items.length - 1] += ` ${line.trim()}`
    else items.push(item)
  }
  const tag = /^\s*\d/.test(lines[0]!) ? 'ol' : 'ul'
  return `<${tag}>\n${items.map((item) => `<li>${inlineHtml(item)}</li>`).join('\n')}\n</${tag}>`
}

function itemOf(line: string): string | undefined {
  return /^\s*(?:[-*+]|\d+[.)])\s+(.*)$/.exec(line)?.[1]
}

/** Code first, so that nothing inside it is read as a mark. */
function inlineHtml(text: string): string {
  return text
    .split(/(`[^`]+`)/)
    .map((part) =>
      part.startsWith('`') && part.length > 2
        ? `<code>${escapeHtml(part.slice(1, -1))}</code>`
        : escapeHtml(part)
            .replace(/\[([^\]]+)\]\(((?:https?:|mailto:|#|\.{0,2}\/)?[^\s):]*(?:[^\s)]*))\)/g, linkHtml)
            .replace(/\*\*([^*]+)\*\*/g, '<strong>$1</strong>')
            .replace(/(^|[^\w*])[*_]([^*_\s][^*_]*)[*_](?!\w)/g, '$1<em>$2</em>'),
    )
    .join('')
}

function linkHtml(_whole: string, text: string, target: string): string {
  return /^[a-z]+:/i.test(target) && !/^(?:https?|mailto):/i.test(target)
    ? text
    : `<a href="${target}">${text}</a>`
}
