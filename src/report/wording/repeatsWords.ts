import type { AuditResult } from '../../analysis/audit.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { joinPhrases, type Phrase, phrase } from '../document.js'
import { headlineHorizon, horizonYears, intervalName } from './incidenceWords.js'
import { endpointOf } from './terms.js'

/** Headings, captions and heads of columns of the section on repeated events. */
export const repeatsLabels = Object.freeze({
  section: 'Again: counting every time',
  counts: 'Events counted every time, by handling on the delivery day',
  means: 'Mean number of events for every hundred restorations that stay in place',
  terminal: 'The same, restorations removed and patients who died counted on with nothing',
  again: 'Share with another event after the first, by years since the first',
  chart: 'Mean number of events for every hundred restorations',
  withOne: 'Restorations with one or more',
  withTwo: 'With two or more',
  most: 'Most in one',
})

/** "screw loosenings", the first and all others. */
function everyEvent(audit: AuditResult): string {
  return endpointOf(audit).many.replace(/^first /, '')
}

/** The main sentences on repeats. */
export function repeatsSentence(audit: AuditResult, cite: Citations): Phrase {
  const at = 'repeats.overall'
  const { overall } = audit.repeats!
  const many = everyEvent(audit)
  if (overall.events === 0) return phrase`No ${many} were found, so that none could come again.`
  const more =
    overall.withTwo === 0
      ? phrase`none more than once`
      : phrase`${cite.number(`${at}.withTwo`, 'count')} of them more than once and one as often as ${cite.number(`${at}.mostOfOne`, 'count')} times`
  const counted = phrase`Counting every time, ${cite.number(`${at}.events`, 'count')} ${many} were found in ${cite.number(`${at}.withOne`, 'count')} of ${cite.number(`${at}.restorations`, 'count')} restorations, ${more}.`
  return phrase`${counted}${meanSentence(audit, cite)}${againSentence(audit, cite)}`
}

function meanSentence(audit: AuditResult, cite: Citations): Phrase {
  const index = headlineHorizon(audit)
  const horizon = audit.repeats!.overall.horizons[index]
  if (horizon === undefined || !isNumber(horizon.whileInPlace.estimate)) return []
  const path = `repeats.overall.horizons.${index}`
  return phrase` By ${horizonYears(cite, `${path}.years`)} that is ${cite.number(`${path}.whileInPlace.estimate`, 'per-hundred')} for every hundred restorations that stay in place (${intervalName(cite)} ${cite.interval(`${path}.whileInPlace`, 'per-hundred')}).`
}

function againSentence(audit: AuditResult, cite: Citations): Phrase {
  const parts = audit.repeats!.overall.again.flatMap(({ risk }, index): Phrase[] => {
    const path = `repeats.overall.again.${index}`
    if (!isNumber(risk.estimate)) return []
    return [
      phrase`${cite.number(`${path}.risk.estimate`, 'percent')} within ${horizonYears(cite, `${path}.years`)} (${intervalName(cite)} ${cite.interval(`${path}.risk`, 'percent')})`,
    ]
  })
  if (parts.length === 0) return []
  return phrase` After a first one, another was found in ${joinPhrases(parts, ' and ')}.`
}

/** What counts as another event. */
export const repeatsBasis =
  'What was only watched and found again before a check that was clear counts once. Who has had an event is looked at more often and treated, so that later events tell of the treatment too. Groups are set beside each other without allowing for anything.'
