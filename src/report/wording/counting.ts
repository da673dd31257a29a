import type { Citations } from '../citation.js'
import { joinPhrases, type Phrase, phrase } from '../document.js'

/** A count of the results with its noun in the right number: "3 restorations", "1 restoration". */
export function counted(cite: Citations, path: string, noun: string): Phrase {
  const number = cite.number(path, 'count')
  return phrase`${number} ${number.value === 1 ? noun : `${noun}s`}`
}

/** Sentences one after the other; what is empty is left out. */
export function sentences(...parts: readonly Phrase[]): Phrase {
  return joinPhrases(
    parts.filter((part) => part.length > 0),
    ' ',
  )
}
