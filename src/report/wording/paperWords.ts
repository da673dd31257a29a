import type { AuditResult } from '../../analysis/audit.js'
import { printable, upperFirst } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { foreign, type Phrase, phrase } from '../document.js'
import { counted } from './counting.js'
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
