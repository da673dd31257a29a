import type { AuditResult } from '../../analysis/audit.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { joinPhrases, type Phrase, phrase } from '../document.js'
import { horizonYears, intervalName } from './incidenceWords.js'
import { endpointOf } from './terms.js'

/** Headings, captions and heads of columns of the section on the literature. */
export const literatureLabels = Object.freeze({
  section: 'Beside the literature',
  matched: 'Risk at the same time after delivery, here and as published',
  unmatched: 'Published shares over unequal follow-up, to which no figure of this audit corresponds',
  chart: 'Risk here and as published',
  years: 'Years',
  source: 'Source',
  about: 'Of what',
  risk: 'Share with the event',
  followUp: 'Follow-up',
  own: 'This audit',
  ownAbout: 'all restorations of the cohort',
  noInterval: 'No interval: the source prints none.',
  memory: 'Limits from memory, not read again.',
})

/** The audit's own risk at the horizons that the literature has. */
export function literatureSentence(audit: AuditResult, cite: Citations): Phrase {
  const { horizons } = audit.literature!
  const { name, meaning } = endpointOf(audit)
  const parts = horizons.flatMap(({ own }, index): Phrase[] => {
    const path = `literature.horizons.${index}`
    if (!isNumber(own.estimate)) return []
    return [
      phrase`${cite.number(`${path}.own.estimate`, 'percent')} by ${horizonYears(cite, `${path}.years`)} (${intervalName(cite)} ${cite.interval(`${path}.own`, 'percent')})`,
    ]
  })
  const seen =
    parts.length === 0
      ? phrase`Follow-up here is too short for the times at which ${name} is published.`
      : phrase`The risk of ${name} here was ${joinPhrases(parts, ' and ')}.`
  return phrase`${seen} Published figures stand beside it at the same time after delivery. Nothing is tested: they differ in what counts as the event (here: ${meaning}), in era, parts, ways of looking, and in how a risk is made from rates.`
}
