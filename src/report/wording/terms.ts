import type { AuditResult, CohortDefinition, EndpointName } from '../../analysis/audit.js'
import { printable } from '../../charts/words.js'
import { message, speaker } from '../../messages/index.js'
import { endpointNames } from '../../vocabulary/endpoints.js'
import type { Citations } from '../citation.js'
import { type Phrase, phrase } from '../document.js'

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

/** Words for every endpoint. */
export const endpointWords: Readonly<Record<EndpointName, EndpointWords>> = Object.freeze(
  Object.fromEntries(
    endpointNames.map((name) => {
      const say = (kind: keyof EndpointWords): string => speaker().text(message(`endpoint.${kind}.${name}`))
      return [name, { name: say('name'), one: say('one'), many: say('many'), meaning: say('meaning') }]
    }),
  ) as Record<EndpointName, EndpointWords>,
)

const restorationTypeWords: Readonly<Record<string, string>> = Object.freeze({
  single_crown: 'single crowns',
  splinted_crowns: 'splinted crowns',
  fixed_partial: 'fixed partial prostheses',
  fixed_partial_cantilever: 'fixed partial prostheses with a cantilever',
  full_arch: 'full-arch prostheses',
})

/** Types of restoration in words: "single crowns and splinted crowns". */
export function restorationTypesInWords(definition: CohortDefinition): string {
  return listInWords(definition.restorationTypes.map((type) => known(restorationTypeWords, type)))
}

/** "a, b and c". */
export function listInWords(parts: readonly string[]): string {
  if (parts.length < 2) return parts.join('')
  return `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`
}

/** "10 to 15 minutes", each number with its place in the results. */
export function windowPhrase(cite: Citations): Phrase {
  const at = 'definition.waitWindowMinutes'
  return phrase`${cite.number(`${at}.from`, 'whole')} to ${cite.number(`${at}.to`, 'whole')} minutes`
}

/** "10 to 15 minutes", for names. */
function windowInWords(definition: CohortDefinition): string {
  const { from, to } = definition.waitWindowMinutes
  return `${from} to ${to} minutes`
}

/** Name of an exposure group in tables and headings. */
export function groupTitle(group: string, definition: CohortDefinition): string {
  const titles: Readonly<Record<string, string>> = {
    all: 'All restorations',
    single: 'Single tightening',
    'repeated in the window': `Repeated after ${windowInWords(definition)}`,
    'repeated outside the window': `Repeated, not after ${windowInWords(definition)}`,
    'repeated, wait not recorded': 'Repeated, wait not recorded',
    'single, by the chart': 'Single, by the chart',
    'undone and tightened again': 'Undone and tightened again',
    other: 'Other handling',
    unknown: 'Handling not known',
  }
  return known(titles, group)
}

/** Name of an exposure group inside a sentence: "with a single tightening". */
export function groupInSentence(group: string, cite: Citations): Phrase {
  if (group === 'repeated in the window') return phrase`tightening repeated after ${windowPhrase(cite)}`
  const names: Readonly<Record<string, string>> = {
    single: 'a single tightening',
    'repeated outside the window': 'tightening repeated outside the window',
    'repeated, wait not recorded': 'tightening charted as repeated, wait not recorded',
    'single, by the chart': 'a single tightening by the chart',
    'undone and tightened again': 'a screw undone and tightened again',
    other: 'other handling',
    unknown: 'unknown handling',
  }
  return [known(names, group)]
}

/** Shortest name of a group, where the full one stands near by. */
export function groupInBrief(group: string): string {
  return known({ single: 'single', 'repeated in the window': 'repeated' }, group)
}

const reasonWords: Readonly<Record<string, string>> = Object.freeze({
  period_policy: 'rule of the practice at the time',
  operator_choice: 'choice of the operator',
  manufacturer_instruction: 'instruction of the maker',
  random: 'chance (randomised)',
  other: 'another reason',
  unknown: 'not recorded',
})

/** Why a group came about, in words. */
export function reasonInWords(reason: string): string {
  return known(reasonWords, reason)
}

/** What each severity of a problem means for the rows that have it. */
export const severityWords = Object.freeze({
  stop: 'stopped the run',
  'set-aside': 'set aside',
  warn: 'kept, with a warning',
  note: 'kept, noted',
})

/** Form of the source in words. */
export const sourceFormWords = Object.freeze({
  'three-tables': 'three linked tables (restorations, tightenings, visits)',
  'one-sheet': 'one sheet with a row for each restoration',
})

/** The words that belong to the definition of one audit. */
export function endpointOf(audit: AuditResult): EndpointWords {
  return endpointWords[audit.definition.endpoint]
}

/** A code in words; a code of the user's own stands as it is, made fit to print. */
function known(words: Readonly<Record<string, string>>, code: string): string {
  return Object.hasOwn(words, code) ? words[code]! : printable(code)
}
