import type { AuditResult } from '../../analysis/audit.js'
import type { FairComparison } from '../../analysis/fairComparison.js'
import { scaleNames } from '../../charts/variantWords.js'
import { printable } from '../../charts/words.js'
import type { Citations } from '../citation.js'
import { foreign, type Inline, type Phrase, phrase } from '../document.js'
import { adjustmentReasonWords } from './fairLabels.js'
import { type LeadNames, namesOf } from './fairWords.js'
import { horizonYears } from './incidenceWords.js'
import { endpointOf, listInWords, restorationTypesInWords } from './terms.js'

/** What the plan was, and how it can be recognised. */
export function planSentence(fair: FairComparison, cite: Citations): Phrase {
  const { plan } = fair
  const hash = phrase`SHA-256 ${foreign(plan.sha256)}`
  if (plan.source === 'default') {
    return phrase`No plan was written beforehand, so the plan of the toolkit stands in for one (${hash}). Its smallest difference that matters, ${cite.number('fair.plan.smallestDifference', 'points-size')} percentage points, is an assumption of the toolkit.`
  }
  const title = plan.title === undefined ? [] : phrase` “${foreign(printable(plan.title))}”`
  return phrase`The comparison follows a plan${title} dated ${foreign(plan.written ?? 'without a day')} (${hash}). Whoever holds the file can check that it is the one.`
}

/** What was to be allowed for and was not, as a sentence; empty where nothing was left out. */
export function leftOutSentence(fair: FairComparison): Phrase {
  const named = fair.who.leftOut.filter(({ reason }) => reason !== 'all-alike')
  if (named.length === 0) return []
  const list = named.map(({ words, reason }) => `${printable(words)} (${adjustmentReasonWords[reason]})`)
  return phrase`Not allowed for, though planned: ${foreign(listInWords(list))}.`
}

/** Rows of the table that states the question as a trial. */
export function questionRows(
  audit: AuditResult,
  fair: FairComparison,
  cite: Citations,
): readonly { readonly part: string; readonly answer: Phrase }[] {
  const { group, against }: LeadNames = namesOf(fair, cite)
  const endpoint = endpointOf(audit)
  const assumes =
    'that the groups were alike once what is allowed for is allowed for; that those lost would have fared like those followed; that handling of one restoration leaves others alone; that a screw was found loose soon after it came loose'
  const contrast: Inline | Phrase =
    fair.plan.primary.contrast === 'risk-difference'
      ? phrase`the difference in risk by ${horizonYears(cite, 'fair.horizonYears')}, average effect`
      : scaleNames[fair.plan.primary.contrast].toLowerCase()
  return [
    {
      part: 'Who',
      answer: phrase`${restorationTypesInWords(audit.definition)} on one screw joint each, delivered and tightened to target`,
    },
    { part: 'What against what', answer: phrase`${group} against ${against}` },
    {
      part: 'Assigned how',
      answer: phrase`not by chance: by the operator, the rule of the practice or the maker, as the table of reasons shows`,
    },
    { part: 'From when', answer: phrase`the day of delivery, on which the handling is known` },
    { part: 'Which outcome', answer: phrase`${endpoint.name}: ${endpoint.meaning}` },
    { part: 'Which contrast', answer: phrase`${contrast}` },
    { part: 'What it rests on', answer: phrase`${assumes}` },
  ]
}
