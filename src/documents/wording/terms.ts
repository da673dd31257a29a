import { type Message, message } from '../../messages/message.js'
import { type Speaker, speaker } from '../../messages/speaker.js'
import type { AuditResult, EndpointName } from '../../questions/audit.js'
import {
  groupInSentence as groupOfDefinition,
  groupTitle as titleOfGroup,
} from '../../questions/words/groups.js'
import { number } from '../../questions/words/place.js'
import type { Citations } from '../model/citation.js'
import type { Phrase } from '../model/document.js'

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
export function windowPhrase({ at, by }: Citations): Phrase {
  const { from, to } = at.definition.waitWindowMinutes
  return by.phrase(message('group.window', { from: number(from, 'whole'), to: number(to, 'whole') }))
}

/** Name of an exposure group in tables and headings. */
export function groupTitle(group: string, { definition }: AuditResult, { by }: Citations): string {
  return by.text(titleOfGroup(group, definition))
}

/** Name of an exposure group inside a sentence: "a single tightening". */
export function groupInSentence(group: string, { definition }: AuditResult, { by }: Citations): Phrase {
  return by.phrase(groupOfDefinition(group, definition))
}
