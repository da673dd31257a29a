import type { Token } from 'markdown-it'
import type { Block, Phrase } from '../documents/model/document.js'
import { markdownReader } from './markdownHtml.js'

/** A heading of the user's own, or a block. */
export type MarkdownBlock = Block | { readonly kind: 'title'; readonly text: string }

/** The deepest heading that opens a part of its own; those below it stand inside. */
const deepestTitle = 2

/**
 * The Markdown of a user as blocks of a document: headings, paragraphs, lists, text that stands out. Pictures are named by
 * their description, links by their words and address.
 */
export function markdownBlocks(text: string): readonly MarkdownBlock[] {
  const tokens = markdownReader().parse(text, {})
  const blocks: MarkdownBlock[] = []
  let list: { items: Phrase[]; numbered: boolean } | undefined
  let depth = 0
  tokens.forEach((token, index) => {
    const { type, content } = token
    if (type === 'bullet_list_open' || type === 'ordered_list_open') {
      depth += 1
      list ??= { items: [], numbered: type === 'ordered_list_open' }
    } else if (type === 'bullet_list_close' || type === 'ordered_list_close') {
      depth -= 1
      if (depth > 0 || list === undefined) return
      blocks.push({ kind: 'list', ...list })
      list = undefined
    } else if (type === 'inline') {
      const phrase = inlinePhrase(token.children ?? [])
      const level = Number(/^h(\d)$/.exec(tokens[index - 1]?.tag ?? '')?.[1] ?? Number.NaN)
      if (!Number.isNaN(level)) blocks.push(headingOf(level, phrase))
      else if (list !== undefined) list.items.push(phrase)
      else blocks.push({ kind: 'paragraph', tone: 'plain', content: phrase })
    } else if (type === 'fence' || type === 'code_block') {
      blocks.push({ kind: 'paragraph', tone: 'note', content: [content.trimEnd()] })
    }
  })
  return blocks
}

function headingOf(level: number, phrase: Phrase): MarkdownBlock {
  const text = phrase.map(textOf).join('')
  return level <= deepestTitle ? { kind: 'title', text } : { kind: 'heading', text }
}

function textOf(part: Phrase[number]): string {
  if (typeof part === 'string') return part
  return part.kind === 'strong' ? part.content.map(textOf).join('') : part.text
}

/** Running text of the marks inside a line; strong text may hold others. */
function inlinePhrase(tokens: readonly Token[]): Phrase {
  const open: Phrase[number][][] = [[]]
  let address = ''
  for (const token of tokens) {
    const { type, content } = token
    const here = open.at(-1)!
    if (type === 'strong_open') open.push([])
    else if (type === 'strong_close') {
      const inside = open.pop()!
      open.at(-1)!.push({ kind: 'strong', content: inside })
    } else if (type === 'link_open') address = String(token.attrGet('href') ?? '')
    else if (type === 'link_close') {
      const words = here.map(textOf).join('')
      if (address !== '' && !words.endsWith(address)) here.push(` (${address})`)
    } else if (type === 'softbreak' || type === 'hardbreak') here.push(' ')
    else if (content !== '') here.push(content)
  }
  return open.flat()
}
