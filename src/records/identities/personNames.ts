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
  'mr|mrs|ms|miss|mx|dr|drs|prof|sir|lady|herr|herrn|hr|frau|fr|fräulein|frl|fam|familie|family|mme|mmes|mlle|mr|mgr|maître|monsieur|madame|mademoiselle|famille|sr|sra|srta|señor|señora|señorita|senor|senora|don|doña|dña|dn|dona|senhor|senhora|menina|familia|família|sig|sig\\.ra|sigra|sig\\.na|signor|signora|signorina|dott|dott\\.ssa|dottssa|dottor|dottoressa|dra|drª|dr\\.ª|famiglia|avv|ing|prof\\.ssa|nurse|schwester|zfa|professeure?|professor|professora|profesora?|professore|professoressa|doctor|doctora|docteur|doktor|seu|dhr|mevr|mevrouw|mw|meneer|fru|pan|pani|paní|bay|bayan|shri|smt|lt|col|capt|maj|sgt|rev|reverend|pastor|pfarrer|rabbi|imam|lord|dame|judge|sister|hermana|suor|mag|lic'
const capital = "\\p{Lu}(?:['’]\\p{Lu})?\\p{L}[\\p{L}'’]*(?:-\\p{Lu}?[\\p{L}]+)*"
const anyTitle = inAnyCase(titleWords)
const titled = new RegExp(
  `(?<![\\p{L}\\d])(?:${anyTitle})\\.?\\s+(?:(?:${anyTitle}|med|dent)\\.?\\s+)*(?:\\p{Lu}\\.?\\s*)*((?:(?:de|da|do|dos|das|du|des|di|von|zu|zum|van|der|den|ten|ter|te|af|av|del|della|dalla|la|le|el|al|bin|ben|abu)\\s+)*${capital}(?:\\s${capital})?)`,
  'gu',
)

/** The end of a text after which a person is named, whatever follows. */
const titleBefore = new RegExp(`(?<![\\p{L}\\d])(?:${anyTitle})\\.?\\s+$`, 'u')

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
  `(?<![\\p{L}\\d])(?:${inAnyCase('name(?:d)?(?: is)?|surname|spoke (?:to|with)|talked to|called|rang|phoned|emailed|wrote to|contacted|asked(?: for)?|saw|seen by|treated by|placed by|delivered by|referred by|accompanied by|(?:signed|made|remade|fitted|tightened|removed|replaced|checked|collected|translated) by|neighbou?r|friend|grandson|granddaughter|caregiver|wife(?: of)?|husband(?: of)?|mother(?: is| of)?|father(?: is| of)?|son(?: of)?|daughter(?: of)?|brother|sister|partner|carer|guardian|next of kin|patient(?:in|e)?(?: is)?|pt|pat|operator|surgeon|dentist|hygienist|nurse|assistant|technician|colleague|vorname|nachname|gesprochen mit|telefonat mit|ehemann|ehefrau|gatte|gattin|tochter|sohn|enkel(?:in)?|nachbar(?:in)?|freund(?:in)?|betreuer(?:in)?|(?:zahn)?techniker(?:in)?|assistent(?:in)?|anruf(?: von)?|rückruf (?:von|an)|(?:angezogen|nachgezogen|eingesetzt|unterschrieben|gemacht) (?:von|durch)|vertreten durch|mutter|vater|bruder|schwester|kollege|kollegin|überwiesen (?:von|durch)|behandler|rückruf bei|prénom|nom|appelé|parlé (?:à|avec)|vu par|vue par|posé par|appel de|(?:signée?|vissée?|serrée?|faite?|refaite?) par|prothésiste|hygiéniste|technicien(?:ne)?|assistante?|voisine?|amie?|adressée? par|époux|épouse|mari|femme|fils|fille|mère|père|nombre|apellidos?|hablé con|hablado con|llamó|llamar a|atendido por|llamada de|(?:firmad|apretad|hech|colocad|revisad)(?:o|a) por|técnic(?:o|a)|protésic(?:o|a)|higienista|cuidadora?|niet(?:o|a)|amig(?:o|a)|vecin(?:o|a)|marido|esposa|esposo|mujer|hijo|hija|madre|padre|hermano|hermana|paciente|nome|cognome|parlato con|chiamata (?:di|da)|(?:firmat|serrat|fatt|avvitat|rifatt)(?:o|a) da|odontotecnic(?:o|a)|igienista|badante|nipote|amic(?:o|a)|vicin(?:o|a)|chiamat(?:o|a)|marito|moglie|figli(?:o|a)|sorella|fratello|paziente|inviat(?:o|a) da|falei com|ligação d(?:e|a|o)|(?:assinad|apertad|feit|colocad)(?:o|a) por|protétic(?:o|a)|net(?:o|a)|falado com|ligou|ligar (?:a|para)|filho|filha|mãe|pai|irmã|irmão|encaminhad(?:o|a) por|atendid(?:o|a) por')})\\.?\\s*[:,]?\\s+(${capital})(?:\\s+(${capital}))?`,
  'gu',
)

/**
 * Whether a text is or holds a person's name: a title or a word that announces a person before a capital, a known name
 * beside another, an initial beside a name, or the shape of a name with no word of the trade in it. Names in lower case
 * count where the text is nothing else.
 */
export function personNameIn(text: string): NameFinding | undefined {
  const plainly = withoutEponyms(text)
  return titledName(plainly) ?? titledInHaste(plainly) ?? nameAlone(plainly) ?? nameInText(plainly)
}

/** What is called after somebody: a class, a curve, a bar, a disease. */
const things =
  'class|classe|clase|klasse|curve|kurve|courbe|curva|angle|winkel|plane|ebene|index|key|line|linie|triangle|dreieck|law|space|test|system|technique|technik|protocol|type|typ|scale|skala|score|sign|syndrome?|disease|bar|steg|barra|barre|bridge|brücke|flap|clasp|klammer|osteotomy|osteotomie|fracture|fraktur|articulator|artikulator|curette|kürette|reflex|movement|bewegung|mouvement|movimiento|movimento'
const eponyms = new RegExp(
  [
    `\\p{Lu}[\\p{L}'’-]+(?:\\s(?:and|und|et|y|e)\\s\\p{Lu}[\\p{L}-]+)?(?:['’]s)?\\s(?:${inAnyCase(things)}|I{1,3}|I?V)(?![\\p{L}\\d])`,
    `(?<![\\p{L}\\d])(?:${inAnyCase(things)})\\s(?:of|de|di|do|von|nach)\\s\\p{Lu}[\\p{L}-]+`,
    '(?<![\\p{L}\\d])(?:Morbus|Morbo(?: di)?|[Mm]aladie de|[Ee]nfermedad de|[Dd]oença de)\\s\\p{Lu}[\\p{L}-]+',
    '\\p{Lu}\\p{L}+-(?:Konus|Konnektor|Brücke|Steg|Klasse|Kurve|Technik|Krone)',
  ].join('|'),
  'gu',
)

/** The text without what is called after somebody, unless a title or a relation stands before it. */
function withoutEponyms(text: string): string {
  // All of them have two words, set apart or joined by a hyphen.
  if (!/[\s-]/u.test(text)) return text
  return text.replace(eponyms, (found, at: number) => (titleBefore.test(text.slice(0, at)) ? found : '·'))
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

/**
 * A title with a name in lower case, as it is typed in haste: after a short form such as "mrs" there is always a name,
 * after a word such as "frau" where it is known as one.
 */
const shortTitles =
  /(?<![\p{L}\d])(?:mr|mrs|ms|mme|mlle|sra|srta|sr|sig|sig\.ra|dhr|mevr)\.?\s+(\p{L}[\p{L}'’-]{2,})/giu
const wholeTitles =
  /(?<![\p{L}\d])(?:frau|herrn?|fr|hr|miss|madame|monsieur|señora?|senhora?|signora?|doña|dona|don|dra?|prof|pan[ií]?|fru|mw|mevrouw)\.?\s+(\p{Ll}[\p{L}'’-]{2,})/giu
const noName =
  /^(?:and|the|has|was|who|will|wants?|says|und|hat|ist|war|will|kommt|que|qui|est|dit|vient|dice|viene|quiere|está|che|vuole|tem|vem|disse|quer)$/

function titledInHaste(text: string): NameFinding | undefined {
  const isName = (word: string): boolean => !noName.test(word) && !isTradeWord(word) && !hasPlainEnding(word)
  for (const [, word] of text.matchAll(shortTitles)) {
    // Nobody says "Mrs" of a word of the trade: with a capital it is a name all the same.
    if (isName(word!) || /^\p{Lu}\p{Ll}/u.test(word!)) return 'possible'
  }
  for (const [, word] of text.matchAll(wholeTitles)) {
    if (isName(word!) && isPersonName(word!)) return 'possible'
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
  const names = bare.filter(
    (word) => word !== '' && (/^\p{Lu}$/u.test(word) || !particles.has(word.toLowerCase())),
  )
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
  let possible = words.some((word, index) => isLowerPair(word, words[index + 1] ?? ''))
  for (let index = 0; index < words.length; index++) {
    const word = bareWord(words[index]!)
    if (!/^\p{Lu}\p{L}{2,}/u.test(word)) continue
    const next = bareWord(words[index + 1] ?? '')
    const ends = /[.;:!?]$/.test(words[index]!)
    const before = index === 0 ? '' : words[index - 1]!
    if (!ends && isNamePair(word, next)) return 'definite'
    const isWord = isTradeWord(word) || hasPlainEnding(word)
    if (/^\p{Lu}\.$/u.test(before) && isPersonName(word)) return 'definite'
    // An initial, and not the second letter of an abbreviation such as "z. B.".
    if (/^\p{Lu}\.$/u.test(before) && !isWord && !/\.$/.test(words[index - 2] ?? '')) possible = true
    const starts = index === 0 || /[.!?:]$/.test(before)
    // Two unknown words with capitals beside each other are hardly ever anything else than a name.
    if (!ends && !isWord && isUnknownCapital(next)) possible = true
    const mayName = starts ? isGivenName(word) : words.length >= 3 && isPersonName(word)
    if (mayName && words.length >= 2 && !hasPlainEnding(word)) possible = true
  }
  return possible ? 'possible' : undefined
}

/** A given name with another name behind it, both in lower case. */
function isLowerPair(word: string, next: string): boolean {
  const isLower = (one: string): boolean =>
    /^\p{Ll}{4,}$/u.test(one) && !hasPlainEnding(one) && !isDoubtfulName(one)
  return isLower(word) && isLower(bareWord(next)) && isGivenName(word) && isPersonName(bareWord(next))
}

/** A word with a capital, and not only of capitals, that is none of the trade nor of plain speech. */
function isUnknownCapital(word: string): boolean {
  return (
    /^\p{Lu}[\p{L}'’-]*\p{Ll}[\p{L}'’-]*$/u.test(word) &&
    word.length >= 3 &&
    !isTradeWord(word) &&
    !hasPlainEnding(word)
  )
}

function bareWord(word: string): string {
  return word.replace(/^[("'„“«»]+|[.,;:!?)"'“”«»]+$/g, '')
}

function isNamePair(word: string, next: string): boolean {
  if (!/^\p{Lu}\p{L}/u.test(next) || isTradeWord(word) || isTradeWord(next)) return false
  if (isGivenName(word)) return isPersonName(next) || isDoubtfulName(next) || !hasPlainEnding(next)
  return isPersonName(word) && isGivenName(next)
}
