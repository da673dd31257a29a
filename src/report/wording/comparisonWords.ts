import type { AuditResult } from '../../analysis/audit.js'
import type { LeftOutReason } from '../../analysis/knownInEnough.js'
import type { TighteningComparisonResult } from '../../analysis/tighteningComparison.js'
import { isNumber } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { reasonOf, speaker } from '../../messages/speaker.js'
import { type Citations, pathStep } from '../citation.js'
import { capitalised, type Phrase, phrase, strong } from '../document.js'
import { counted } from './counting.js'
import { horizonYears, intervalName } from './incidenceWords.js'
import { groupInSentence } from './terms.js'

const at = 'comparison'

/** Position of the horizon whose difference leads: 3 years, or the longest that can be estimated. */
function leadingDifference(comparison: TighteningComparisonResult): number {
  const estimable = comparison.horizons
    .map((horizon, index) => ({ horizon, index }))
    .filter(({ horizon }) => isNumber(horizon.riskDifference.estimate))
  const firm = estimable.filter(({ horizon }) => !horizon.thin)
  const wished = firm.find(({ horizon }) => horizon.years === 3) ?? firm.at(-1) ?? estimable.at(-1)
  return wished?.index ?? Math.max(0, comparison.horizons.length - 1)
}

/** The main sentence on the comparison, made from the interval of the risk difference. */
export function differenceSentence(audit: AuditResult, cite: Citations): Phrase {
  const { comparison } = audit
  if (comparison === undefined) {
    const { problems } = audit.summary.quality
    const recorded = problems.every(({ code }) => code !== 'no-tightening-column')
    return speaker().phrase(message('comparison.nothing-to-compare', { recorded: recorded ? 'other' : 'no' }))
  }
  if (comparison.horizons.length === 0)
    return phrase`No horizon was asked for at which risks could be compared.`
  const index = leadingDifference(comparison)
  const { riskDifference } = comparison.horizons[index]!
  const path = `${at}.horizons.${index}`
  const years = horizonYears(cite, `${path}.years`)
  const group = groupInSentence(comparison.group, cite)
  const against = groupInSentence(comparison.against, cite)
  if (!isNumber(riskDifference.estimate)) {
    const { estimate } = riskDifference
    const reason = estimate.state === 'not-estimable' ? phrase`: ${speaker().phrase(reasonOf(estimate))}` : []
    return phrase`How the risk by ${years} differs between ${group} and ${against} cannot be estimated${reason}.`
  }
  return differenceInWords(cite, `${path}.riskDifference`, { years, group, against })
}

interface DifferenceNames {
  readonly years: Phrase
  readonly group: Phrase
  readonly against: Phrase
}

/** A risk difference with its interval, both ways where the interval holds both directions. */
export function differenceInWords(cite: Citations, path: string, names: DifferenceNames): Phrase {
  const { years, group, against } = names
  const { estimate, interval } = cite.estimate(path)
  const { lower, upper } = interval
  const size = cite.number(`${path}.estimate`, 'points-size')
  if (!isNumber(lower) || !isNumber(upper)) {
    return phrase`The risk by ${years} was ${sideInWords(cite, `${path}.estimate`)} with ${group} than with ${against}; no interval can be given, so nothing follows from it.`
  }
  const limits = (from: string, to: string): Phrase =>
    phrase`${intervalName(cite)} ${cite.number(`${path}.interval.${from}`, 'points-size')} to ${cite.number(`${path}.interval.${to}`, 'points-size')} points`
  if (upper < 0) {
    return phrase`${associated(group)} a ${strong(['lower'])} risk by ${years} than ${against}: by ${size} percentage points (${limits('upper', 'lower')} lower).`
  }
  if (lower > 0) {
    return phrase`${associated(group)} a ${strong(['higher'])} risk by ${years} than ${against}: by ${size} percentage points (${limits('lower', 'upper')} higher).`
  }
  const observed =
    estimate === 0
      ? phrase`The risk by ${years} came out equal with ${group} and with ${against}`
      : phrase`The risk by ${years} was ${sideInWords(cite, `${path}.estimate`)} with ${group} than with ${against}`
  return phrase`${observed}, but the data are compatible with anything from ${sideInWords(cite, `${path}.interval.lower`)} to ${sideInWords(cite, `${path}.interval.upper`)} (${intervalName(cite)}): they leave the direction open.`
}

/** "3.9 percentage points lower". */
function sideInWords(cite: Citations, path: string): Phrase {
  const value = cite.read(path) as number
  if (value === 0) return phrase`${cite.number(path, 'points-size')} percentage points either way`
  return phrase`${cite.number(path, 'points-size')} percentage points ${value < 0 ? 'lower' : 'higher'}`
}

function associated(group: Phrase): Phrase {
  return phrase`${capitalised(group)} was associated with`
}

/** What the difference in risk allows for, and that it is the contrast declared beforehand. */
export const primaryContrast =
  'The difference in risk is the primary contrast: it is fixed in the toolkit, not chosen from the results. It allows for follow-up, ' +
  'competing events and several restorations in one patient, not for other ways in which the groups differed; ' +
  'everything else in this section is secondary.'

/** Number of restorations, patients and events in each of the two groups. */
export function groupSizesSentence(audit: AuditResult, cite: Citations): Phrase {
  const { comparison } = audit
  if (comparison === undefined) return []
  const size = (group: string): Phrase => {
    const step = pathStep(group)
    return phrase`${counted(cite, `${at}.events${step}`, 'event')} among ${counted(cite, `${at}.restorations${step}`, 'restoration')} in ${counted(cite, `${at}.patients${step}`, 'patient')} with ${groupInSentence(group, cite)}`
  }
  return phrase`Compared are ${size(comparison.group)}, and ${size(comparison.against)}.`
}

/** What is known from elsewhere about the question. */
export const unsettledSentence =
  'Whether a second tightening after a wait keeps screws tight for longer is unsettled: bench studies point in ' +
  'different directions, and no randomised clinical comparison with loosening as its endpoint is known to the makers ' +
  'of this report.'

/** Why something was not allowed for in a model. */
export const adjustmentReasonWords: Readonly<Record<LeftOutReason, string>> = Object.freeze({
  'not-recorded': 'not recorded',
  'too-incomplete': 'known in too few restorations',
  'all-alike': 'the same in all',
  'told-by-the-others': 'follows from the rest',
  'too-few-events': 'too few events or restorations for one more',
})
