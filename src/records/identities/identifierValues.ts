import type { GateVerdict } from './identifierHeaders.js'
import { identifierPatterns, mayBeShortIdentifier } from './identifierPatterns.js'
import { holdsPersonName, isPersonName, personNameIn } from './personNames.js'
import { hasPlainEnding, isTradeWord } from './tradeWords.js'

export { isNhsNumber } from './identifierChecks.js'

/** What a value looks like. */
export interface ValueFinding {
  readonly kind: string
  readonly verdict: GateVerdict
}

/** A date by itself; whether a column may hold dates is for the column to say. */
export const isDate =
  /^(?:\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/. ]\d{1,2}[-/. ]\d{2,4})(?:[T ]\d{1,2}:\d{2}.*)?$/

/** A plain code such as P0001 or a plain number: nothing that any pattern would find. */
const plainCode = /^(?:[A-Za-z]{0,4}[-_]?\d{1,8}|[+-]?\d{1,6}(?:[.,]\d+)?|[a-z]+(?:_[a-z]+)*)$/

/** Characters of a text that are searched; a longer one is warned about for its length. */
const searched = 20_000

/** Words in letters other than Latin ones: nothing here could tell a name from them. */
const otherScript = /(?:(?!\p{Script=Latin})\p{L}){2}/u

/** What a value looks like by itself, wherever in it the identifier stands; undefined where nothing points to a person. */
export function identifierOfValue(value: string): ValueFinding | undefined {
  if (value.length < 3) return undefined
  if (isDate.test(value)) return earlyDate(value)
  if (value.length <= 40 && plainCode.test(value)) {
    return value.includes('_') && holdsPersonName(value) ? { kind: 'a name', verdict: 'definite' } : undefined
  }
  // A code of one piece, such as a pseudonym: there are as many of them as there are rows.
  if (/^[A-Za-z\d_-]{1,12}$/.test(value) && /\d/.test(value) && !mayBeShortIdentifier.test(value))
    return undefined
  const text = value.slice(0, searched).normalize('NFC')
  if (otherScript.test(text)) return { kind: 'text in letters that are not searched', verdict: 'possible' }
  const name = personNameIn(text)
  if (name === 'definite') return { kind: 'a name', verdict: name }
  const digits = text.replace(/\D+/g, '').length
  const found = identifierPatterns.filter((pattern) => digits >= (pattern.digits ?? 0) && pattern.found(text))
  const sure = found.find((pattern) => pattern.verdict === 'definite') ?? found[0]
  if (sure !== undefined) return { kind: sure.kind, verdict: sure.verdict }
  if (name !== undefined) return { kind: 'a name', verdict: name }
  return (hasShapeOfSurname(text) && isPersonName(text)) || positionAndName(text)
    ? { kind: 'a name', verdict: 'possible' }
    : undefined
}

/** A tooth position and one unknown word with a capital: whose crown it is. */
function positionAndName(text: string): boolean {
  const word = /^\d{2}\s(\p{Lu}\p{Ll}{2,})$/u.exec(text)?.[1]
  return word !== undefined && !isTradeWord(word) && !hasPlainEnding(word)
}

/** Implants of this form were not placed before 1975: a date as early as that is one of birth. */
function earlyDate(value: string): ValueFinding | undefined {
  const year = Number(/(?:^|\D)(\d{4})(?:\D|$)/.exec(value)?.[1] ?? '2000')
  return year >= 1900 && year < 1975 ? { kind: 'a date of birth', verdict: 'possible' } : undefined
}

const capitalised = "\\p{Lu}(?:['’]\\p{Lu})?[\\p{Ll}'’]+(?:-\\p{Lu}\\p{Ll}+)?"
const particle = '(?:de|da|do|dos|das|di|del|della|van|von|der|den|ten|la|le|du|al|el|bin|ben|zu|e|y)'
const severalNames = new RegExp(
  `^(?:${capitalised}|\\p{Lu}\\.?),?(?:\\s(?:${particle}\\s)*(?:${capitalised}|\\p{Lu}\\.?)){1,4}$`,
  'u',
)
const oneName = new RegExp(`^${capitalised}$`, 'u')
const anyName = new RegExp(capitalised, 'u')

/** Two to five capitalised words without a word of the trade, or one and initials: the shape of a person's name. */
export function hasShapeOfName(value: string): boolean {
  if (value.length > 60 || /\d/.test(value)) return false
  const parts = value.split(/[\s,]+/)
  if (parts.some((word) => isTradeWord(word) || hasPlainEnding(word)))
    return personNameIn(value) !== undefined
  if (severalNames.test(value)) return anyName.test(value)
  return (
    /^\p{Lu}{2,}(?:[ -]\p{Lu}{2,})*,\s?\p{Lu}\p{L}+$/u.test(value) ||
    /^\p{Lu}{3,}\s\p{Lu}\p{Ll}{2,}$/u.test(value) ||
    /^\p{Lu}\p{Ll}{2,}\s\p{Lu}{3,}$/u.test(value)
  )
}

/** One capitalised word of letters alone, no word of the trade, as a surname or given name would be. */
export function hasShapeOfSurname(value: string): boolean {
  return value.length >= 3 && oneName.test(value) && !isTradeWord(value)
}
