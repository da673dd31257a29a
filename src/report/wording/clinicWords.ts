import type { AuditResult } from '../../analysis/audit.js'
import type { FunnelClinic } from '../../analysis/clinicFunnel.js'
import type { SpanRate } from '../../analysis/hazardOverTime.js'
import { printable } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { foreign, type Phrase, phrase } from '../document.js'
import { intervalName } from './incidenceWords.js'
import { endpointOf, listInWords } from './terms.js'

/** Headings, captions and heads of columns of the sections on time and on clinics. */
export const hazardLabels = Object.freeze({
  section: 'When it happens',
  spans: 'Rate per hundred restoration-years by time since delivery',
  chart: 'Smoothed rate over time since delivery',
  span: 'Years since delivery',
})

/** Headings, captions and heads of columns of the section on clinics. */
export const funnelLabels = Object.freeze({
  section: 'Clinics beside each other',
  table: 'Events of each clinic and those expected of its times at risk',
  chart: 'Funnel of the clinics',
  clinic: 'Clinic',
  expected: 'Expected',
  ratio: 'Events over expected',
  position: 'Against the limits',
})

/** Names of the quantities of the sections after the comparison, in the table of methods. */
export const secondQuantities = Object.freeze({
  wait: 'Hazard ratio along the wait',
  waitGroups: 'Hazard ratio by the wait',
  periodRisk: 'Risk before and after a change of protocol',
  periodRate: 'Rate before and after a change of protocol',
  counts: 'Mean number of events',
  again: 'Share with another event',
  hazard: 'Hazard over time',
  funnel: 'Limits of the funnel',
})

/** Span of time since delivery as the head of a row: "0.5 to 1". */
export function spanTitle({ fromYears, toYears }: SpanRate): string {
  return toYears === undefined ? `more than ${fromYears}` : `${fromYears} to ${toYears}`
}

/** How the rate of the first half-year stands to that of later ones. */
export function hazardSentence(audit: AuditResult, cite: Citations): Phrase {
  const [all] = audit.hazardOverTime!.groups
  const { many } = endpointOf(audit)
  if (all!.events === 0) return phrase`No ${many} were found: when they would come cannot be known.`
  const rate = (index: number): Phrase => {
    const path = `hazardOverTime.groups.0.spans.${index}`
    const { estimate } = all!.spans[index]!.ratePer100Years
    if (!isNumber(estimate)) return ['not estimable']
    return phrase`${cite.number(`${path}.ratePer100Years.estimate`, 'rate')} (${intervalName(cite)} ${cite.interval(`${path}.ratePer100Years`, 'rate')}; ${cite.number(`${path}.events`, 'count')} events)`
  }
  const last = all!.spans.length - 1
  const later =
    last === 0
      ? []
      : phrase`, and ${rate(last)} from ${cite.number(`hazardOverTime.groups.0.spans.${last}.fromYears`, 'years')} years on`
  return phrase`The rate of ${many} for every hundred restoration-years was ${rate(0)} in the first half-year after delivery${later}. They count on the day on which they were found: rises at half-years and years may be those of visits.`
}

const positionWords: Readonly<Record<FunnelClinic['position'], string>> = Object.freeze({
  within: 'within',
  'above-inner': 'above the inner limit',
  'above-outer': 'above the outer limit',
  'below-inner': 'below the inner limit',
  'below-outer': 'below the outer limit',
})

/** Position of a clinic in a table. */
export function positionInWords(position: FunnelClinic['position']): string {
  return positionWords[position]
}

/** Whether a clinic stands out, and what that is for. */
export function funnelSentence(audit: AuditResult, cite: Citations): Phrase {
  const { clinics, leftOut, overDispersion } = audit.clinicFunnel!
  const outside = clinics.filter(({ position }) => position !== 'within')
  const names = foreign(listInWords(outside.map(({ clinic }) => printable(clinic))))
  const seen =
    outside.length === 0
      ? phrase`All ${cite.number('clinicFunnel.clinics.length', 'count')} clinics lie within the limits that chance alone would give.`
      : phrase`Beyond the inner limits ${outside.length === 1 ? 'lies' : 'lie'} ${names}: a reason to look, and no verdict.`
  const widened = overDispersion.widened
    ? ' Clinics differ by more than chance gives, and the limits are widened for that.'
    : ''
  const left =
    leftOut === 0
      ? []
      : phrase` ${cite.number('clinicFunnel.leftOut', 'count')} restorations of no known clinic are left out.`
  return phrase`${seen}${widened}${left} Expected events follow from the times at risk of each clinic and the hazard of all together, so that longer follow-up does not tell against it. Differences in position, parts, patients and ways of looking are not allowed for, and clinics are not ranked.`
}
