import { Bookmark, InternalHyperlink, type ParagraphChild, TextRun } from 'docx'
import type { Inline, Phrase } from '../model/document.js'
import { markedLeftToRight } from '../model/isolation.js'

/** Runs of running text. */
export function phraseRuns(phrase: Phrase, bold = false): ParagraphChild[] {
  return phrase.flatMap((part) => inlineRuns(part, bold))
}

function inlineRuns(part: Inline, bold: boolean): ParagraphChild[] {
  if (typeof part === 'string') return [run(part, bold)]
  switch (part.kind) {
    case 'number':
      return [run(part.text, bold)]
    case 'foreign':
      return [run(markedLeftToRight(part.text), bold)]
    case 'strong':
      return phraseRuns(part.content, true)
    case 'blank':
      return [new TextRun({ text: `[${part.text}]`, bold, highlight: 'yellow' })]
    case 'pointer':
      return [new InternalHyperlink({ anchor: bookmarkName(part.target), children: [run(part.text, bold)] })]
  }
}

function run(text: string, bold: boolean): TextRun {
  return new TextRun({ text, bold })
}

/** Runs to which pointers of the document lead. */
export function bookmarked(id: string, children: readonly ParagraphChild[]): Bookmark {
  return new Bookmark({ id: bookmarkName(id), children: [...children] })
}

/** Bookmarks of Word begin with a letter and hold letters, digits and underscores only, at most 40. */
function bookmarkName(id: string): string {
  return `to_${id.replace(/[^A-Za-z0-9]/g, '_')}`.slice(0, 40)
}
