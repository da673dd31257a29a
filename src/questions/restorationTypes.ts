import { listOf, message, type Part } from '../messages/message.js'
import { foreign } from '../messages/phrase.js'
import { type RestorationType, restorationTypes } from '../vocabulary/fields.js'

/** Types of restoration inside a sentence: "single crowns and splinted crowns"; a type of the user's own stands as it is. */
export function restorationTypesInSentence(types: readonly string[]): Part {
  return listOf(types.map((type) => (isKnown(type) ? message(`restoration-type.${type}`) : foreign(type))))
}

function isKnown(type: string): type is RestorationType {
  return (restorationTypes as readonly string[]).includes(type)
}
