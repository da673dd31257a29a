import { isNumber, type Quantity } from '../../core/estimate.js'
import { message, type Words } from '../../messages/message.js'
import { methodWords, plainMethodWords } from '../../messages/methodWords.js'
import type { AuditResult } from '../../questions/audit.js'
import { yearsAt } from '../../questions/howOften/section.js'
import { sentences } from '../../questions/words/blocks.js'
import { count, interval, number, type Place, pathsOf, quantity } from '../../questions/words/place.js'
import { headlineHorizon, oftenSentences } from './incidenceWords.js'

/** The sentence on how often, ready for a paper: estimate, interval, numbers, horizon, method. */
export function riskForPaper(audit: AuditResult, detail: PaperDetail = 'full'): Words {
  const { overall } = audit.incidence
  const at = pathsOf(audit).incidence.overall
  const { endpoint } = audit.definition
  const base = {
    restorations: count(at.restorations),
    patients: count(at.patients),
    events: count(at.events),
  }
  const level = number(pathsOf(audit).settings.level, 'level')
  if (audit.howOften.verdict === 'withheld') return sentences(...oftenSentences(audit))
  if (overall.events === 0) {
    return message('manuscript.paper-none', {
      ...base,
      name: message(`endpoint.name.${endpoint}`),
      level,
      limit: isNumber(overall.proportion.interval.upper) ? 'other' : 'none',
      upper: quantity(at.proportion.interval.upper as Place<Quantity>, 'percent'),
      method: methodWords(overall.proportion.method),
      median: quantity(at.medianFollowUpYears.estimate as Place<Quantity>, 'years'),
    })
  }
  const index = headlineHorizon(audit)
  const found = overall.horizons[index]
  if (found === undefined || !isNumber(found.risk.estimate)) {
    return message('manuscript.paper-found', { ...base, one: message(`endpoint.title-one.${endpoint}`) })
  }
  const { risk, years } = at.horizons[index]!
  const { lower, upper } = found.risk.interval
  return message('manuscript.paper-risk', {
    name: message(`endpoint.name.${endpoint}`),
    years: yearsAt(years),
    risk: number(risk.estimate as Place<Quantity>, 'percent'),
    limits: isNumber(lower) || isNumber(upper) ? 'other' : 'none',
    level,
    interval: interval(risk, 'percent'),
    events: count(risk.events),
    restorations: count(risk.n),
    patients: count(risk.clusters),
    detail: detail === 'full' ? 'full' : 'other',
    method: plainMethodWords(found.risk.method),
  })
}

/** With the method as carried out, or, as in an abstract, without. */
export type PaperDetail = 'full' | 'abstract'
