import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { hasPlainEnding, isTradeWord } from './tradeWords.js'

/** How sure it is that a text holds the name of a person. */
export type NameFinding = 'definite' | 'possible'

type ListName = 'given' | 'surnames' | 'doubtful'

const lists = new Map<ListName, ReadonlySet<string>>()

/** A list of names, read when it is first asked for: commands that read no records do without. */
function list(name: ListName): ReadonlySet<string> {
  let found = lists.get(name)
  if (found === undefined) {
    found = new Set(readFileSync(join(import.meta.dirname, 'names', `${name}.txt`), 'utf8').split(/\s+/))
    lists.set(name, found)
  }
  return found
}

function plain(word: string): string {
  return word
    .toLowerCase()
    .normalize('NFD')
    .replace(/\p{M}+/gu, '')
    .replace(/['’]/g, '')
    .replace(/ß/g, 'ss')
    .replace(/ø/g, 'o')
    .replace(/ł/g, 'l')
    .replace(/ı/g, 'i')
    .replace(/đ/g, 'd')
    .replace(/æ/g, 'ae')
}

function someOf(word: string, name: ListName): boolean {
  const whole = plain(word)
  return list(name).has(whole.replaceAll('-', '')) || whole.split('-').some((part) => list(name).has(part))
}

function isGivenName(word: string): boolean {
  return someOf(word, 'given') && !isTradeWord(word)
}

/** Whether a word is a common given name or surname, and no word of the trade. */
export function isPersonName(word: string): boolean {
  return (someOf(word, 'given') || someOf(word, 'surnames')) && !isTradeWord(word)
}

/** Whether a word is a name as well as a word: a name only beside another one. */
function isDoubtfulName(word: string): boolean {
  return someOf(word, 'doubtful')
}

const particles = new Set(
  'de da do dos das di del della dalla van von der den ten la le les du des al el bin ben bint zu zum e y mac mc st d l'.split(
    ' ',
  ),
)

const titleWords =
  'mr|mrs|ms|miss|mx|dr|drs|prof|sir|lady|herr|herrn|hr|frau|fr|fräulein|frl|fam|familie|family|mme|mmes|mlle|mr|mgr|maître|monsieur|madame|mademoiselle|famille|sr|sra|srta|señor|señora|señorita|senor|senora|don|doña|dña|dn|dona|senhor|senhora|menina|familia|família|sig|sig\\.ra|sigra|sig\\.na|signor|signora|signorina|dott|dott\\.ssa|dottssa|dottor|dottoressa|dra|drª|dr\\.ª|famiglia|avv|ing|prof\\.ssa|nurse|schwester|zfa'
const capital = "\\p{Lu}(?:['’]\\p{Lu})?\\p{L}[\\p{L}'’]*(?:-\\p{Lu}?[\\p{L}]+)*"
const anyTitle = inAnyCase(titleWords)
const titled = new RegExp(
  `(?<![\\p{L}\\d])(?:${anyTitle})\\.?\\s+(?:(?:${anyTitle}|med|dent)\\.?\\s+)*(?:\\p{Lu}\\.?\\s*)*((?:(?:de|da|do|dos|di|von|van|der|den|del|della|la|le|el|al)\\s+)*${capital}(?:\\s${capital})?)`,
  'gu',
)

/** A pattern, and the same without its accents, as it is typed in haste. */
export function withoutAccentsToo(pattern: string): string {
  const bare = pattern
    .normalize('NFD')
    .replace(/\p{M}+/gu, '')
    .normalize('NFC')
  return bare === pattern.normalize('NFC') ? pattern : `${pattern}|${bare}`
}

/** The letters of a pattern in either case, and nothing else of it: a name begins with a capital all the same. */
function inAnyCase(pattern: string): string {
  return withoutAccentsToo(pattern).replace(/\\.|\(\?:|\p{Ll}/gu, (part) => {
    const upper = part.toUpperCase()
    return part.length > 1 || upper.length > 1 ? part : `[${part}${upper}]`
  })
}

/** Words after which a person is named. */
const cues = new RegExp(
  `(?<![\\p{L}\\d])(?:${inAnyCase('name(?:d)?(?: is)?|surname|spoke (?:to|with)|talked to|called|rang|phoned|emailed|wrote to|contacted|asked(?: for)?|saw|seen by|treated by|placed by|delivered by|referred by|accompanied by|wife(?: of)?|husband(?: of)?|mother(?: is| of)?|father(?: is| of)?|son(?: of)?|daughter(?: of)?|brother|sister|partner|carer|guardian|next of kin|patient(?:in|e)?(?: is)?|pt|pat|operator|surgeon|dentist|hygienist|nurse|assistant|technician|colleague|vorname|nachname|gesprochen mit|telefonat mit|ehemann|ehefrau|gatte|gattin|tochter|sohn|mutter|vater|bruder|schwester|kollege|kollegin|überwiesen (?:von|durch)|behandler|rückruf bei|prénom|nom|appelé|parlé (?:à|avec)|vu par|vue par|posé par|adressée? par|époux|épouse|mari|femme|fils|fille|mère|père|nombre|apellidos?|hablé con|hablado con|llamó|llamar a|atendido por|marido|esposa|esposo|mujer|hijo|hija|madre|padre|hermano|hermana|paciente|nome|cognome|parlato con|chiamat(?:o|a)|marito|moglie|figli(?:o|a)|sorella|fratello|paziente|inviat(?:o|a) da|falei com|falado com|ligou|ligar (?:a|para)|filho|filha|mãe|pai|irmã|irmão|encaminhad(?:o|a) por|atendid(?:o|a) por')})\\s*[:,]?\\s+(${capital})(?:\\s+(${capital}))?`,
  'gu',
)

/**
 * Whether a text is or holds a person's name: a title or a word that announces a person before a capital, a known name
 * beside another, an initial beside a name, or the shape of a name with no word of the trade in it. Names in lower case
 * count where the text is nothing else.
 */
export function personNameIn(text: string): NameFinding | undefined {
  return titledName(text) ?? nameAlone(text) ?? nameInText(text)
}

/** Whether a text holds a person's name for certain. */
export function holdsPersonName(text: string): boolean {
  return personNameIn(text) === 'definite'
}

function titledName(text: string): NameFinding | undefined {
  // Both are slow to look for, and need a capital behind a space or a colon.
  const capitals = text.match(/(?<=[\s:,.])\p{Lu}[\p{L}'’]+/gu) ?? []
  if (capitals.every(isTradeWord)) return undefined
  for (const [, name] of text.matchAll(titled)) {
    const words = name!.split(/\s+/).filter((word) => /^\p{Lu}/u.test(word))
    if (words.some((word) => !isTradeWord(word))) return 'definite'
  }
  for (const [, first, second] of text.matchAll(cues)) {
    // The words themselves may be in any letter case, the name begins with a capital.
    const words = [first, second].filter((word) => word !== undefined && /^\p{Lu}/u.test(word)) as string[]
    if (words.length === 0 || first === undefined || !/^\p{Lu}/u.test(first)) continue
    if (words.some(isPersonName)) return 'definite'
    if (words.some((word) => isTradeWord(word) || /^\p{Lu}+$/u.test(word))) continue
    if (!words.every(hasPlainEnding)) return 'possible'
  }
  return undefined
}

const token = /^\p{L}[\p{L}'’-]*\.?,?$/u

function nameAlone(text: string): NameFinding | undefined {
  const words = text.split(/[\s_/]+|(?<=,)|(?<=\p{L}{2})\.(?=\p{L}{2})/u).filter((word) => word !== '')
  if (
    words.length < 2 ||
    words.length > 7 ||
    !words.every((word) => token.test(word) || /^(?:\p{Lu}\.-?){1,3},?$/u.test(word))
  )
    return undefined
  const bare = words.map((word) => word.replace(/[.,;:]+$/, '').replace(/\./g, ''))
  const names = bare.filter((word) => word !== '' && !particles.has(word.toLowerCase()))
  const isInitial = (word: string): boolean => /^\p{Lu}(?:-?\p{Lu})?$/u.test(word)
  const full = names.filter((word) => !isInitial(word))
  const initials = names.length - full.length
  if (names.length < 2 || full.length === 0) return undefined
  const strong = full.filter(isPersonName).length
  const doubtful = full.filter(
    (word) => !isPersonName(word) && isDoubtfulName(word) && !isTradeWord(word),
  ).length
  const trade = full.filter((word) => isTradeWord(word) && !isPersonName(word)).length
  const given = full.filter(isGivenName).length
  if (strong === full.length && (given > 0 || initials > 0 || strong > 1)) return 'definite'
  if (given > 0 && strong + doubtful === full.length) return 'definite'
  const areCapital = full.every((word) => /^\p{Lu}/u.test(word))
  if (!areCapital && given > 0 && trade === 0 && full.length === 2 && names.length === 2) {
    return full.every((word) => isPersonName(word) || (word.length >= 4 && !hasPlainEnding(word)))
      ? 'possible'
      : undefined
  }
  if (!areCapital || trade > 0 || full.length > 4) return undefined
  if (given > 0 || (strong > 0 && full.length === 2)) return 'definite'
  if (strong > 0) return 'possible'
  if (/^[^,]+,\s?[^,]+$/.test(text)) return 'possible'
  return full.some(hasPlainEnding) || full.every((word) => word.length < 3) ? undefined : 'possible'
}

/** Names that stand in a sentence: two beside each other, or one that is no word and is not the first. */
function nameInText(text: string): NameFinding | undefined {
  const words = text.split(/[\s/]+/).filter((word) => word !== '')
  let possible = false
  for (let index = 0; index < words.length; index++) {
    const word = bareWord(words[index]!)
    if (!/^\p{Lu}\p{L}{2,}/u.test(word)) continue
    const next = bareWord(words[index + 1] ?? '')
    const ends = /[.;:!?]$/.test(words[index]!)
    const before = index === 0 ? '' : words[index - 1]!
    if (!ends && isNamePair(word, next)) return 'definite'
    if (/^\p{Lu}\.$/u.test(before) && isPersonName(word)) return 'definite'
    const starts = index === 0 || /[.!?:]$/.test(before)
    const mayName = starts ? isGivenName(word) : words.length >= 3 && isPersonName(word)
    if (mayName && words.length >= 2 && !hasPlainEnding(word) && !namesAThing.test(next)) possible = true
  }
  return possible ? 'possible' : undefined
}

/** What is called after somebody: a class, a curve, a test. */
const namesAThing =
  /^(?:class|classe|clase|klasse|curve|kurve|courbe|curva|angle|winkel|plane|ebene|index|key|line|space|test|system|technique|technik|protocol|type|typ|scale|score|sign|syndrome?|ii?i?|iv|disease)$/i

function bareWord(word: string): string {
  return word.replace(/^[("'„“«»]+|[.,;:!?)"'“”«»]+$/g, '')
}

function isNamePair(word: string, next: string): boolean {
  if (!/^\p{Lu}\p{L}/u.test(next) || isTradeWord(word) || isTradeWord(next)) return false
  if (isGivenName(word)) return isPersonName(next) || isDoubtfulName(next) || !hasPlainEnding(next)
  return isPersonName(word) && isGivenName(next)
}
