import { codeOf, type MethodName, type MethodTerm, withoutTerm } from '../core/method.js'
import { listOf, type Message, type WordList } from './message.js'

/**
 * The name of a method in words, term by term.
 *
 * @example methodWords(['product-limit', 'greenwood-variance']).items.length // => 2
 */
export function methodWords(name: MethodName): WordList {
  return listOf(name.map(termWords), 'comma')
}

/** The name of a method where the sentence says already that it is a difference. */
export function plainMethodWords(name: MethodName): WordList {
  return methodWords(withoutTerm(name, 'difference'))
}

function termWords(term: MethodTerm): Message {
  const parameters = typeof term === 'string' ? {} : term.parameters
  return { kind: 'message', code: `method.${codeOf(term)}`, parameters: { ...parameters } }
}
