import { bundleName, numbersOf } from '../model/contents.js'
import {
  type Block,
  type Cell,
  type Figure,
  type Inline,
  type KeyFigures,
  type Phrase,
  plainText,
  type ReportDocument,
  type Section,
  type Table,
} from '../model/document.js'
import { type FrameWords, frameWords } from '../model/frameWords.js'
import { isolated } from '../model/isolation.js'
import { picturePath } from './pictures.js'

/** What blocks need besides themselves. */
interface MarkdownContext {
  readonly numbers: ReadonlyMap<string, string>
  readonly words: FrameWords
}

/**
 * A document as Markdown (CommonMark with the tables of GitHub): headings, pipe tables, and the figures of the bundle
 * with their text alternatives. Text of the data is escaped, so that no reader takes it for markup.
 */
export function documentMarkdown(document: ReportDocument): string {
  const words = frameWords(document.language)
  const context = { numbers: numbersOf(document), words }
  return [
    ...(document.generated ? [`> **${escapeMarkdown(words.generated)}**`] : []),
    `# ${phraseMarkdown(document.title)}`,
    `*${escapeMarkdown(document.kicker)}*`,
    `${phraseMarkdown(document.summary)}.`,
    escapeMarkdown(words.made(document.date)),
    ...document.sections.flatMap((section) => sectionMarkdown(section, context)),
    '---',
    escapeMarkdown(words.footer),
    '',
  ].join('\n\n')
}

function sectionMarkdown(section: Section, context: MarkdownContext): readonly string[] {
  const aside = section.aside
  return [
    `## ${escapeMarkdown(section.title)}`,
    ...section.blocks.map((block) => blockMarkdown(block, context)),
    ...(aside === undefined
      ? []
      : [
          `### ${escapeMarkdown(aside.title)}`,
          ...aside.blocks.map((block) => blockMarkdown(block, context)),
        ]),
  ]
}

function blockMarkdown(block: Block, context: MarkdownContext): string {
  switch (block.kind) {
    case 'paragraph':
      return lineStart(phraseMarkdown(block.content))
    case 'heading':
      return `### ${escapeMarkdown(block.text)}`
    case 'list':
      return listMarkdown(block.items, block.numbered === true)
    case 'terms':
      return block.entries
        .map(({ term, meaning }) => `- **${escapeMarkdown(term)}**: ${phraseMarkdown(meaning)}`)
        .join('\n')
    case 'key-figures':
      return keyFiguresMarkdown(block)
    case 'table':
      return tableMarkdown(block, context)
    case 'figure':
      return figureMarkdown(block, context)
  }
}

function listMarkdown(items: readonly Phrase[], numbered: boolean): string {
  return items
    .map((item, index) => `${numbered ? `${index + 1}.` : '-'} ${lineStart(phraseMarkdown(item))}`)
    .join('\n')
}

function keyFiguresMarkdown({ figures }: KeyFigures): string {
  return figures
    .map(
      ({ value, label, interval }) =>
        `- **${phraseMarkdown(value)}** ${phraseMarkdown(label)} (${phraseMarkdown(interval)})`,
    )
    .join('\n')
}

function tableMarkdown(table: Table, { numbers, words }: MarkdownContext): string {
  const row = (cells: readonly string[]): string => `| ${cells.join(' | ')} |`
  return [
    `**${words.table} ${numbers.get(table.id) ?? ''}.** ${escapeMarkdown(table.caption)} ` +
      `([CSV](tables/${bundleName(table.id)}.csv))`,
    [
      row(table.columns.map(({ title }) => escapeMarkdown(title))),
      row(table.columns.map(({ align }) => (align === 'end' ? '---:' : ':---'))),
      ...table.rows.map((cells) => row(cells.map(cellMarkdown))),
    ].join('\n'),
    ...table.notes.map((note) => lineStart(phraseMarkdown(note))),
  ].join('\n\n')
}

/** Both lines of a cell in one: the second in brackets, unless it is in brackets already. */
function cellMarkdown({ content, under }: Cell): string {
  const first = phraseMarkdown(content).trim()
  if (under === undefined) return first
  const second = phraseMarkdown(under)
  return plainText(under).startsWith('(') ? `${first} ${second}` : `${first} (${second})`
}

function figureMarkdown(figure: Figure, { numbers, words }: MarkdownContext): string {
  return [
    `![${escapeMarkdown(figure.page.description)}](${picturePath(figure.id, 'page')}.svg)`,
    `**${words.figure} ${numbers.get(figure.id) ?? ''}.** ${escapeMarkdown(figure.caption)}`,
    ...figure.notes.map((note) => lineStart(phraseMarkdown(note))),
  ].join('\n\n')
}

/** Markdown of running text, on one line. */
function phraseMarkdown(phrase: Phrase): string {
  return phrase.map(inlineMarkdown).join('')
}

function inlineMarkdown(part: Inline): string {
  if (typeof part === 'string') return escapeMarkdown(part)
  switch (part.kind) {
    case 'number':
      return escapeMarkdown(part.text)
    case 'foreign':
      return escapeMarkdown(isolated(part.text))
    case 'strong':
      return `**${phraseMarkdown(part.content)}**`
    case 'blank':
      return `**${escapeMarkdown(`[${part.text}]`)}**`
    case 'pointer':
      return escapeMarkdown(part.text)
  }
}

/**
 * Text that no reader of Markdown takes for markup, HTML, an entity, a cell border or an address to be linked. `<` and
 * `&` become entities, so that readers that pass HTML through show them, too.
 */
export function escapeMarkdown(text: string): string {
  return text
    .replace(/[\\`*_[\]{}#|~$^@]/g, (sign) => `\\${sign}`)
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('://', '\\://')
    .replace(/\bwww\./gi, (start) => start.replace('.', '\\.'))
    .replace(/\s+/g, ' ')
}

/** Keeps the start of a line from opening a list, a quotation, a rule or a heading. */
function lineStart(text: string): string {
  return text
    .trimStart()
    .replace(/^(\d+)([.)])/, (_, digits: string, sign: string) => `${digits}\\${sign}`)
    .replace(/^[-+=]/, (sign) => `\\${sign}`)
}
