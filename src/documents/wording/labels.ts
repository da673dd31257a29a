import { message } from '../../messages/message.js'
import type { Speaker } from '../../messages/speaker.js'

const sections = ['definitions', 'methods', 'cautions', 'provenance', 'limitations'] as const

const others = ['kicker', 'readWithCare'] as const

type Texts<Keys extends readonly string[]> = { readonly [Key in Keys[number]]: string }

/** Headings and other short labels. */
export interface Labels extends Texts<typeof others> {
  readonly sections: Texts<typeof sections>
}

const known = new Map<string, Labels>()

/** The short labels in the language of a speaker. */
export function labelsOf(by: Speaker): Labels {
  const before = known.get(by.language)
  if (before !== undefined) return before
  const labels: Labels = Object.freeze({
    ...texts(others, (key) => by.text(message(`label.${key}`))),
    sections: texts(sections, (key) => by.text(message(`label.section.${key}`))),
  })
  known.set(by.language, labels)
  return labels
}

function texts<Keys extends readonly string[]>(keys: Keys, text: (key: Keys[number]) => string): Texts<Keys> {
  return Object.freeze(Object.fromEntries(keys.map((key) => [key, text(key)]))) as Texts<Keys>
}
