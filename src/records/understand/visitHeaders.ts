import { type headerLanguages, readHeader } from './headerSynonyms.js'
import { headerWords } from './headerWords.js'

/** What a header of the one-sheet form says about one of several visits that stand side by side. */
export interface VisitHeader {
  readonly field: string
  readonly visit: number
  /** Whether the screw was checked at the visit, as far as the header tells. */
  readonly checked: boolean | '?'
  readonly by: 'field name' | (typeof headerLanguages)[number]
}

/** Words for a visit with a check, by language; a recall or a control is one, a mere visit is not. */
const checks =
  /^(?:check|screw check|recall|control|review|kontrolle|nachkontrolle|schraubenkontrolle|controle|rappel|revision|controlo|revisao|controllo|richiamo)$/
const visits =
  /^(?:visit|follow up|fu|appointment|besuch|nachsorge|termin|visite|suivi|visita|cita|consulta|seguimiento|seguimento)$/

/**
 * Reads headers such as "Check 1", "Kontrolle 2 Befund", "date controle 3" or "finding at visit 2": a word for a visit,
 * its number, and what the column holds of it. Undefined where a header has no visit and number.
 */
export function visitOfHeader(header: string): VisitHeader | undefined {
  const words = headerWords(header)
    .replace(/(\p{L})(\d)/gu, '$1 $2')
    .replace(/(\d)(\p{L})/gu, '$1 $2')
  const match = /^(.*?)(?:^| )(\d{1,2})(?:$| )(.*)$/.exec(words)
  if (match === null) return undefined
  const before = match[1]!.trim()
  const after = match[3]!.trim()
  const number = Number(match[2])
  if (number < 1) return undefined
  const { word, rest } = visitWord(before) ?? visitWord(after) ?? { word: '', rest: '' }
  if (word === '') return undefined
  const kind = [rest, before === '' || visitWord(before) !== undefined ? after : before]
    .map((part) => part.replace(/\b(?:at|of|on|am|bei|du|de|la|le|del|da|do|della|al|no|nr)\b/g, '').trim())
    .find((part) => part !== '' && part !== word)
  const checked = checks.test(word) ? true : '?'
  if (kind === undefined) return { field: 'visit_date', visit: number, checked, by: 'English' }
  const reading = readHeader('visits', kind)
  if (reading === undefined || reading.field === 'restoration_id') return undefined
  return { field: reading.field, visit: number, checked, by: reading.by }
}

/** A word for a visit at the beginning or end of a text, and what remains of it. */
function visitWord(text: string): { readonly word: string; readonly rest: string } | undefined {
  if (checks.test(text) || visits.test(text)) return { word: text, rest: '' }
  const words = text.split(' ')
  for (const count of [2, 1]) {
    if (words.length <= count) continue
    const last = words.slice(-count).join(' ')
    if (checks.test(last) || visits.test(last)) return { word: last, rest: words.slice(0, -count).join(' ') }
    const first = words.slice(0, count).join(' ')
    if (checks.test(first) || visits.test(first)) return { word: first, rest: words.slice(count).join(' ') }
  }
  return undefined
}
