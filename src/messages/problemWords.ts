import type { CodeParameters } from '../core/estimate.js'
import type { Message, Part } from './message.js'
import { foreign } from './phrase.js'
import { hasMessage, termCode } from './speaker.js'

/** A problem of the records, as far as its words go. */
export interface WordedProblem {
  readonly code: string
  readonly parameters?: CodeParameters
  readonly leftOut?: string
  readonly problem: string
  readonly expected: string
  readonly mend: string
}

/** What was found, what was expected, and the mend. */
export interface ProblemWords {
  readonly found: Part
  readonly expected: Part
  readonly mend: Part
}

/** A problem of the records in words; one that no message words (of a later release) stands as the results have it. */
export function problemWords(one: WordedProblem): ProblemWords {
  const found = said('found', one) ?? foreign(one.problem)
  return {
    found:
      one.leftOut === undefined || !hasMessage(`problem.found.${one.code}`)
        ? found
        : {
            kind: 'message',
            code: 'problem.left-out',
            parameters: { found, what: one.leftOut, code: foreign(one.code) },
          },
    expected: said('expected', one) ?? foreign(one.expected),
    mend: said('mend', one) ?? foreign(one.mend),
  }
}

function said(
  kind: 'found' | 'expected' | 'mend',
  { code, parameters = {} }: WordedProblem,
): Message | undefined {
  const name = `problem.${kind}.${code}`
  if (!hasMessage(name)) return undefined
  const parts = Object.entries(parameters).map(([key, value]): [string, Part] => [key, partOf(key, value)])
  return { kind: 'message', code: name, parameters: Object.fromEntries(parts) }
}

/** What identifies a person is one of our own terms; other texts came with the data or choose between words. */
function partOf(key: string, value: CodeParameters[string]): Part {
  if (typeof value === 'number') return value
  const text = String(value)
  const identifier = `identifier.${termCode(text)}`
  if (key === 'kind' && hasMessage(identifier)) return { kind: 'message', code: identifier, parameters: {} }
  return foreign(text)
}
