import type { AuditResult } from '../../analysis/audit.js'
import { printable } from '../../charts/words.js'
import type { Citations } from '../citation.js'
import { type CitedNumber, foreign, joinPhrases, type Phrase, phrase } from '../document.js'
import { endpointOf } from './terms.js'

/** Who is in the cohort, where from and when. */
export function cohortSentence(audit: AuditResult, cite: Citations): Phrase {
  const { summary } = audit
  const operators =
    summary.operators === 0
      ? []
      : phrase` and ${cite.number('summary.operators', 'count')} ${summary.operators === 1 ? 'operator' : 'operators'}`
  const clinics =
    summary.clinics.length === 0
      ? phrase`an unnamed practice`
      : phrase`${cite.number('summary.clinics.length', 'count')} ${summary.clinics.length === 1 ? 'clinic' : 'clinics'} (${joinPhrases(
          summary.clinics.map((clinic) => [foreign(printable(clinic))]),
          ', ',
        )})`
  return phrase`Of ${cite.number('summary.attrition.rowsRead', 'count')} rows of restorations, ${cite.number('summary.attrition.included', 'count')} form the cohort, in ${cite.number('summary.patients', 'count')} ${summary.patients === 1 ? 'patient' : 'patients'} of ${clinics}${operators}. Every other row is accounted for below.`
}

/** Remarks on the cohort that bear on how results may be read; each only where there is something to say. */
export function cohortRemarks(audit: AuditResult, cite: Citations): readonly Phrase[] {
  const { summary } = audit
  const many = (path: string): Phrase => [cite.number(path, 'count')]
  const remarks: Phrase[] = []
  if (summary.neverChecked > 0) {
    remarks.push(
      phrase`${many('summary.neverChecked')} restorations were never checked after delivery. They have no time at risk and are in no denominator; if they fared otherwise than those checked, the results are off by what is not seen.`,
    )
  }
  if (summary.exposureDisagreements > 0) {
    remarks.push(
      phrase`For ${many('summary.exposureDisagreements')} restorations the group that the chart states differs from the one that the recorded tightenings give; the tightenings decided.`,
    )
  }
  if (summary.exposureFromReportOnly > 0) {
    remarks.push(
      phrase`For ${many('summary.exposureFromReportOnly')} restorations no tightening is recorded, and the group that the chart states was taken.`,
    )
  }
  if (summary.competingBeyondRecall > 0) {
    remarks.push(
      phrase`${many('summary.competingBeyondRecall')} competing events came later than ${cite.number('definition.recallIntervalDays', 'count')} days after the last check: these restorations count as followed to that check only.`,
    )
  }
  if (summary.eventsOnDayZero > 0) {
    remarks.push(
      phrase`${many('summary.eventsOnDayZero')} ${summary.eventsOnDayZero === 1 ? endpointOf(audit).name : endpointOf(audit).many} on the day of delivery itself count as events at time 0.`,
    )
  }
  summary.source.cannotAnswer.forEach((gap) => {
    remarks.push(phrase`This form of the records cannot answer: ${foreign(printable(gap))}`)
  })
  return remarks
}

/** What the checks of the records found, in one paragraph. */
export function qualitySentence(audit: AuditResult, cite: Citations): Phrase {
  const { problems } = audit.summary.quality
  const at = 'summary.quality.rows.restorations'
  const kinds =
    problems.length === 0
      ? phrase`No problem was found`
      : phrase`${cite.number('summary.quality.problems.length', 'count')} ${problems.length === 1 ? 'kind of problem was' : 'kinds of problem were'} found`
  return phrase`${kinds} among the ${cite.number(`${at}.read`, 'count')} rows of restorations and the rows linked to them. ${cite.number(`${at}.setAside`, 'count')} rows of restorations were set aside: left out, listed here, and counted in the account of rows.`
}

/** What can be said of completeness in one sentence. */
export function completenessSentence(audit: AuditResult, cite: Citations): Phrase {
  const { completeness } = audit.summary.quality
  const at = 'summary.quality.completeness'
  const complete = completeness.filter((field) => field.unknown === 0).length
  return phrase`Of ${cite.number(`${at}.length`, 'count')} ${completeness.length === 1 ? 'field' : 'fields'} that the source has, ${cite.number(`${at}[unknown=0].length`, 'count')} ${complete === 1 ? 'is' : 'are'} known in every row. Unknown values were counted and never guessed.`
}

/** Note on source rows. */
export const sourceRowsNote = 'Rows are those of the source file; its header is row 1.'

/** Says that a list of rows was cut, and how many rows there are. */
export function moreRowsNote(count: CitedNumber): Phrase {
  return phrase`; the first of ${count} rows are listed.`
}

/** Note under tables whose estimates are marked as resting on few. */
export function thinMark(cite: Citations): Phrase {
  return phrase`† Fewer than ${cite.number('settings.leastAtRisk', 'count')} at risk at that time.`
}

/** Note on the table of numbers at risk. */
export const atRiskNote =
  'Restorations at risk just before the time; events up to and including it in brackets.'
