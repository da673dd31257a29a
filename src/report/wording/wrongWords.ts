import type { FairComparison } from '../../analysis/fairComparison.js'
import { variantName } from '../../charts/variantWords.js'
import { lowerFirst } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { type Phrase, phrase } from '../document.js'
import { horizonYears, intervalName } from './incidenceWords.js'
import { endpointWords, groupInSentence } from './terms.js'

const at = 'fair.wrong'

/** Opens the section: why it is there, and how its table is to be read. */
export const wrongOpening =
  'Each row of the tables of variants answers one objection with the estimator that leads, or says that it is crude. Rows that stay ' +
  'near the lead weaken the objection; none of them can rule out what was never recorded.'

/** Everything that could be wrong, one sentence or two each, as far as the analysis tried it. */
export function wrongItems(fair: FairComparison, cite: Citations): readonly Phrase[] {
  return [
    visitsItem(cite, fair),
    schedulesItem(fair, cite),
    followUpItem(fair, cite),
    ...unknownItem(fair, cite),
    ...lostItem(fair, cite),
    ...laterItem(fair, cite),
    ...hazardsItem(fair, cite),
    ...permutationItem(fair, cite),
    ...controlItem(fair, cite),
    ...unmeasuredItem(fair, cite),
    ...immortalItem(fair, cite),
  ]
}

function visitsItem(cite: Citations, { shiftBetweenLooks, wrong }: FairComparison): Phrase {
  const gap = isNumber(wrong.betweenLooks.medianGapDays.against)
    ? phrase` The look before had been ${cite.quantity(`${at}.betweenLooks.medianGapDays.group`, 'count')} days earlier in the group and ${cite.quantity(`${at}.betweenLooks.medianGapDays.against`, 'count')} in the comparator (medians).`
    : []
  const moved = isNumber(shiftBetweenLooks)
    ? phrase` Placing loosening between looks moves the difference by ${cite.number('fair.shiftBetweenLooks', 'points')} percentage points.`
    : phrase` How far placing it between looks would move the difference cannot be estimated.`
  return phrase`Loosening is found at visits, and came at some time before.${gap}${moved}`
}

function schedulesItem({ wrong, group, against }: FairComparison, cite: Citations): Phrase {
  const rates = phrase`Checks by schedule came ${cite.quantity(`${at}.schedules.looksPerYear.group`, 'rate')} times a year with ${groupInSentence(group, cite)} and ${cite.quantity(`${at}.schedules.looksPerYear.against`, 'rate')} times with ${groupInSentence(against, cite)}`
  return wrong.schedules.differ
    ? phrase`${rates}: the schedules differ, so that loosening had more chances to be found early in one group.`
    : phrase`${rates}.`
}

function followUpItem({ group, against }: FairComparison, cite: Citations): Phrase {
  return phrase`Median follow-up was ${cite.quantity(`${at}.medianFollowUpYears.group`, 'years')} years with ${groupInSentence(group, cite)} and ${cite.quantity(`${at}.medianFollowUpYears.against`, 'years')} with ${groupInSentence(against, cite)}; risks at a horizon allow for that, shares do not.`
}

function unknownItem({ wrong }: FairComparison, cite: Citations): readonly Phrase[] {
  if (wrong.unknownExposure === 0) return []
  return [
    phrase`The handling of ${cite.number(`${at}.unknownExposure`, 'count')} restorations is not known. They stand in the account, and two variants count them once with each side.`,
  ]
}

function lostItem({ wrong }: FairComparison, cite: Citations): readonly Phrase[] {
  const { lost } = wrong
  if (lost === undefined || lost.scenarios === undefined) return []
  const path = `${at}.lost`
  const seen = phrase`Of those who could have been seen at ${horizonYears(cite, `${path}.horizonYears`)}, ${cite.number(`${path}.group.lost`, 'count')} in the group and ${cite.number(`${path}.against.lost`, 'count')} in the comparator were lost before.`
  const tipping = lost.tipping!.conclusion
  if (tipping === 'undecided') {
    return [phrase`${seen} Those known alone decide nothing that the lost could turn round.`]
  }
  const ratio = lost.tipping!.tippingRatio
  if (!isNumber(ratio))
    return [phrase`${seen} No ratio of risks in the lost would turn the conclusion round.`]
  return [
    phrase`${seen} The conclusion of those known would no longer stand if the risk among the lost of the group were ${cite.number(`${path}.tipping.tippingRatio`, 'ratio')} times that of those known.`,
  ]
}

function laterItem({ wrong }: FairComparison, cite: Citations): readonly Phrase[] {
  if (wrong.later === undefined) return []
  const path = `${at}.later`
  const ratio = isNumber(wrong.later.hazardRatio.estimate)
    ? phrase` The hazard after it, against before, was ${cite.number(`${path}.hazardRatio.estimate`, 'ratio')} times as high (${intervalName(cite)} ${cite.interval(`${path}.hazardRatio`, 'ratio')}); part of a low ratio is only that such screws had just been found tight.`
    : []
  return [
    phrase`${cite.number(`${path}.restorations`, 'count')} restorations were tightened again at a recall check. That is an exposure from its own day on and makes nobody a member of a group.${ratio}`,
  ]
}

function hazardsItem({ proportionalHazards }: FairComparison, cite: Citations): readonly Phrase[] {
  if (proportionalHazards === undefined || !isNumber(proportionalHazards.pValue)) return []
  return [
    phrase`Whether the hazard ratio stays the same over time was tested: P ${equals(cite, 'fair.proportionalHazards.pValue')}. A hazard ratio leads only where P is 0.05 or above.`,
  ]
}

function permutationItem({ permutation }: FairComparison, cite: Citations): readonly Phrase[] {
  if (permutation === undefined || !isNumber(permutation.pValue)) return []
  return [
    phrase`With so few events, handling was also exchanged at random between whole patients of one clinic and year: P ${equals(cite, 'fair.permutation.pValue')}.`,
  ]
}

function equals(cite: Citations, path: string): Phrase {
  const number = cite.number(path, 'p-value')
  return number.text.startsWith('<') ? [number] : phrase`= ${number}`
}

function controlItem(fair: FairComparison, cite: Citations): readonly Phrase[] {
  const { negativeControl } = fair
  if (negativeControl === undefined) return []
  const name = endpointWords[negativeControl.endpoint].name
  return [
    phrase`As a control, ${name} was compared in the same way (${cite.number('fair.negativeControl.events', 'count')} events): tightening should hardly change it, so that a difference there would point to other ways in which the groups differ. It is an imperfect control, since what moves one event need not move the other.`,
  ]
}

function unmeasuredItem({ wrong }: FairComparison, cite: Citations): readonly Phrase[] {
  const { unmeasured } = wrong
  if (unmeasured === undefined) return []
  const limit = isNumber(unmeasured.eValueOfLimit)
    ? phrase`, and ${cite.number(`${at}.unmeasured.eValueOfLimit`, 'ratio')} for the limit of its interval nearer to 1`
    : []
  return [
    phrase`Something unrecorded would have to go with both the handling and the loosening by a risk ratio of ${cite.number(`${at}.unmeasured.eValue`, 'ratio')} each to explain the hazard ratio (${lowerFirst(variantName(unmeasured.variant))}) away${limit} (E-value).`,
  ]
}

function immortalItem({ variants }: FairComparison, cite: Citations): readonly Phrase[] {
  const wrongAt = variants.findIndex(({ key }) => key === 'immortal-time-wrong')
  const rightAt = variants.findIndex(({ key }) => key === 'immortal-time-right')
  if (wrongAt < 0 || rightAt < 0) return []
  const ratio = (index: number): Phrase => [
    cite.quantity(`fair.variants.${index}.contrast.estimate`, 'ratio'),
  ]
  return [
    phrase`On request, a wrong analysis stands beside the right one: counting whoever was tightened again at any time in that group from delivery on gives a hazard ratio of ${ratio(wrongAt)}; counting them from the day of that tightening gives ${ratio(rightAt)}. The first hands the group time in which a restoration had to stay tight to be tightened at all.`,
  ]
}
