import type { AuditResult } from '../../analysis/audit.js'
import type { WaitCurveReason, WaitPlace, WaitResult } from '../../analysis/waitTime.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { joinPhrases, type Phrase, phrase } from '../document.js'
import { intervalName } from './incidenceWords.js'
import { endpointOf, listInWords } from './terms.js'

/** Stands in place of figures that are drawn on request only. */
export const onRequestNote = 'The figure of this section is drawn on request: holdfast audit --full.'

/** Headings, captions and heads of columns of the section on the wait. */
export const waitLabels = Object.freeze({
  section: 'How long to wait before tightening again',
  groups: 'Tightened again before, inside and after the window',
  curve: 'Hazard ratio along the minutes waited',
  wait: 'Minutes to the second tightening',
  ratio: 'Hazard ratio against the window',
})

/** Where a wait lies, as the head of a row. */
export function waitPlaceTitle(place: WaitPlace, { windowMinutes }: WaitResult): string {
  const { from, to } = windowMinutes
  if (place === 'inside the window') return `${from} to ${to}`
  return place === 'before the window' ? `less than ${from}` : `more than ${to}`
}

const curveReasonWords: Readonly<Record<WaitCurveReason, string>> = Object.freeze({
  'too-few-events': 'Events are too few for a curve along the minutes.',
  'too-few-different-waits':
    'Nearly all waits were recorded as the same number of minutes, so that there is no curve along them.',
  'not-fitted': 'A curve along the minutes could not be fitted to so few events in so few patients.',
})

/** The main sentence on the wait: what the data say, or that they cannot. */
export function waitSentence(audit: AuditResult, wait: WaitResult, cite: Citations): Phrase {
  const { one, many } = endpointOf(audit)
  const base = phrase`${cite.number('wait.restorations', 'count')} restorations in ${cite.number('wait.patients', 'count')} patients were tightened again on the day of delivery, without undoing and with a known wait`
  if (wait.events === 0) {
    return phrase`What the wait goes with cannot be known from these records: ${base}, and not one had ${one}.`
  }
  if (wait.events < wait.leastEvents) {
    return phrase`What the wait goes with cannot be known from these records: ${base}, and only ${cite.number('wait.events', 'count')} had ${one}. Ratios in the table show how little that tells.`
  }
  const had = phrase`${base}; ${cite.number('wait.events', 'count')} had ${one}.`
  if (wait.curve === undefined) return had
  return phrase`${had} ${curveSentence(wait, many, cite)}`
}

function curveSentence({ curve }: WaitResult, many: string, cite: Citations): Phrase {
  const { points } = curve!
  const end = (index: number): Phrase =>
    phrase`${cite.quantity(`wait.curve.points.${index}.hazardRatio`, 'ratio')} at ${cite.number(`wait.curve.points.${index}.minutes`, 'minutes')} minutes (${intervalName(cite)} ${cite.interval(`wait.curve.points.${index}`, 'ratio')})`
  const ends = joinPhrases([end(0), end(points.length - 1)], ' and ')
  const apart = points.some(
    ({ interval }) =>
      (isNumber(interval.lower) && interval.lower > 1) || (isNumber(interval.upper) && interval.upper < 1),
  )
  const reading = apart
    ? `Along part of the curve the whole interval lies above 1, or below 1; whether the wait itself or what went with it explains that, the records cannot tell.`
    : `Everywhere along the curve the interval has room on both sides of 1: how ${many} go with the wait stays open, within those limits.`
  return phrase`Against a wait of ${cite.number('wait.curve.referenceMinutes', 'minutes')} minutes, the hazard ratio was ${ends}. ${reading}`
}

/** What the ratios allow for, and what they leave out. */
export function waitBasis(wait: WaitResult, cite: Citations): Phrase {
  const strata =
    wait.stratifiedBy.length === 0 ? 'Nothing' : `Nothing besides ${listInWords(wait.stratifiedBy)}`
  const unknown =
    wait.waitUnknown === 0
      ? []
      : phrase` In ${cite.number('wait.waitUnknown', 'count')} more, the wait is not known.`
  const several =
    wait.severalTightenings === 0
      ? []
      : phrase` ${cite.number('wait.severalTightenings', 'count')} were tightened again more than once, first outside the window and later inside it: they count as inside, and on the curve by the first wait.`
  const reason = wait.curveReason === undefined ? [] : phrase` ${curveReasonWords[wait.curveReason]}`
  return phrase`This is a secondary question. ${strata} is allowed for; patients are kept together. Who waited longer was not left to chance.${unknown}${several}${reason}`
}
