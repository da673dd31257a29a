import { crudeSentence } from '../../questions/answer/section.js'
import type { AuditResult } from '../../questions/audit.js'
import type { Citations } from '../model/citation.js'
import type { Phrase } from '../model/document.js'
import { settingOf } from '../model/settingOf.js'

/** The main sentence on the crude comparison, or why nothing is compared. */
export function differenceSentence(audit: AuditResult, { by }: Citations): Phrase {
  return by.phrase(crudeSentence(settingOf(audit)))
}
