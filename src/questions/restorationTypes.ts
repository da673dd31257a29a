import { listOf, message, type Part } from '../messages/message.js'
import { foreign } from '../messages/phrase.js'
import { type RestorationType, restorationTypes } from '../vocabulary/fields.js'

/** Types of restoration inside a sentence: "single crowns and splinted crowns"; a type of the user's own stands as it is. */
export function restorationTypesInSentence(types: readonly string[]): Part {
  return listOf(types.map(inSentence))
}

/** The same where they open a sentence. */
export function restorationTypesOpening([first, ...others]: readonly string[]): Part {
  if (first === undefined) return []
  const opening = isKnown(first) ? message(`restoration-type.title.${first}`) : foreign(first)
  return listOf([opening, ...others.map(inSentence)])
}

function inSentence(type: string): Part {
  return isKnown(type) ? message(`restoration-type.${type}`) : foreign(type)
}

function isKnown(type: string): type is RestorationType {
  return (restorationTypes as readonly string[]).includes(type)
}
