import { dayFromIso } from '../../core/calendar.js'
import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'

/** Words that stand around what a document says, in every format. */
export interface FrameWords {
  readonly generated: string
  readonly generatedName: string
  readonly generatedShort: string
  readonly contents: string
  readonly documents: string
  readonly toAnswer: string
  readonly footer: string
  readonly figure: string
  readonly table: string
  /** Line with the day of making; what is no day is printed as it is. */
  made(date: string): string
  /** Name of the control with which the values of a figure are read. */
  reader(figure: string): string
}

const known = new Map<string, FrameWords>()

/** The words around a document in its language; default English. */
export function frameWords(language = 'en'): FrameWords {
  const before = known.get(language)
  if (before !== undefined) return before
  const by = speaker(language)
  const words: FrameWords = Object.freeze({
    generated: by.text(message('document.generated')),
    generatedName: by.text(message('document.generated-name')),
    generatedShort: by.text(message('document.generated-short')),
    contents: by.text(message('document.contents')),
    documents: by.text(message('documents.where')),
    toAnswer: by.text(message('document.to-answer')),
    footer: by.text(message('document.footer')),
    figure: by.text(message('document.figure')),
    table: by.text(message('document.table')),
    made: (date: string) => {
      const day = dayFromIso(date)
      return by.text(message('document.made', { date: day === undefined ? date : by.day(day) }))
    },
    reader: (figure: string) => by.text(message('document.read-values', { figure })),
  })
  known.set(language, words)
  return words
}

/** Name of the maker in the properties of files. */
export const maker = 'Holdfast'
