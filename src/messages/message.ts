import { deepFreeze } from '../core/plain.js'
import type { MessageParameters } from './parameters.js'
import type { Message, Opening, Part, WordList } from './phrase.js'

export type { CountPart, Message, Part, WordList, Words } from './phrase.js'

/** Code of a message, as the catalogues name it. */
export type MessageCode = keyof MessageParameters

/** What the message of a code needs, as further arguments. */
export type Arguments<Code extends MessageCode> = keyof MessageParameters[Code] extends never
  ? readonly []
  : readonly [parameters: MessageParameters[Code]]

/**
 * A message by its code; what it needs is checked by the compiler.
 *
 * @param code code in the catalogues
 * @param parameters what the message needs; left out where it needs nothing
 * @example message('quantity.not-reached').code // => "quantity.not-reached"
 */
export function message<Code extends MessageCode>(
  code: Code,
  ...[parameters]: Arguments<Code>
): Message & { readonly code: Code } {
  return deepFreeze({ kind: 'message', code, parameters: (parameters ?? {}) as Message['parameters'] })
}

/** Words joined as the language joins them: by default "a, b and c". */
export function listOf(items: readonly Part[], joined: WordList['joined'] = 'and'): WordList {
  return Object.freeze({ kind: 'list', joined, items: Object.freeze([...items]) })
}

/** Words at the beginning of a sentence or a cell: their first letter large, unless it came with the data. */
export function opening(words: Part): Opening {
  return Object.freeze({ kind: 'opening', words })
}
