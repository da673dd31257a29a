import type { AuditResult } from '../../analysis/audit.js'
import type { ClinicChange, ProtocolChangeResult } from '../../analysis/protocolChange.js'
import { printable } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { foreign, type Phrase, phrase } from '../document.js'
import { horizonYears, intervalName } from './incidenceWords.js'
import { endpointOf, groupInSentence, listInWords } from './terms.js'

/** Headings, captions and heads of columns of the section on a change of protocol. */
export const protocolChangeLabels = Object.freeze({
  section: 'Before and after a change of protocol, by clinic',
  caption: 'Deliveries before and after the change, over equal spans and equal follow-up',
  runChart: 'Rate by quarter of delivery',
  clinic: 'Clinic',
  from: 'New handling from',
  side: 'Deliveries',
  before: 'before',
  after: 'from',
  shareInGroup: 'Tightened again, share',
  risk: 'Risk by the end of the time followed',
  difference: 'After minus before, percentage points',
  rateRatio: 'Rate ratio',
  levelChange: 'Rate ratio at the change, trends allowed for',
})

/** What the section is about and the rule by which a change is found. */
export function protocolChangeOpening(audit: AuditResult, cite: Citations): Phrase {
  const result = audit.protocolChange!
  const at = 'protocolChange'
  const { group, against } = result
  return phrase`Deliveries before a change of handling are compared with those after it, whatever was done to the single restoration, so that nobody's choice for a patient enters. What counts is the day of delivery; each restoration is followed for the same time and no longer (up to the horizon of the plan, or the longest shorter one at which enough are still observed on both sides), and the spans of delivery on both sides are equally long. A change is the first day of the quarter from which the share with ${groupInSentence(group, cite)}, among those with that or ${groupInSentence(against, cite)}, differs most clearly from before, by at least ${cite.number(`${at}.rule.leastShareDifference`, 'points-size')} percentage points, with ${cite.number(`${at}.rule.leastDeliveries`, 'count')} or more on each side; outcomes play no part in finding it. Whatever else changed at that time shows in the same way.`
}

/** What a clinic's change goes with, or that it cannot be known. */
export function clinicChangeSentence(
  audit: AuditResult,
  { clinic, change, compared }: ClinicChange,
  path: string,
  cite: Citations,
): Phrase {
  const result = audit.protocolChange!
  const { many } = endpointOf(audit)
  const name = foreign(printable(clinic))
  const source = change!.source === 'plan' ? 'as the plan says' : 'found from its deliveries'
  const shares = phrase`In ${name}, the share with ${groupInSentence(result.group, cite)} was ${cite.quantity(`${path}.change.before.share`, 'percent')} before ${foreign(change!.from)} (${source}) and ${cite.quantity(`${path}.change.after.share`, 'percent')} from then on.`
  if (compared === undefined) return phrase`${shares} There is nothing on one side to compare with.`
  const counts = phrase`${cite.number(`${path}.compared.before.events`, 'count')} of ${cite.number(`${path}.compared.before.restorations`, 'count')} restorations before and ${cite.number(`${path}.compared.after.events`, 'count')} of ${cite.number(`${path}.compared.after.restorations`, 'count')} after`
  if (compared.tooFewEvents) {
    return phrase`${shares} Whether ${many} changed with it cannot be known: they were seen in ${counts}.`
  }
  const { estimate, interval } = compared.riskDifference
  if (!isNumber(estimate))
    return phrase`${shares} ${many} were seen in ${counts}; the risks cannot be compared.`
  const difference = phrase`After ${horizonYears(cite, `${path}.followedYears`)}, the risk after the change minus the risk before it was ${cite.number(`${path}.compared.riskDifference.estimate`, 'points')} percentage points (${intervalName(cite)} ${cite.interval(`${path}.compared.riskDifference`, 'points')}); events were seen in ${counts}.`
  return phrase`${shares} ${difference} ${readingOfChange(interval.lower, interval.upper)}`
}

function readingOfChange(lower: unknown, upper: unknown): string {
  if (typeof upper === 'number' && upper < 0) {
    return 'The whole interval lies on the side of fewer events after the change.'
  }
  if (typeof lower === 'number' && lower > 0) {
    return 'The whole interval lies on the side of more events after the change.'
  }
  return 'The interval holds both directions: whether events changed with it stays open.'
}

/** Clinics without a change, and what was left out. */
export function noChangeSentence({ clinics, leftOut }: ProtocolChangeResult, cite: Citations): Phrase {
  const without = clinics.filter(({ change }) => change === undefined)
  const none =
    without.length === 0
      ? []
      : phrase`No such change was found in ${foreign(listInWords(without.map(({ clinic }) => printable(clinic))))}. `
  const late =
    leftOut.lateEntry === 0
      ? []
      : phrase`${cite.number('protocolChange.leftOut.lateEntry', 'count')} restorations are left out since they were observed only from some time after delivery on. `
  const undated =
    leftOut.dayUnknown === 0
      ? []
      : phrase`${cite.number('protocolChange.leftOut.dayUnknown', 'count')} are left out since their day of delivery is not known. `
  return [...none, ...late, ...undated]
}

/** Note under the table: what a share is of. */
export function shareNote(audit: AuditResult, cite: Citations): Phrase {
  const { group } = audit.protocolChange!
  return phrase`Tightened again: ${groupInSentence(group, cite)}, of the deliveries whose handling is one of the two compared.`
}
