import { message } from '../../messages/message.js'
import type { AuditResult } from '../../questions/audit.js'
import { differenceSentence as crudeDifference } from '../../questions/crudeComparison/words.js'
import { pathsOf } from '../../questions/words/place.js'
import type { Citations } from '../model/citation.js'
import type { Phrase } from '../model/document.js'
import { settingOf } from '../model/settingOf.js'

/** The main sentence on the crude comparison, or why nothing is compared. */
export function differenceSentence(audit: AuditResult, { by }: Citations): Phrase {
  const { comparison } = audit
  if (comparison !== undefined) {
    return by.phrase(crudeDifference(comparison, pathsOf(comparison, 'comparison'), settingOf(audit)))
  }
  const { problems } = audit.summary.quality
  const recorded = problems.every(({ code }) => code !== 'no-tightening-column')
  return by.phrase(message('comparison.nothing-to-compare', { recorded: recorded ? 'other' : 'no' }))
}
