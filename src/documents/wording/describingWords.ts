import type { AuditResult } from '../../questions/audit.js'
import { characteristicsSentence as opening } from '../../questions/characteristics/section.js'
import type { Citations } from '../model/citation.js'
import type { Phrase } from '../model/document.js'

/** Opens the description of the restorations. */
export function characteristicsSentence({ characteristics }: AuditResult, { at, by }: Citations): Phrase {
  return by.phrase(opening(characteristics!, at.characteristics))
}
