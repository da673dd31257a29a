import { rareLevels } from '../../analysis/adjustment.js'
import type { AuditResult, EndpointName } from '../../analysis/audit.js'
import { gatheredLevel } from '../../analysis/description/characteristics.js'
import { fieldName } from '../../charts/words.js'
import { type Message, message, type Part } from '../../messages/message.js'
import { hasMessage, type Speaker, speaker } from '../../messages/speaker.js'
import { groupInSentence as groupOfDefinition, groupTitle as titleOfGroup } from '../../questions/groups.js'
import { fieldOf } from '../../vocabulary/fields.js'
import type { Citations } from '../citation.js'
import { foreign, type Phrase } from '../document.js'

/** Words for one endpoint in the places where a sentence needs it. */
export interface EndpointWords {
  /** "first screw loosening". */
  readonly name: string
  /** "a first screw loosening", to stand after "had". */
  readonly one: string
  /** "first screw loosenings". */
  readonly many: string
  readonly meaning: string
}

/** The words of an endpoint in the language of a speaker; default English. */
export function endpointWords(endpoint: EndpointName, by = speaker()): EndpointWords {
  const say = (kind: keyof EndpointWords): string => by.text(message(`endpoint.${kind}.${endpoint}`))
  return { name: say('name'), one: say('one'), many: say('many'), meaning: say('meaning') }
}

/** The words that belong to the definition of one audit. */
export function endpointOf(audit: AuditResult, by?: Speaker): EndpointWords {
  return endpointWords(audit.definition.endpoint, by)
}

/** The endpoint of an audit as a part of a sentence: "a first screw loosening". */
export function endpointPart(
  kind: keyof EndpointWords | 'title' | 'title-one',
  { definition }: AuditResult,
): Message {
  return message(`endpoint.${kind}.${definition.endpoint}`)
}

/** "10 to 15 minutes", each number with its place in the results. */
export function windowPhrase(cite: Citations): Phrase {
  const at = 'definition.waitWindowMinutes'
  return cite.say('group.window', {
    from: cite.number(`${at}.from`, 'whole'),
    to: cite.number(`${at}.to`, 'whole'),
  })
}

/** Name of an exposure group in tables and headings. */
export function groupTitle(group: string, { definition }: AuditResult, { by }: Citations): string {
  return by.text(titleOfGroup(group, definition))
}

/** Name of an exposure group inside a sentence: "a single tightening". */
export function groupInSentence(group: string, { definition }: AuditResult, { by }: Citations): Phrase {
  return by.phrase(groupOfDefinition(group, definition))
}

/** Shortest name of a group, where the full one stands near by. */
export function groupInBrief(group: string): Part {
  if (group === 'single') return message('group.brief.single')
  return group === 'repeated in the window' ? message('group.brief.repeated') : foreign(group)
}

/** Reasons for which a group came about that have words. */
const reasons = [
  'period_policy',
  'operator_choice',
  'manufacturer_instruction',
  'random',
  'other',
  'unknown',
] as const

/** Why a group came about, in words; a reason of the user's own stands as it is. */
export function reasonInWords(reason: string): Part {
  const known = reasons.find((one) => one === reason)
  return known === undefined ? foreign(reason) : message(`handling-reason.${known}`)
}

/** What a severity of a problem means for the rows that have it. */
export function severityWords(severity: 'stop' | 'set-aside' | 'warn' | 'note'): Message {
  return message(`severity.${severity}`)
}

/** Name of what restorations are described by; what has no message has the name that the results give it. */
export function traitName({ field, words }: { readonly field: string; readonly words: string }): Part {
  return fieldName({ field, words })
}

/** A level of a category: that of the vocabulary in words, a code of the practice as it stands. */
export function levelName({ field }: { readonly field: string }, level: string, { by }: Citations): string {
  if (level === gatheredLevel) return by.text(message('level.all-others'))
  if (level === rareLevels) return by.text(message('level.rare-together'))
  const code = fieldOf('restorations', field)?.codes?.find(
    (one) => one === level || one.replaceAll('_', ' ') === level,
  )
  const name = `level.${field}.${code}`
  return hasMessage(name) ? by.text({ kind: 'message', code: name, parameters: {} }) : level
}

/** Unit of a number: years in words of the language, others as they are written everywhere. */
export function unitName(unit: string): Part {
  return unit === 'years' ? message('unit.years') : unit
}
