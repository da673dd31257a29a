import { firstLanguage } from '../../../messages/catalogue.js'
import { type Message, message, type Words } from '../../../messages/message.js'
import type { Speaker } from '../../../messages/speaker.js'
import { paragraph, type Table, type Block as UnwordedBlock } from '../../../questions/words/blocks.js'
import type { Block, Figure, ReportDocument, Section } from '../../model/document.js'
import { wordedBlocks } from '../../model/worded.js'

/** What six slides say, whichever edition they are of. */
export interface DeckParts {
  readonly title: Words
  readonly about: Words
  readonly question: Words
  /** Of whom it speaks. */
  readonly who: readonly Words[]
  /** How often: the sentence that claims. */
  readonly often: Words
  /** What stands beside it where there is no figure to be seen. */
  readonly beside: readonly Words[]
  readonly oftenFigures: readonly Figure[]
  /** The verdict of the comparison; empty where there is none. */
  readonly verdict: readonly Words[]
  readonly comparisonFigures: readonly Figure[]
  readonly comparisonTable?: Table
  readonly overturn: readonly Words[]
  readonly next: readonly Words[]
  /** What the speaker of the first slide should know: the source, for one. */
  readonly notes: readonly Words[]
}

/** What a deck is besides its words. */
export interface DeckFrame {
  readonly generated: boolean
  readonly date: string
}

/** Most points on one slide: what more there is stands in the report. */
const mostPoints = 4

/** That nobody has reviewed a translation; nothing in English. */
function translatedNote({ language }: Speaker): readonly UnwordedBlock[] {
  return language === firstLanguage ? [] : [paragraph(message('document.translated'), 'note')]
}

/** Six slides as a document: title, who, how often, the comparison, what could overturn it, what to do next. */
export function slideDeck(parts: DeckParts, by: Speaker, { generated, date }: DeckFrame): ReportDocument {
  const worded = (...blocks: readonly UnwordedBlock[]): readonly Block[] =>
    wordedBlocks(blocks, by, { generated, full: true })
  const lead = (words: readonly Words[]): readonly Block[] =>
    worded(...words.map((one) => paragraph(one, 'lead')))
  const points = (words: readonly Words[]): readonly Block[] =>
    words.length === 0 ? [] : worded({ kind: 'list', items: words.slice(0, mostPoints) })
  const slide = (id: string, title: Words, blocks: readonly Block[], notes: readonly Words[]): Section => ({
    id,
    title: by.text(title),
    blocks,
    aside: { title: by.text(message('slides.notes')), blocks: worded(...notes.map((one) => paragraph(one))) },
  })
  const { oftenFigures, comparisonTable } = parts
  const cautions: Message = message('summary.cautions')
  const verdict = parts.verdict.length === 0 ? [message('slides.not-compared')] : parts.verdict
  const overturn = parts.overturn.length === 0 ? [message('slides.nothing-tried')] : parts.overturn
  return {
    layout: 'slides',
    title: by.phrase(parts.title),
    kicker: by.text(message('slides.kicker')),
    summary: by.phrase(parts.about),
    generated,
    date,
    language: by.language,
    sections: [
      slide('title', parts.title, lead([parts.about]), [...parts.notes, cautions]),
      slide('who', parts.question, points(parts.who), parts.notes),
      slide(
        'often',
        message('report.how-often'),
        [
          ...lead([parts.often]),
          ...(oftenFigures.length === 0
            ? points(parts.beside)
            : worded(...parts.beside.slice(0, 1).map((one) => paragraph(one)))),
          ...oftenFigures,
        ],
        parts.beside,
      ),
      slide(
        'compared',
        message('comparison.title'),
        [
          ...lead(verdict),
          ...(comparisonTable === undefined ? [] : worded(comparisonTable)),
          ...parts.comparisonFigures,
        ],
        [cautions],
      ),
      slide('overturn', message('report.overturn'), points(overturn), overturn.slice(mostPoints)),
      slide(
        'next',
        message('summary.next'),
        [...points(parts.next), ...worded(paragraph(cautions, 'note'), ...translatedNote(by))],
        parts.next.slice(mostPoints),
      ),
    ],
  }
}
