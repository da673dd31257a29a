import { type Estimate, isNumber, type Quantity } from '../../core/estimate.js'
import { type Message, message, type Words } from '../../messages/message.js'
import { numberFormats } from '../../messages/numberFormats.js'
import type { AuditResult } from '../../questions/audit.js'
import { yearsAt } from '../../questions/howOften/section.js'
import { sentences } from '../../questions/words/blocks.js'
import { isChosenPart } from '../../questions/words/chosenPart.js'
import { count, number, type Path, type Place, pathsOf, valueAt } from '../../questions/words/place.js'
import { isScrewEndpoint } from '../../vocabulary/endpoints.js'
import { headlineHorizon } from '../wording/incidenceWords.js'

/** What of a result names its endpoint and its restorations. */
interface DefinedBy {
  readonly definition: Pick<AuditResult['definition'], 'endpoint' | 'restorationTypes'>
}

/** Name of the event in the words of a patient. */
export function patientEvent({ definition }: DefinedBy): Message {
  return message(`endpoint.for-patients.${definition.endpoint}`)
}

/** Whether crowns are all that it is about. */
export function thingsOf({ definition }: DefinedBy): 'crowns' | 'other' {
  return definition.restorationTypes.every((type) => type.includes('crown')) ? 'crowns' : 'other'
}

/** Whether a share is said as a bound ("fewer than 1"), which is no "about". */
export function isBound(share: Place<Quantity>): 'yes' | 'other' {
  const value = valueAt(share)
  return isNumber(value) && typeof numberFormats['in-hundred'].text(value) !== 'string' ? 'yes' : 'other'
}

/** Title of the leaflet. */
export function leafletTitle(audit: DefinedBy): Words {
  return message('leaflet.title', { things: thingsOf(audit) })
}

/** Line under the title of the leaflet. */
export function leafletSummary(audit: AuditResult): Words {
  const { overall } = pathsOf(audit).incidence
  return message('leaflet.summary', {
    restorations: count(overall.restorations),
    patients: count(overall.patients),
    things: thingsOf(audit),
    part: isChosenPart(audit.summary) ? 'yes' : 'other',
  })
}

/** How often, as a natural frequency. */
export function riskForPatient(audit: AuditResult): Words {
  const { overall } = audit.incidence
  const at = pathsOf(audit).incidence.overall
  const named = { event: patientEvent(audit), things: thingsOf(audit) }
  const restorations = count(at.restorations)
  if (audit.howOften.reason === 'left-out') {
    const { leftOut } = pathsOf(audit).howOften
    return message('leaflet.risk-withheld', {
      things: thingsOf(audit),
      eligible: count(leftOut.eligible),
      left: count(leftOut.restorations),
    })
  }
  if (overall.events === 0) {
    const upper = at.proportion.interval.upper as Place<Quantity>
    const median = at.medianFollowUpYears.estimate as Place<Quantity>
    return sentences(
      message('leaflet.risk-none', { ...named, restorations }),
      isNumber(valueAt(median))
        ? message('leaflet.risk-none-followed', { restorations, months: number(median, 'months') })
        : undefined,
      message('leaflet.not-never'),
      isNumber(valueAt(upper))
        ? message('leaflet.risk-none-up-to', { bound: isBound(upper), upper: number(upper, 'in-hundred') })
        : undefined,
    )
  }
  const index = headlineHorizon(audit)
  const horizon = overall.horizons[index]
  const known = audit.howOften.verdict === 'estimate'
  if (!known || horizon === undefined || !isNumber(horizon.risk.estimate)) {
    return message('leaflet.risk-not-reached', { ...named, restorations, events: count(at.events) })
  }
  const { risk, years } = at.horizons[index]!
  const share = risk.estimate as Place<Quantity>
  return sentences(
    message('leaflet.risk', {
      ...named,
      bound: isBound(share),
      share: number(share, 'in-hundred'),
      years: yearsAt(years),
    }),
    rangeForPatient(risk),
  )
}

function rangeForPatient(at: Path<Estimate>): Message {
  const { lower, upper } = valueAt(at).interval
  if (!isNumber(lower) || !isNumber(upper)) return message('leaflet.risk-without-interval')
  return message('leaflet.risk-from-to', {
    lower: number(at.interval.lower as Place<Quantity>, 'in-hundred'),
    upper: number(at.interval.upper as Place<Quantity>, 'in-hundred'),
  })
}

/** Single against repeated tightening for a patient: natural frequencies where something may be said, and no margins. */
export function comparisonForPatient(audit: AuditResult): Words {
  const { tightening } = audit
  if (tightening === undefined) return message('leaflet.one-way')
  return sentences(waysForPatient(audit), comparedForPatient(audit, tightening))
}

function comparedForPatient(
  audit: AuditResult,
  { verdict, lead }: NonNullable<AuditResult['tightening']>,
): Message {
  const event = patientEvent(audit)
  if (verdict === 'cannot-be-known' && audit.howOften.reason !== 'left-out')
    return message('leaflet.compared-cannot-be-known', { event })
  if (verdict === 'cannot-be-compared') return message('leaflet.compared-cannot-be-compared')
  if (verdict === 'open' || verdict === 'cannot-be-known' || lead === undefined)
    return message('leaflet.compared-open')
  const at = pathsOf(audit).tightening
  const [group, against] = [at.lead.group.estimate, at.lead.against.estimate] as Place<Quantity>[]
  return message('leaflet.compared-shares', {
    event,
    years: yearsAt(at.horizonYears),
    groupBound: isBound(group!),
    group: number(group!, 'in-hundred'),
    againstBound: isBound(against!),
    against: number(against!, 'in-hundred'),
  })
}

function waysForPatient(audit: AuditResult): Message {
  const groups = audit.tightening?.groups
  const usual =
    groups === undefined || (groups.group === 'repeated in the window' && groups.against === 'single')
  if (!usual) return message('leaflet.ways-other')
  const { from, to } = pathsOf(audit).definition.waitWindowMinutes
  return message('leaflet.ways', { from: number(from, 'whole'), to: number(to, 'whole') })
}

/** What the event is and what to do about it: common practice, without a source. */
export function adviceForPatient({ definition }: DefinedBy): readonly Words[] {
  return [
    ...(isScrewEndpoint(definition.endpoint) ? [message('leaflet.advice-screw')] : []),
    message('leaflet.advice-call'),
    message('leaflet.advice-checks'),
  ]
}

/** What the numbers of a leaflet cannot tell. */
export function limitsForPatient({
  generated,
  neverChecked,
}: {
  readonly generated: boolean
  /** Whether some never came back. */
  readonly neverChecked: boolean
}): readonly Words[] {
  return [
    ...(generated ? [message('leaflet.limits-generated')] : []),
    message('leaflet.limits-many'),
    ...(neverChecked ? [message('leaflet.limits-never-checked')] : []),
    message('leaflet.limits-no-advice'),
  ]
}
