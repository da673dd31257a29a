import { claims, crudeSentence } from '../../questions/answer/section.js'
import type { AuditResult } from '../../questions/audit.js'
import type { ComparisonResult } from '../../questions/comparison/answer.js'
import { countsSentence, objectionSentences, verdictSentence } from '../../questions/comparison/section.js'
import type { SectionSetting } from '../../questions/question.js'
import { type Path, pathsOf } from '../../questions/words/place.js'
import type { Citations } from '../model/citation.js'
import { settingOf } from '../model/citation.js'
import type { Phrase } from '../model/document.js'

/** The comparison with what its sentences need, where there is one. */
function parts(audit: AuditResult): {
  readonly result: ComparisonResult
  readonly at: Path<ComparisonResult>
  readonly setting: SectionSetting
} {
  return { result: audit.tightening!, at: pathsOf(audit).tightening, setting: settingOf(audit) }
}

/** The objections of the answer, at most three. */
export function comparisonObjections(audit: AuditResult, { by }: Citations): readonly Phrase[] {
  if (audit.tightening === undefined) return []
  const { result, at, setting } = parts(audit)
  return objectionSentences(result, at, setting).map((one) => by.phrase(one))
}

/** Whether an estimate stands, so that a figure may be shown. */
export function comparisonClaims({ tightening }: AuditResult): boolean {
  return tightening !== undefined && claims(tightening)
}

/** The sentence on the comparison, ready for a paper. */
export function comparisonForPaper(audit: AuditResult, cite: Citations): Phrase {
  if (audit.tightening === undefined) return cite.say('contrast.not-compared')
  const { result, at, setting } = parts(audit)
  const [verdict, counts] = [verdictSentence, countsSentence].map((say) =>
    cite.by.phrase(say(result, at, setting)),
  )
  return [...verdict!, ' ', ...counts!]
}

/** The main sentence on the crude comparison, or why nothing is compared. */
export function differenceSentence(audit: AuditResult, { by }: Citations): Phrase {
  return by.phrase(crudeSentence(settingOf(audit)))
}
