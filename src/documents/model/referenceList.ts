import { bibliography, type WorkKey, worksOfMethod } from '../wording/bibliography.js'
import { type Phrase, phrase } from './document.js'

/** Identifier of the section that lists the works. */
export const referencesId = 'references'

/** Works in the order in which the text cites them first. */
export interface ReferenceList {
  /** " [3,4]" with pointers to the list; nothing for no work. */
  cite(...works: readonly WorkKey[]): Phrase
  /** The same for the methods of results, by the keys of their pages. */
  citeMethods(methods: readonly string[]): Phrase
  /** The list as it stands so far. */
  works(): readonly string[]
}

/** Opens an empty list of references. */
export function openReferenceList(): ReferenceList {
  const numbers = new Map<WorkKey, number>()
  const numberOf = (work: WorkKey): number => {
    if (!numbers.has(work)) numbers.set(work, numbers.size + 1)
    return numbers.get(work)!
  }
  const cite = (...works: readonly WorkKey[]): Phrase => {
    const cited = [...new Set(works)].map(numberOf).sort((left, right) => left - right)
    if (cited.length === 0) return []
    const pointers = cited.flatMap((number, index): Phrase => {
      const pointer = { kind: 'pointer', target: referencesId, text: String(number) } as const
      return index === 0 ? [pointer] : [',', pointer]
    })
    return phrase` [${pointers}]`
  }
  return {
    cite,
    citeMethods: (methods) => cite(...methods.flatMap((method) => worksOfMethod[method] ?? [])),
    works: () => [...numbers.keys()].map((work) => bibliography[work]),
  }
}
