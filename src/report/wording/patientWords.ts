import type { AuditResult } from '../../analysis/audit.js'
import { isNumber } from '../../core/estimate.js'
import { message, speaker } from '../../messages/index.js'
import type { Citations } from '../citation.js'
import { blank, type CitedNumber, type Phrase, phrase } from '../document.js'
import { headlineHorizon, horizonYears } from './incidenceWords.js'
import { windowPhrase } from './terms.js'

/** Labels of what is written for patients. */
export const patientLabels = Object.freeze({
  kicker: 'For our patients',
  wordsSection: 'The same in words for the patient, and for a paper',
  forPatient: 'For the patient',
  forPaper: 'For a paper',
  arrayCaption: 'Out of 100 restorations like these',
  often: 'How often does it happen?',
  means: 'What is it, and what should I do?',
  compared: 'Does it matter how the screw was tightened?',
  limits: 'What these numbers cannot tell you',
  contact: 'How to reach us',
})

/** Name of the event in the words of a patient. */
export function patientEvent(audit: AuditResult): string {
  return speaker().text(message(`endpoint.for-patients.${audit.definition.endpoint}`))
}

function restorationsForPatient(audit: AuditResult): string {
  const { restorationTypes } = audit.definition
  return restorationTypes.every((type) => type.includes('crown')) ? 'crowns' : 'crowns and bridges'
}

/** Title of the leaflet. */
export function leafletTitle(audit: AuditResult): Phrase {
  return phrase`Screws in implant ${restorationsForPatient(audit)}: what our own records show`
}

/** Line under the title of the leaflet. */
export function leafletSummary(audit: AuditResult, cite: Citations): Phrase {
  return phrase`From the records of ${cite.number('incidence.overall.restorations', 'count')} implant ${restorationsForPatient(audit)} of ${cite.number('incidence.overall.patients', 'count')} patients`
}

/** How often, as a natural frequency. */
export function riskForPatient(audit: AuditResult, cite: Citations): Phrase {
  const { overall } = audit.incidence
  const event = patientEvent(audit)
  const things = restorationsForPatient(audit)
  const all = 'incidence.overall'
  if (overall.events === 0) {
    const limit = `${all}.proportion.interval.upper`
    const still = isNumber(cite.read(limit))
      ? phrase` ${upTo(cite.number(limit, 'in-hundred'))} in 100 would still fit our records.`
      : []
    return phrase`None of our ${cite.number(`${all}.restorations`, 'count')} ${things} had ${event} while we followed them. That does not mean that it never happens.${still}`
  }
  const index = headlineHorizon(audit)
  const horizon = overall.horizons[index]
  if (horizon === undefined || !isNumber(horizon.risk.estimate)) {
    return phrase`${cite.number(`${all}.events`, 'count')} of our ${cite.number(`${all}.restorations`, 'count')} ${things} had ${event} while we followed them. Our records do not reach far enough to say how many out of 100 it would be.`
  }
  const at = `${all}.horizons.${index}`
  const { lower, upper } = horizon.risk.interval
  const fits =
    isNumber(lower) && isNumber(upper)
      ? phrase` Our records would fit anything from ${cite.number(`${at}.risk.interval.lower`, 'in-hundred')} to ${cite.number(`${at}.risk.interval.upper`, 'in-hundred')} in 100.`
      : phrase` How far off that may be, our records cannot say.`
  return phrase`Out of 100 ${things} like these, ${about(cite.number(`${at}.risk.estimate`, 'in-hundred'))} had ${event} within ${horizonYears(cite, `${at}.years`)}.${fits}`
}

/** "about 9", but "fewer than 1" as it stands. */
function about(number: CitedNumber): Phrase {
  return /^\d/.test(number.text) ? phrase`about ${number}` : [number]
}

/** "Up to about 9", but "Fewer than 1" as it stands. */
function upTo(number: CitedNumber): Phrase {
  return /^\d/.test(number.text) ? phrase`Up to about ${number}` : phrase`As many as would make ${number}`
}

/** Single against repeated tightening for a patient: natural frequencies where something may be said, and no margins. */
export function comparisonForPatient(audit: AuditResult, cite: Citations): Phrase {
  const { tightening } = audit
  const ways = waysForPatient(audit, cite)
  if (tightening === undefined)
    return phrase`Here all screws were handled in one way, so that our records cannot compare.`
  const { verdict, lead } = tightening
  if (verdict === 'cannot-be-known')
    return phrase`${ways} So few ${had(audit)} that our records cannot say which of the two did better.`
  if (verdict === 'cannot-be-compared')
    return phrase`${ways} Who did it and when went together with how it was done, so that our records cannot compare the two fairly.`
  if (verdict === 'open' || lead === undefined)
    return phrase`${ways} Our records cannot say which of the two did better.`
  const within = horizonYears(cite, 'tightening.horizonYears')
  return phrase`${ways} Within ${within}, ${about(cite.number('tightening.lead.group.estimate', 'in-hundred'))} in 100 of those tightened once more ${had(audit)}, and ${about(cite.number('tightening.lead.against.estimate', 'in-hundred'))} in 100 of those tightened once. ${otherReasons}`
}

const otherReasons = 'Other things, such as who was treated when and by whom, may lie behind what we see.'

/** "had a loose screw". */
function had(audit: AuditResult): string {
  return `had ${patientEvent(audit)}`
}

function waysForPatient(audit: AuditResult, cite: Citations): Phrase {
  const groups = audit.tightening?.groups
  const usual =
    groups === undefined || (groups.group === 'repeated in the window' && groups.against === 'single')
  return usual
    ? phrase`Some screws were tightened once, others once more after ${windowPhrase(cite)}.`
    : phrase`Screws were handled in different ways on the day the crown was fitted.`
}

/** What the event is and what to do about it: common practice, without a source. */
export function adviceForPatient(audit: AuditResult): readonly Phrase[] {
  const screw = audit.definition.endpoint.startsWith('screw')
  return [
    ...(screw
      ? [
          phrase`A small screw holds the crown on its implant. It can come loose. Mostly it can be tightened again or replaced.`,
        ]
      : []),
    phrase`If your crown moves, clicks, feels high, or the gum around it is sore: call us soon, and chew on the other side until then. Do not wait for your next check.`,
    phrase`Come to your checks. A screw that has begun to give is mostly found there, before you notice.`,
  ]
}

/** What the numbers of a leaflet cannot tell. */
export function limitsForPatient(audit: AuditResult): readonly Phrase[] {
  const { neverChecked, source } = audit.summary
  return [
    ...(source.generated
      ? [
          phrase`These numbers were made by a program to show what this leaflet looks like. They are about nobody.`,
        ]
      : []),
    phrase`They are about many people. They cannot say what will happen to you: your bite, your implant and your habits matter too.`,
    ...(neverChecked > 0
      ? [phrase`Some patients never came back for a check. How they fared, we do not know.`]
      : []),
    phrase`They are no advice on treatment. Talk with us about your own crown.`,
  ]
}

/** What only the practice can fill in. */
export const contactBlanks: readonly Phrase[] = Object.freeze([
  phrase`${blank('name of the practice')}, ${blank('telephone, and hours')}`,
  phrase`${blank('what to do at night and at weekends')}`,
])
