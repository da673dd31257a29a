import { headerWords } from '../understand/headerWords.js'

const again =
  /\b(?:re ?torq\w*|re ?tighten\w*|tightened (?:again|twice)|torqued (?:again|twice)|second (?:torque|tightening)|nachgezogen|nachziehen|erneut (?:an|fest)gezogen|zweimal angezogen|zweiter anzug|reapret\w*|apretado (?:de nuevo|otra vez|dos veces)|segundo apriete|resserr\w*|serre a nouveau|deuxieme serrage|reapert\w*|apertado (?:de novo|novamente)|segundo aperto|riserr\w*|serrat[ao] di nuovo|secondo serraggio)\b/
const wait = /\b(\d{1,3}) ?(?:min|mins|minutes?|minuten|minutos?|minuti|mn)\b/
const later =
  /\b(?:recall|visit|week|month|year|woche|monat|jahr|semana|mes|ano|semaine|mois|settimana|mese|anno)/

/** A second tightening of which a free text tells: the wait in minutes, or unknown. */
export interface ToldTightening {
  readonly waitMinutes: number | 'unknown'
  /** The words that tell of it, without what stands around them. */
  readonly words: string
}

/**
 * Reads a remark such as "re-torqued 12 min later" in six languages. It is a proposal to put to the user: undefined where
 * nothing of the kind is said, or where it is said of a later day.
 */
export function toldTightening(text: string): ToldTightening | undefined {
  const plain = headerWords(text)
  const found = again.exec(plain)
  if (found === null) return undefined
  const minutes = wait.exec(plain)
  if (minutes === null && later.test(plain)) return undefined
  return {
    waitMinutes: minutes === null ? 'unknown' : Number(minutes[1]),
    words: minutes === null ? found[0] : `${found[0]}, ${minutes[0]}`,
  }
}
