import type { AuditResult } from '../../analysis/audit.js'
import type { EstimandScale, FairComparison, NumberNeeded, Reading } from '../../analysis/fairComparison.js'
import { scaleNames, variantName } from '../../charts/variantWords.js'
import { lowerFirst, printable, upperFirst } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import { reasonOf, speaker } from '../../messages/speaker.js'
import type { Citations } from '../citation.js'
import { capitalised, foreign, type KeyFigure, type Phrase, phrase, strong } from '../document.js'
import type { FormatName } from '../numberFormats.js'
import { differenceSentence } from './comparisonWords.js'
import { leadReasonWords } from './fairLabels.js'
import { horizonYears, intervalLine, intervalName } from './incidenceWords.js'
import { endpointOf, groupInBrief, groupInSentence, listInWords } from './terms.js'

const lead = 'fair.lead'

/** How an estimate on a scale is written. */
export function formatOfScale(scale: EstimandScale): FormatName {
  if (scale === 'risk-difference') return 'points'
  return scale.endsWith('ratio') ? 'ratio' : 'days'
}

/** The two groups as they stand in a sentence. */
export interface LeadNames {
  readonly group: Phrase
  readonly against: Phrase
}

/** Names of the two groups compared. */
export function namesOf(fair: FairComparison, cite: Citations): LeadNames {
  return {
    group: groupInSentence(fair.group, cite),
    against: groupInSentence(fair.against, cite),
  }
}

/** What the clinician reads first: made from the interval of the lead and the smallest difference that matters. */
export function leadSentence(audit: AuditResult, cite: Citations): Phrase {
  const { fair } = audit
  if (fair === undefined) return []
  const names = namesOf(fair, cite)
  switch (fair.lead.kind) {
    case 'cannot-be-known':
      return unknowableSentence(audit, cite, fair, names)
    case 'not-comparable':
      return phrase`${capitalised(names.group)} and ${names.against} ${strong(['cannot be compared fairly'])} here: only ${cite.number('fair.who.overlapShare', 'percent')} of the restorations compared were delivered where one operator used both in the same year. What differs between the groups may lie in the operator, the clinic or the year as much as in the tightening.`
    case 'range':
      return phrase`${rangeSentence(cite, fair)} ${readingSentence(cite, fair, names)}`
    case 'estimate':
      return readingSentence(cite, fair, names)
  }
}

/** The main sentence on the comparison: the lead of the fair one, or the crude difference where there is none. */
export function mainComparisonSentence(audit: AuditResult, cite: Citations): Phrase {
  return audit.fair === undefined ? differenceSentence(audit, cite) : leadSentence(audit, cite)
}

/** Whether an estimate leads the comparison, so that secondary numbers may stand beside it. */
export function comparisonClaims({ fair }: AuditResult): boolean {
  return fair === undefined || fair.lead.kind === 'estimate' || fair.lead.kind === 'range'
}

/** Headline number of the fair comparison; undefined where nothing is claimed, or the lead is no difference of risks. */
export function leadKeyFigure(audit: AuditResult, cite: Citations): KeyFigure | undefined {
  const { fair } = audit
  if (fair === undefined || !comparisonClaims(audit) || fair.lead.scale !== 'risk-difference')
    return undefined
  return {
    label: phrase`percentage points in risk by ${horizonYears(cite, `${lead}.horizonYears`)}, ${groupInBrief(fair.group)} minus ${groupInBrief(fair.against)}`,
    value: [cite.quantity(`${lead}.contrast.estimate`, 'points')],
    interval: intervalLine(cite, `${lead}.contrast`, 'points'),
  }
}

/** Says what the crude differences are, where a fair comparison leads. */
export const crudeContrast =
  'These differences in risk are crude: they allow for follow-up, competing events and several restorations in one patient, not ' +
  'for other ways in which the groups differed. What leads the comparison stands in the section before; everything here is secondary.'

function unknowableSentence(
  audit: AuditResult,
  cite: Citations,
  fair: FairComparison,
  names: LeadNames,
): Phrase {
  const events = fair.who.events.group + fair.who.events.against
  const seen =
    events === 0
      ? phrase`Not one ${endpointOf(audit).name} was seen in the two groups`
      : phrase`Only ${cite.number(`${lead}.contrast.events`, 'count')} ${events === 1 ? endpointOf(audit).name : endpointOf(audit).many} were seen in the two groups together`
  const opening = phrase`${strong(['Nothing can be known'])} from these records about ${names.group} against ${names.against}. ${seen}, too few for any statement.`
  if (fair.lead.needed === undefined) return opening
  const needed = `${lead}.needed`
  return phrase`${opening} To tell a difference of ${cite.number(`${lead}.smallestDifference`, 'points-size')} percentage points by ${horizonYears(cite, `${needed}.horizonYears`)} with a power of ${cite.number(`${needed}.power`, 'level')}, about ${cite.number(`${needed}.together`, 'count')} restorations would be needed in the two groups together, all followed for that time; this takes the risk with ${names.against} to be ${cite.number(`${needed}.assumedRisk`, 'percent')}.`
}

function rangeSentence(cite: Citations, fair: FairComparison): Phrase {
  const why = fair.lead.reasons.includes('visit-schedules-differ')
    ? 'visits were scheduled more often in one group than in the other'
    : 'loosening is found at visits'
  return phrase`Since ${why}, a range leads: from ${signedPoints(cite, `${lead}.range.from`)} to ${signedPoints(cite, `${lead}.range.to`)}, by when loosening is taken to have come.`
}

function signedPoints(cite: Citations, path: string): Phrase {
  const value = cite.read(path) as number
  const size = cite.number(path, 'points-size')
  return value === 0 ? phrase`${size} points` : phrase`${size} points ${value < 0 ? 'lower' : 'higher'}`
}

/** The lead in words, by its reading. */
function readingSentence(cite: Citations, fair: FairComparison, names: LeadNames): Phrase {
  const { scale, contrast, reading } = fair.lead
  const at = `${lead}.contrast`
  if (!isNumber(contrast.estimate)) {
    const reason =
      contrast.estimate.state === 'not-estimable'
        ? phrase`: ${speaker().phrase(reasonOf(contrast.estimate))}`
        : []
    return phrase`How ${names.group} compares with ${names.against} cannot be estimated${reason}.`
  }
  if (reading === 'none') {
    return phrase`${observed(cite, fair, names)}; no interval can be given, so nothing follows from it.`
  }
  const margin = marginOf(cite, fair)
  const claim = claims[reading](margin, names)
  if (scale.endsWith('ratio')) {
    return phrase`${observed(cite, fair, names)} (${intervalName(cite)} ${cite.interval(at, 'ratio')}). ${claim}`
  }
  return phrase`${observed(cite, fair, names)} (${intervalName(cite)} ${limitInWords(cite, fair, 'lower')} to ${limitInWords(cite, fair, 'upper')}). ${claim}`
}

/** "Tightening repeated … was associated with a risk by 3 years 4.0 percentage points lower than a single tightening". */
function observed(cite: Citations, fair: FairComparison, { group, against }: LeadNames): Phrase {
  const { scale, contrast } = fair.lead
  const path = `${lead}.contrast.estimate`
  if (scale.endsWith('ratio')) {
    return phrase`The ${lowerFirst(scaleNames[scale])} of ${group} against ${against} was ${cite.number(path, 'ratio')}`
  }
  const by = phrase`by ${horizonYears(cite, `${lead}.horizonYears`)}`
  const what = scale === 'risk-difference' ? 'a risk' : meanName(scale)
  if (contrast.estimate === 0) {
    return phrase`${upperFirst(what.replace(/^a /, 'the '))} ${by} came out equal with ${group} and with ${against}`
  }
  return phrase`${capitalised(group)} was associated with ${what} ${by} that was ${sizeInWords(cite, path, scale)} than with ${against}`
}

function meanName(scale: EstimandScale): string {
  return scale === 'time-lost-difference' ? 'a mean time lost to the event' : 'a mean time free of the event'
}

function sizeInWords(cite: Citations, path: string, scale: EstimandScale): Phrase {
  const value = cite.read(path) as number
  const [format, unit, less, more]: readonly [FormatName, string, string, string] =
    scale === 'risk-difference'
      ? ['points-size', 'percentage points', 'lower', 'higher']
      : ['days-size', 'days', 'shorter', 'longer']
  const size = cite.number(path, format)
  if (value === 0) return phrase`${size} ${unit} either way`
  return phrase`${size} ${unit} ${strong([value < 0 ? less : more])}`
}

function limitInWords(cite: Citations, fair: FairComparison, end: 'lower' | 'upper'): Phrase {
  const path = `${lead}.contrast.interval.${end}`
  const { scale } = fair.lead
  if (!isNumber(cite.read(path))) return [cite.quantity(path, formatOfScale(scale))]
  const value = cite.read(path) as number
  const points = scale === 'risk-difference'
  const size = cite.number(path, points ? 'points-size' : 'days-size')
  if (value === 0) return [size]
  const side = points ? (value < 0 ? 'lower' : 'higher') : value < 0 ? 'shorter' : 'longer'
  return phrase`${size} ${side}`
}

/** The smallest difference that matters, where the plan named one on the scale of the lead. */
export function marginOf(cite: Citations, fair: FairComparison): Phrase | undefined {
  const { scale } = fair.lead
  const { contrast } = fair.plan.primary
  const path = `${lead}.smallestDifference`
  if (scale === 'risk-difference' && contrast === 'risk-difference') {
    return phrase`${cite.number(path, 'points-size')} percentage points`
  }
  if (scale === 'hazard-ratio' && contrast === 'hazard-ratio') {
    return phrase`a ratio of ${cite.number(path, 'ratio')} or its inverse`
  }
  const mean = scale === 'restricted-mean-difference' || scale === 'time-lost-difference'
  if (mean && contrast === 'restricted-mean-difference') return phrase`${cite.number(path, 'days-size')} days`
  return undefined
}

type ClaimOf = (margin: Phrase | undefined, names: LeadNames) => Phrase

/** What each reading lets be said, against the smallest difference that matters where there is one. */
const claims: Readonly<Record<Exclude<Reading, 'none'>, ClaimOf>> = {
  'fewer-that-matters': (margin) =>
    phrase`The whole interval lies beyond ${margin ?? []}, the smallest difference that matters by the plan.`,
  'more-that-matters': (margin) =>
    phrase`The whole interval lies beyond ${margin ?? []}, the smallest difference that matters by the plan.`,
  fewer: (margin) => oneSide('fewer', margin),
  more: (margin) => oneSide('more', margin),
  'fewer-but-little': (margin) =>
    phrase`The whole interval lies on the side of fewer events, and short of ${margin ?? []}, the smallest difference that matters by the plan.`,
  'more-but-little': (margin) =>
    phrase`The whole interval lies on the side of more events, and short of ${margin ?? []}, the smallest difference that matters by the plan.`,
  'fewer-possible': (margin, { group }) =>
    phrase`The direction stays open. A difference that matters (${margin ?? []}) remains possible in favour of ${group}; one against it lies outside the interval.`,
  'more-possible': (margin, { group }) =>
    phrase`The direction stays open. A difference that matters (${margin ?? []}) remains possible against ${group}; one in its favour lies outside the interval.`,
  'little-either-way': (margin) =>
    phrase`The interval leaves no room for ${margin ?? []}, the smallest difference that matters by the plan, in either direction.`,
  open: (margin) =>
    margin === undefined
      ? phrase`The interval holds both directions: the data leave the question open.`
      : phrase`A difference that matters (${margin}) remains possible in both directions: the data leave the question open.`,
}

function oneSide(side: 'fewer' | 'more', margin: Phrase | undefined): Phrase {
  const whole = phrase`The whole interval lies on the side of ${side} events.`
  if (margin === undefined) return whole
  return phrase`${whole} Whether the difference reaches ${margin}, the smallest that matters by the plan, stays open.`
}

/** Which variant leads, in whom its effect is, what it allows for, and why it is that one. */
export function leadReasonSentence(fair: FairComparison): Phrase {
  const { lead: leading, variants } = fair
  if (leading.kind === 'cannot-be-known' || leading.kind === 'not-comparable') return []
  const variant = variants.find(({ key }) => key === leading.variant)!
  const allowed =
    variant.adjustedFor.length === 0
      ? phrase` It allows for follow-up, competing events and several restorations in one patient, for nothing else.`
      : phrase` It allows for ${foreign(printable(listInWords(variant.adjustedFor)))}, besides follow-up, competing events and several restorations in one patient.`
  const whom =
    leading.population === 'overlap'
      ? ' The effect is the one in restorations that might have been handled either way.'
      : leading.population === 'average'
        ? ' The effect is the average one over all restorations compared.'
        : ''
  const reasons = listInWords(leading.reasons.map((reason) => leadReasonWords[reason]))
  return phrase`What leads is the estimate named “${variantName(variant.key)}”: ${reasons}.${whom}${allowed}`
}

/** A number needed with what its interval allows: "25 to one fewer event (from 11 … through ∞ to 80 …)". */
export function numberNeededPhrase(cite: Citations, path: string, needed: NumberNeeded): Phrase {
  const { direction, range } = needed
  const number =
    direction === 'none' || !isNumber(needed.number)
      ? phrase`no number, since the risks came out equal`
      : phrase`${cite.number(`${path}.number`, 'count')} ${sideOfNumber(direction)}`
  if (range.kind === 'none') return phrase`${number}; no interval`
  const end = (name: string): Phrase =>
    isNumber(cite.read(`${path}.range.${name}`)) ? [cite.number(`${path}.range.${name}`, 'count')] : ['∞']
  if (range.kind === 'one-way') {
    return phrase`${number} (${end('from')} to ${end('to')} ${sideOfNumber(range.direction)})`
  }
  return phrase`${number} (from ${end('leastToBenefit')} to one fewer event through ∞ to ${end('leastToHarm')} to one more)`
}

function sideOfNumber(direction: 'benefit' | 'harm'): string {
  return direction === 'benefit' ? 'to one fewer event' : 'to one more event'
}
