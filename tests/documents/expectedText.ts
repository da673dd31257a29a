import type { Cell, Phrase } from '../../src/documents/model/document.js'
import type { FormatName } from '../../src/messages/numberFormats.js'
import { speaker } from '../../src/messages/speaker.js'
import { resolvePath } from './resolvePath.js'

/**
 * What a phrase must read as, its numbers taken anew from results.json by their paths and rounded by the one rule, so
 * that a writer that garbles a number is found out.
 */
export function expectedText(phrase: Phrase, results: unknown): string {
  return phrase
    .map((part) => {
      if (typeof part === 'string') return part
      if (part.kind === 'strong') return expectedText(part.content, results)
      if (part.kind === 'blank') return `[${part.text}]`
      if (part.kind !== 'number') return part.text
      const value = resolvePath(results, part.path)
      if (typeof value !== 'number') throw new TypeError(`${part.path} leads nowhere`)
      return speaker().number(value, part.format as FormatName)
    })
    .join('')
}

/** Both lines of a cell. */
export function expectedLines({ content, under }: Cell, results: unknown): readonly string[] {
  return [content, ...(under === undefined ? [] : [under])].map((phrase) => expectedText(phrase, results))
}
