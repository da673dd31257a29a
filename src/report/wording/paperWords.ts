import type { AuditResult } from '../../analysis/audit.js'
import type { FairComparison, Reading } from '../../analysis/fairComparison.js'
import { scaleNames } from '../../charts/variantWords.js'
import { lowerFirst, printable, upperFirst } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { capitalised, foreign, type Phrase, phrase } from '../document.js'
import { counted } from './counting.js'
import { formatOfScale, type LeadNames, marginOf, namesOf } from './fairWords.js'
import { headlineHorizon, horizonYears, intervalName } from './incidenceWords.js'
import { endpointOf } from './terms.js'

/** The sentence on how often, ready for a paper: estimate, interval, numbers, horizon, method. */
export function riskForPaper(audit: AuditResult, cite: Citations, detail: PaperDetail = 'full'): Phrase {
  const { overall } = audit.incidence
  const { name, one } = endpointOf(audit)
  const all = 'incidence.overall'
  const base = phrase`${counted(cite, `${all}.restorations`, 'restoration')} of ${counted(cite, `${all}.patients`, 'patient')}`
  if (overall.events === 0) {
    const limit = `${all}.proportion.interval.upper`
    const upper = isNumber(cite.read(limit))
      ? phrase`; upper limit of the ${intervalName(cite)} ${cite.number(limit, 'percent')}, ${foreign(overall.proportion.method)}`
      : phrase`; no upper limit can be given`
    return phrase`No ${name} was seen (${counted(cite, `${all}.events`, 'event')} in ${base}${upper}; median follow-up ${cite.quantity(`${all}.medianFollowUpYears.estimate`, 'years')} years).`
  }
  const horizon = headlineHorizon(audit)
  const at = `${all}.horizons.${horizon}`
  const found = overall.horizons[horizon]
  if (found === undefined || !isNumber(found.risk.estimate)) {
    return phrase`${upperFirst(one)} was found in ${cite.number(`${all}.events`, 'count')} of ${base}; a cumulative incidence could not be estimated.`
  }
  const limits =
    isNumber(found.risk.interval.lower) || isNumber(found.risk.interval.upper)
      ? phrase`${intervalName(cite)} ${cite.interval(`${at}.risk`, 'percent')}`
      : phrase`no interval can be given`
  return phrase`The cumulative incidence of ${name} by ${horizonYears(cite, `${at}.years`)} was ${cite.number(`${at}.risk.estimate`, 'percent')} (${limits}; ${counted(cite, `${at}.risk.events`, 'event')} by then in ${counted(cite, `${at}.risk.n`, 'restoration')} of ${counted(cite, `${at}.risk.clusters`, 'patient')}${methodFor(found.risk.method, detail)}).`
}

/** With the method as carried out, or, as in an abstract, without. */
export type PaperDetail = 'full' | 'abstract'

function methodFor(method: string, detail: PaperDetail): Phrase {
  return detail === 'full' ? phrase`; ${foreign(plainMethod(method))}` : []
}

/** Name of a method where the sentence says already that it is a difference. */
export function plainMethod(method: string): string {
  return printable(method.replace(/^difference, /, ''))
}

const lead = 'fair.lead'

/** The sentence on the comparison, ready for a paper. */
export function comparisonForPaper(
  audit: AuditResult,
  cite: Citations,
  detail: PaperDetail = 'full',
): Phrase {
  const { fair } = audit
  if (fair === undefined)
    return phrase`The ways of tightening were not compared, since one of the two groups is empty.`
  const names = namesOf(fair, cite)
  const then = fair.lead.scale === 'risk-difference' ? ' by then' : ''
  const numbers = phrase`${counted(cite, `${lead}.contrast.events`, 'event')}${then} in ${counted(cite, `${lead}.contrast.n`, 'restoration')} of ${counted(cite, `${lead}.contrast.clusters`, 'patient')}`
  if (fair.lead.kind === 'cannot-be-known') {
    return phrase`${capitalised(names.group)} and ${names.against} were not compared: there were ${numbers}, too few for any statement.`
  }
  if (fair.lead.kind === 'not-comparable') {
    return phrase`${capitalised(names.group)} and ${names.against} were not compared, since only ${cite.number('fair.who.overlapShare', 'percent')} of restorations came from operators and years with both (${numbers}).`
  }
  const { contrast, reading } = fair.lead
  if (!isNumber(contrast.estimate)) {
    return phrase`How ${names.group} compares with ${names.against} could not be estimated (${numbers}).`
  }
  const basis = phrase`${numbers}${methodFor(contrast.method, detail)}`
  if (reading === 'none') {
    return phrase`${estimateForPaper(audit, cite, fair, names)} (${basis}); no interval can be given, and nothing follows.`
  }
  const format = formatOfScale(fair.lead.scale)
  const range =
    fair.lead.kind === 'range'
      ? phrase` The interval also holds the estimate with loosening placed between visits.`
      : []
  return phrase`${estimateForPaper(audit, cite, fair, names)} (${intervalName(cite)} ${cite.interval(`${lead}.contrast`, format)}; ${basis}); ${claimForPaper(reading, marginOf(cite, fair), names)}.${range}`
}

function estimateForPaper(
  audit: AuditResult,
  cite: Citations,
  fair: FairComparison,
  { group, against }: LeadNames,
): Phrase {
  const { scale, contrast } = fair.lead
  const path = `${lead}.contrast.estimate`
  if (scale.endsWith('ratio')) {
    return phrase`The ${lowerFirst(scaleNames[scale])} of ${endpointOf(audit).name} with ${group} against ${against} was ${cite.number(path, 'ratio')}`
  }
  const by = phrase`by ${horizonYears(cite, `${lead}.horizonYears`)}`
  if (scale !== 'risk-difference') {
    const what = scale === 'time-lost-difference' ? 'mean time lost to' : 'mean time free of'
    return phrase`The difference in ${what} ${endpointOf(audit).name} ${by} between ${group} and ${against} was ${cite.number(path, 'days')} days`
  }
  if (contrast.estimate === 0) {
    return phrase`The risk of ${endpointOf(audit).name} ${by} came out equal with ${group} and with ${against}`
  }
  const side = (contrast.estimate as number) < 0 ? 'lower' : 'higher'
  return phrase`${capitalised(group)} was associated with a risk of ${endpointOf(audit).name} ${by} that was ${cite.number(path, 'points-size')} percentage points ${side} than with ${against}`
}

/** What the interval allows, against the smallest difference that had been declared to matter. */
function claimForPaper(
  reading: Exclude<Reading, 'none'>,
  margin: Phrase | undefined,
  names: LeadNames,
): Phrase {
  const size = margin ?? []
  switch (reading) {
    case 'fewer-that-matters':
    case 'more-that-matters':
      return phrase`the whole interval lies beyond the smallest difference that matters (${size})`
    case 'fewer':
    case 'more': {
      const side = phrase`the whole interval lies on the side of ${reading} events`
      return margin === undefined
        ? side
        : phrase`${side}, and values both short of and beyond the smallest difference that matters (${size}) are compatible with the data`
    }
    case 'fewer-but-little':
    case 'more-but-little':
      return phrase`the whole interval lies on the side of ${reading.startsWith('fewer') ? 'fewer' : 'more'} events and short of the smallest difference that matters (${size})`
    case 'fewer-possible':
      return phrase`both directions are compatible with the data, and so is a difference that matters (${size}) in favour of ${names.group}; one against it is not`
    case 'more-possible':
      return phrase`both directions are compatible with the data, and so is a difference that matters (${size}) against ${names.group}; one in its favour is not`
    case 'little-either-way':
      return phrase`both directions are compatible with the data; a difference that matters (${size}) is not, in either`
    case 'open':
      return margin === undefined
        ? phrase`both directions are compatible with the data`
        : phrase`both directions are compatible with the data, and so is a difference that matters (${size}) in either`
  }
}
