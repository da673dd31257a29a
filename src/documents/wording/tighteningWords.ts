import type { AuditResult } from '../../questions/audit.js'
import type { ComparisonResult } from '../../questions/comparison/answer.js'
import { countsSentence, objectionSentences, verdictSentence } from '../../questions/comparison/section.js'
import type { SectionSetting } from '../../questions/question.js'
import { pathsOf } from '../../questions/words/place.js'
import type { Citations } from '../model/citation.js'
import type { KeyFigure, Phrase } from '../model/document.js'
import { settingOf } from '../model/settingOf.js'
import { differenceSentence } from './comparisonWords.js'
import { horizonYears } from './incidenceWords.js'
import { groupInBrief } from './terms.js'

/** The comparison with what its sentences need, where there is one. */
function parts(audit: AuditResult): {
  readonly result: ComparisonResult
  readonly at: ReturnType<typeof pathsOf<ComparisonResult>>
  readonly setting: SectionSetting
} {
  const result = audit.tightening!
  return { result, at: pathsOf(result, 'tightening'), setting: settingOf(audit) }
}

/** What may be said of the two ways of tightening, from the one estimate and its verdict. */
export function mainComparisonSentence(audit: AuditResult, cite: Citations): Phrase {
  if (audit.tightening === undefined) return differenceSentence(audit, cite)
  const { result, at, setting } = parts(audit)
  return cite.by.phrase(verdictSentence(result, at, setting))
}

/** Of whom the comparison speaks, and by what plan. */
export function comparisonBase(audit: AuditResult, { by }: Citations): Phrase {
  if (audit.tightening === undefined) return []
  const { result, at, setting } = parts(audit)
  return by.phrase(countsSentence(result, at, setting))
}

/** The objections of the answer, at most three. */
export function comparisonObjections(audit: AuditResult, { by }: Citations): readonly Phrase[] {
  if (audit.tightening === undefined) return []
  const { result, at, setting } = parts(audit)
  return objectionSentences(result, at, setting).map((one) => by.phrase(one))
}

/** Whether an estimate stands, so that a figure may be shown. */
export function comparisonClaims({ tightening }: AuditResult): boolean {
  if (tightening?.lead === undefined) return false
  return tightening.verdict !== 'cannot-be-compared' && tightening.verdict !== 'cannot-be-known'
}

/** Headline number of the comparison; undefined where no estimate stands. */
export function comparisonHeadline(audit: AuditResult, cite: Citations): KeyFigure | undefined {
  const { tightening } = audit
  if (tightening === undefined || !comparisonClaims(audit)) return undefined
  const at = 'tightening.lead.difference'
  return {
    label: cite.say('contrast.key-difference', {
      years: horizonYears(cite, 'tightening.horizonYears'),
      group: groupInBrief(tightening.groups.group),
      against: groupInBrief(tightening.groups.against),
    }),
    value: [cite.quantity(`${at}.estimate`, 'points')],
    interval: cite.say('evidence.interval-line', {
      level: cite.number('settings.level', 'level'),
      interval: cite.say('quantity.interval', {
        lower: cite.number(`${at}.lower`, 'points'),
        upper: cite.number(`${at}.upper`, 'points'),
      }),
    }),
  }
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
