import type { MethodName } from '../core/estimate.js'
import { listOf, type WordList } from './message.js'
import { foreign } from './phrase.js'
import { hasMessage, termCode } from './speaker.js'

/**
 * The name of a method in words. A name is a list of terms, and each term has a message of its own, `method.<term>`; a
 * term of a later release stands as it is.
 *
 * @example methodWords('product-limit, Greenwood variance').items.length // => 2
 */
export function methodWords(name: MethodName): WordList {
  const terms = name.split(', ')
  return listOf(
    terms.map((term) => {
      const code = methodCode(term)
      return hasMessage(code) ? { kind: 'message', code, parameters: {} } : foreign(term)
    }),
    'comma',
  )
}

/** The name of a method where the sentence says already that it is a difference. */
export function plainMethodWords(name: MethodName): WordList {
  const [first, ...rest] = name.split(', ')
  return methodWords(first === 'difference' && rest.length > 0 ? rest.join(', ') : name)
}

/** Code of the message of a term: its letters and digits, others as hyphens. */
export function methodCode(term: string): string {
  return `method.${termCode(term)}`
}
