import type { GateVerdict } from './identifierHeaders.js'
import { holdsPersonName } from './personNames.js'

/** What a value looks like. */
export interface ValueFinding {
  readonly kind: string
  readonly verdict: GateVerdict
}

interface ValueKind extends ValueFinding {
  readonly matches: (value: string) => boolean
}

/** A date by itself; whether a column may hold dates is for the column to say. */
export const isDate = /^(?:\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/. ]\d{1,2}[-/. ]\d{2,4})(?:[T ].*)?$/

function matching(pattern: RegExp): (value: string) => boolean {
  return (value) => pattern.test(value)
}

const titles =
  '(?:Mrs?|Ms|Miss|Mx|Dr|Prof|Sir|Lady|Herrn?|Hr|Frau|Fr|Fräulein|Mme|Mlle|Monsieur|Madame|Mademoiselle|Srta|Sra?|Señora?|Señorita|Don|Doña|Dona|Senhora?|Sig\\.ra|Sig|Signora?|Dott\\.ssa|Dott|Dra)'
const capitalised = "\\p{Lu}(?:['’]\\p{Lu})?[\\p{Ll}'’]+(?:-\\p{Lu}\\p{Ll}+)?"
const titledName = new RegExp(
  `(?:^|[\\s,;:(])(?:${titles}\\.?\\s+)+(?:\\p{Lu}\\.?\\s+)*(?:${capitalised}|\\p{Lu}{3,})(?=$|[\\s,;:.)])`,
  'u',
)

/** A number to be called that stands in a sentence. */
const telephoneInText =
  /(?:^|[^\d.,+-])(?:\+\d{1,3}[\s.-]?(?:\(0\)\s?)?\d[\d\s.-]{6,12}\d|\(?0\d{2,5}\)?[\s/-]\d{2,4}[\s-]?\d{2,5}(?:[\s-]?\d{2,4})?|(?:tel|fon|phone|mobile|fax|handy)\.?:?\s?\+?\d[\d\s()/.-]{5,})(?!\d)/i

const valueKinds: readonly ValueKind[] = [
  { kind: 'an e-mail address', verdict: 'definite', matches: matching(/[^\s@]+@[^\s@]+\.[^\s@]{2,}/) },
  {
    kind: 'a web address',
    verdict: 'definite',
    matches: matching(/\b(?:https?|ftp):\/\/|\bwww\.[^\s]+\.[a-z]{2,}/i),
  },
  { kind: 'an IP address', verdict: 'definite', matches: isIpAddress },
  {
    kind: 'a network card address',
    verdict: 'definite',
    matches: matching(/^(?:[0-9a-f]{2}[:-]){5}[0-9a-f]{2}$/i),
  },
  {
    kind: 'a social security number',
    verdict: 'definite',
    matches: matching(/^(?!000|666|9)\d{3}[- ](?!00)\d{2}[- ](?!0000)\d{4}$/),
  },
  {
    kind: 'an NHS number',
    verdict: 'definite',
    matches: (value) => /^\d{3}[ -]\d{3}[ -]\d{4}$/.test(value) && isNhsNumber(value),
  },
  {
    kind: 'an NHS number',
    verdict: 'definite',
    matches: (value) => /^\d{10}$/.test(value) && isNhsNumber(value),
  },
  {
    kind: 'a national insurance number',
    verdict: 'definite',
    matches: matching(
      /^(?!BG|GB|NK|KN|TN|NT|ZZ)(?:QQ|[A-CEGHJ-PR-TW-Z][A-CEGHJ-NPR-TW-Z]) ?\d{2} ?\d{2} ?\d{2} ?[A-D]$/,
    ),
  },
  { kind: 'a tax or identity number', verdict: 'definite', matches: isIdentityNumber },
  { kind: 'a bank account number', verdict: 'definite', matches: isIban },
  { kind: 'a payment card number', verdict: 'definite', matches: isPaymentCard },
  { kind: 'a telephone number', verdict: 'definite', matches: isTelephone },
  {
    kind: 'a postcode',
    verdict: 'definite',
    matches: matching(/^(?:GIR 0AA|[A-PR-UWYZ][A-HK-Y]?\d[A-HJKPSTUW\d]? \d[ABD-HJLNP-UW-Z]{2})$/),
  },
  {
    kind: 'a postcode',
    verdict: 'possible',
    matches: matching(
      /^(?:\d{5}-\d{4}|\d{4}-\d{3}|\d{5}-\d{3}|\d{4} [A-Z]{2}|[ABCEGHJ-NPRSTVXY]\d[A-Z] \d[A-Z]\d)$/,
    ),
  },
  {
    kind: 'a device identifier',
    verdict: 'definite',
    matches: matching(/^(?:\(01\)\d{14}|01\d{14}(?:1[017]\d{6}|10|21))/),
  },
  {
    kind: 'a serial number of a device',
    verdict: 'definite',
    matches: matching(/(?:^|[\s(])(?:s\/n|serial(?: (?:no|nr|number))?)\.?[\s:#]*[a-z]*\d[\w-]{3,}/i),
  },
  {
    kind: 'the lot of a device',
    verdict: 'possible',
    matches: matching(/(?:^|[\s(])(?:lot|batch|charge|lote|lotto)\.?[\s:#]+[a-z]*\d[\w-]{2,}/i),
  },
  { kind: 'a name', verdict: 'definite', matches: matching(titledName) },
  { kind: 'a name', verdict: 'definite', matches: holdsPersonName },
  {
    kind: 'a date of birth',
    verdict: 'definite',
    matches: matching(
      /(?:^|[\s(,;])(?:dob|d\.o\.b\.?|born(?: on)?|geb\.|geboren(?: am)?|née? le|nat[oa] il|nascid[oa] em|nacid[oa] el)[\s:]*\d/i,
    ),
  },
  {
    kind: 'a postcode',
    verdict: 'definite',
    matches: matching(/\b[A-PR-UWYZ][A-HK-Y]?\d[A-HJKPSTUW\d]? \d[ABD-HJLNP-UW-Z]{2}\b/),
  },
  {
    kind: 'a postcode',
    verdict: 'possible',
    matches: matching(
      /^(?:\d{4,5} \p{Lu}\p{Ll}+(?:[ -]\p{L}+)*|[A-PR-UWYZ][A-HK-Y]?\d[A-HJKPSTUW\d]?\d[ABD-HJLNP-UW-Z]{2})$/u,
    ),
  },
  { kind: 'a street address', verdict: 'definite', matches: isStreet },
  {
    kind: 'a picture or scan',
    verdict: 'definite',
    matches: matching(/\.(?:jpe?g|png|tiff?|bmp|heic|dcm|stl|ply)$/i),
  },
  { kind: 'a telephone number', verdict: 'definite', matches: matching(telephoneInText) },
  {
    kind: 'an NHS number',
    verdict: 'definite',
    matches: (value) => (value.match(/\b\d{3}[ -]\d{3}[ -]\d{4}\b/g) ?? []).some(isNhsNumber),
  },
  {
    kind: 'text that is longer than 40 characters',
    verdict: 'possible',
    matches: (value) => value.length > 40,
  },
]

/** A plain code such as P0001 or a plain number: nothing that any pattern would find. */
const plainCode = /^(?:[A-Za-z]{0,4}[-_]?\d{1,8}|[+-]?\d{1,6}(?:[.,]\d+)?|[a-z]+(?:_[a-z]+)*)$/

/** What a value looks like by itself, or undefined where nothing points to a person. */
export function identifierOfValue(value: string): ValueFinding | undefined {
  if (value.length < 3 || isDate.test(value)) return undefined
  if (value.length <= 40 && plainCode.test(value)) {
    return value.includes('_') && holdsPersonName(value) ? { kind: 'a name', verdict: 'definite' } : undefined
  }
  const found = valueKinds.find((kind) => kind.matches(value))
  return found === undefined ? undefined : { kind: found.kind, verdict: found.verdict }
}

const particle = '(?:de|da|do|dos|das|di|del|della|van|von|der|den|ten|la|le|du|al|el|bin|ben|zu|e|y)'
const severalNames = new RegExp(
  `^(?:${capitalised}|\\p{Lu}\\.?),?(?:\\s(?:${particle}\\s)*(?:${capitalised}|\\p{Lu}\\.?)){1,4}$`,
  'u',
)
const oneName = new RegExp(`^${capitalised}$`, 'u')
const anyName = new RegExp(capitalised, 'u')

/** Two to five capitalised words, or one and initials: the shape of a person's name. */
export function hasShapeOfName(value: string): boolean {
  if (value.length > 60 || /\d/.test(value)) return false
  if (severalNames.test(value)) return anyName.test(value)
  return (
    /^\p{Lu}{2,}(?:[ -]\p{Lu}{2,})*,\s?\p{Lu}\p{L}+$/u.test(value) ||
    /^\p{Lu}{3,}\s\p{Lu}\p{Ll}{2,}$/u.test(value) ||
    /^\p{Lu}\p{Ll}{2,}\s\p{Lu}{3,}$/u.test(value)
  )
}

/** One capitalised word of letters alone, as a surname or given name would be. */
export function hasShapeOfSurname(value: string): boolean {
  return value.length >= 3 && oneName.test(value)
}

function isIpAddress(value: string): boolean {
  const match = /^(\d{1,3})\.(\d{1,3})\.(\d{1,3})\.(\d{1,3})(?::\d+)?$/.exec(value)
  if (match !== null) return match.slice(1, 5).every((part) => Number(part) <= 255)
  return /^(?:[0-9a-f]{1,4}:){7}[0-9a-f]{1,4}$/i.test(value) || /^[0-9a-f:]+::[0-9a-f:]*$/i.test(value)
}

/** NHS numbers carry a check digit modulo 11. */
export function isNhsNumber(value: string): boolean {
  const digits = value.replace(/\D/g, '')
  if (digits.length !== 10 || /^(\d)\1{9}$/.test(digits)) return false
  let sum = 0
  for (let place = 0; place < 9; place++) sum += Number(digits[place]) * (10 - place)
  const check = (11 - (sum % 11)) % 11
  return check !== 10 && check === Number(digits[9])
}

function isIdentityNumber(value: string): boolean {
  if (/^[A-Z]{6}\d{2}[A-EHLMPRST]\d{2}[A-Z]\d{3}[A-Z]$/i.test(value)) return true
  if (/^\d{3}\.\d{3}\.\d{3}-\d{2}$/.test(value)) return true
  const spanish = /^([XYZ]?)(\d{7,8})-?([A-Z])$/.exec(value)
  if (spanish !== null) {
    const lead = spanish[1] === '' ? '' : String('XYZ'.indexOf(spanish[1]!))
    return (
      'TRWAGMYFPDXBNJZSQVHLCKE'[Number(lead + spanish[2]) % 23] === spanish[3] &&
      spanish[2]!.length + lead.length === 8
    )
  }
  const french = /^([12]\d{2}(?:0[1-9]|1[0-2]|[2-9]\d)(?:\d{2}|2[AB])\d{6})(\d{2})$/.exec(
    value.replace(/\s/g, ''),
  )
  if (french !== null && !/[AB]/.test(french[1]!)) return 97 - (Number(french[1]) % 97) === Number(french[2])
  return false
}

function isIban(value: string): boolean {
  const bare = value.replace(/\s/g, '')
  if (!/^[A-Z]{2}\d{2}[A-Z0-9]{11,30}$/.test(bare)) return false
  const moved = bare.slice(4) + bare.slice(0, 4)
  let rest = 0
  for (const sign of moved) rest = Number(`${rest}${Number.parseInt(sign, 36)}`) % 97
  return rest === 1
}

function isPaymentCard(value: string): boolean {
  if (!/^\d{4}([ -])\d{4}\1\d{4}\1\d{4}$/.test(value) && !/^[3-6]\d{14,15}$/.test(value)) return false
  const digits = value.replace(/\D/g, '')
  let sum = 0
  for (let place = 0; place < digits.length; place++) {
    const digit = Number(digits[digits.length - 1 - place]) * (place % 2 === 0 ? 1 : 2)
    sum += digit > 9 ? digit - 9 : digit
  }
  return sum % 10 === 0
}

function isTelephone(value: string): boolean {
  if (!/^(?:\+|\(|0|1[-. ]|\d{3}[-. ])[\d\s()./-]+$/.test(value)) return false
  const digits = value.replace(/\D/g, '')
  if (digits.length < 8 || digits.length > 15) return false
  if (value.startsWith('+')) return true
  if (/^\(\d{2,5}\)/.test(value)) return true
  if (/^(?:1[-. ])?\d{3}[-. ]\d{3}[-. ]\d{4}$/.test(value)) return true
  return value.startsWith('0') && digits.length >= 9 && /[\s()/-]/.test(value)
}

function isStreet(value: string): boolean {
  return (
    /^\p{Lu}[\p{L} .-]*(?:straße|strasse|str\.|weg|platz|allee|gasse|ring)\s\d+\s?[a-z]?(?:,.*)?$/iu.test(
      value,
    ) ||
    /^\d+[a-z]?,?\s(?:\p{Lu}[\p{L}'’.-]*\s)+(?:street|st|road|rd|avenue|ave|lane|ln|drive|dr|close|court|way|place|boulevard|blvd)\b\.?/iu.test(
      value,
    ) ||
    /^(?:\d+[a-z]?,?\s)?(?:rue|avenue|av\.|boulevard|bd|place|chemin|calle|c\/|avenida|avda\.?|paseo|plaza|rua|travessa|praça|via|viale|piazza|corso|vicolo)\s\p{L}[\p{L}\s'’.-]*(?:,?\s(?:n[º°.]?\s?)?\d+.*)?$/iu.test(
      value,
    )
  )
}
