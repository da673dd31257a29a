import MarkdownIt from 'markdown-it'

type Reader = ReturnType<typeof MarkdownIt>

let reader: Reader | undefined

/** The reader of Markdown: HTML in the text is shown, not run, and links lead to nothing that runs. */
export function markdownReader(): Reader {
  reader ??= new MarkdownIt({ html: false, linkify: false })
  return reader
}

/** HTML of the Markdown of a cell. */
export function markdownHtml(text: string): string {
  return markdownReader().render(text).trimEnd()
}

/** Text that stands in Markdown as it is, whatever marks it holds. */
export function plainInMarkdown(text: string): string {
  return text.replace(/[\\`*_[\]<>#|~!]/g, '\\$&')
}
