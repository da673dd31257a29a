import type { AuditResult } from '../../analysis/audit.js'
import { characteristicsSentence as opening } from '../../questions/characteristics/section.js'
import { pathsOf } from '../../questions/place.js'
import type { Citations } from '../citation.js'
import type { Phrase } from '../document.js'

/** Opens the description of the restorations. */
export function characteristicsSentence({ characteristics }: AuditResult, { by }: Citations): Phrase {
  return by.phrase(opening(characteristics!, pathsOf(characteristics!, 'characteristics')))
}
