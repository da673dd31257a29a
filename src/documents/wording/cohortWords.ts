import { listOf } from '../../messages/message.js'
import type { AuditResult } from '../../questions/audit.js'
import type { Citations } from '../model/citation.js'
import { type CitedNumber, foreign, type Phrase } from '../model/document.js'
import { endpointPart } from './terms.js'

/** Who is in the cohort, where from and when. */
export function cohortSentence(audit: AuditResult, cite: Citations): Phrase {
  const { summary } = audit
  const clinics = listOf(
    summary.clinics.map((clinic) => foreign(clinic)),
    'comma',
  )
  return cite.say('cohort.who', {
    read: cite.number('summary.attrition.rowsRead', 'count'),
    included: cite.number('summary.attrition.included', 'count'),
    patients: cite.number('summary.patients', 'count'),
    clinics:
      summary.clinics.length === 0
        ? cite.say('cohort.unnamed-practice')
        : cite.say('cohort.clinics', {
            clinics: cite.number('summary.clinics.length', 'count'),
            names: clinics,
          }),
    operators: cite.number('summary.operators', 'count'),
  })
}

/** Remarks on the cohort that bear on how results may be read; each only where there is something to say. */
export function cohortRemarks(audit: AuditResult, cite: Citations): readonly Phrase[] {
  const { summary } = audit
  const many = (path: string): CitedNumber => cite.number(path, 'count')
  const remarks: Phrase[] = []
  if (summary.neverChecked > 0) {
    remarks.push(cite.say('cohort.never-checked', { restorations: many('summary.neverChecked') }))
  }
  if (summary.exposureDisagreements > 0) {
    remarks.push(cite.say('cohort.chart-disagrees', { restorations: many('summary.exposureDisagreements') }))
  }
  if (summary.exposureFromReportOnly > 0) {
    remarks.push(cite.say('cohort.chart-only', { restorations: many('summary.exposureFromReportOnly') }))
  }
  if (summary.competingBeyondRecall > 0) {
    remarks.push(
      cite.say('cohort.beyond-recall', {
        events: many('summary.competingBeyondRecall'),
        days: many('definition.recallIntervalDays'),
      }),
    )
  }
  if (summary.eventsOnDayZero > 0) {
    remarks.push(
      cite.say('cohort.day-zero', {
        events: many('summary.eventsOnDayZero'),
        name: endpointPart('name', audit),
        many: endpointPart('many', audit),
      }),
    )
  }
  for (const gap of summary.source.cannotAnswer) {
    remarks.push(cite.say('cohort.cannot-answer', { gap: foreign(gap) }))
  }
  return remarks
}

/** What the checks of the records found, in one paragraph. */
export function qualitySentence(_audit: AuditResult, cite: Citations): Phrase {
  const at = 'summary.quality.rows.restorations'
  return cite.say('cohort.quality', {
    kinds: cite.number('summary.quality.problems.length', 'count'),
    read: cite.number(`${at}.read`, 'count'),
    setAside: cite.number(`${at}.setAside`, 'count'),
  })
}

/** What can be said of completeness in one sentence. */
export function completenessSentence(_audit: AuditResult, cite: Citations): Phrase {
  const at = 'summary.quality.completeness'
  return cite.say('cohort.completeness', {
    fields: cite.number(`${at}.length`, 'count'),
    complete: cite.number(`${at}[unknown=0].length`, 'count'),
  })
}
