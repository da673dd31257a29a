import type { AssumptionKey, ComparisonVariant, EstimandScale } from '../analysis/fairComparison.js'
import { printable, upperFirst, yearsInWords } from './words.js'

/** Names of the variants that are not made of parts. */
const names: Readonly<Record<string, string>> = Object.freeze({
  'risk-difference-crude': 'Crude',
  'hazard-ratio-crude': 'Crude',
  'restricted-mean-crude': 'Crude',
  'rate-ratio-crude': 'Ratio of rates, crude',
  'subdistribution-hazard-ratio-crude': 'Subdistribution (Fine and Gray), crude',
  'hazard-ratio-by-clinic': 'Stratified by clinic',
  'hazard-ratio-by-operator': 'Stratified by clinic and operator',
  'hazard-ratio-adjusted': 'Adjusted',
  'hazard-ratio-clustered-by-operator': 'Adjusted, clustered by operator',
  'hazard-ratio-penalised': 'Adjusted, penalised for few events (Firth)',
  'hazard-ratio-frailty': 'Adjusted, between two of one patient (frailty)',
  'last-contact': 'Followed to the last contact of any kind',
  'equal-follow-up': 'Both groups followed for the same time',
  'unknown-as-comparator': 'Unknown handling counted with the comparator',
  'unknown-as-group': 'Unknown handling counted with the group',
  'reported-groups-left-out': 'Handling known from the chart alone left out',
  'first-years-left-out': "Each operator's first year with the group left out",
  'censoring-weights': 'Losses weighted by what came before',
  'endpoint-or-competing-event': 'Endpoint or competing event, crude',
  'misclassification-missed-alike': 'If 15% of loosenings were missed in both groups',
  'misclassification-false-alike': 'If 0.5% were called loose wrongly in both groups',
  'misclassification-missed-more-in-group': 'If more were missed in the group (25%, 10%)',
  'misclassification-missed-more-in-comparator': 'If more were missed in the comparator (25%, 10%)',
  'later-tightening-allowed-for': 'Later tightening at recall allowed for',
  'period-categories': 'Each year of delivery in place of a trend',
  'multiple-imputation': 'Missing values filled in twenty times',
  'immortal-time-wrong': 'Wrong on purpose: tightened at any time, counted from delivery',
  'immortal-time-right': 'Tightened at any time, counted from that day',
})

const populations: Readonly<Record<string, string>> = Object.freeze({
  average: 'in all',
  overlap: 'in those who might have had either',
})

/** Name of a variant in figures and tables. */
export function variantName(key: string): string {
  if (Object.hasOwn(names, key)) return names[key]!
  const made =
    /^(?:risk-difference|hazard-ratio|restricted-mean)-(doubly-robust|weighted)-(average|overlap)$/.exec(key)
  if (made !== null) return `${upperFirst(made[1]!.replace('-', ' '))}, ${populations[made[2]!]}`
  const control = /^negative-control-(.+)$/.exec(key)
  if (control !== null) return `Control endpoint: ${variantName(control[1]!).toLowerCase()}`
  return printable(key)
}

/** Name of a variant with its horizon where it is another than that of the lead. */
export function variantNameAt({ key, horizonYears }: ComparisonVariant, leadYears: number): string {
  const name = variantName(key)
  if (horizonYears === undefined || Math.abs(horizonYears - leadYears) < 1e-9) return name
  return `${name} (${yearsInWords(Number(horizonYears.toFixed(1)))})`
}

/** What a scale is called, with its unit. */
export const scaleNames: Readonly<Record<EstimandScale, string>> = Object.freeze({
  'risk-difference': 'Difference in risk, percentage points',
  'hazard-ratio': 'Hazard ratio',
  'subdistribution-hazard-ratio': 'Subdistribution hazard ratio',
  'restricted-mean-difference': 'Difference in mean time free of the event, days',
  'time-lost-difference': 'Difference in mean time lost to the event, days',
  'rate-ratio': 'Ratio of rates',
})

/** What an estimate takes for granted. */
export const assumptionWords: Readonly<Record<AssumptionKey, string>> = Object.freeze({
  'groups-alike': 'the groups were alike in all that matters',
  'alike-given-adjustment': 'the groups were alike once what is listed is allowed for',
  'proportional-hazards': 'the ratio of hazards stays the same over time',
  'constant-rate': 'the rate stays the same over time',
  'losses-alike': 'those lost would have fared like those followed',
  'losses-alike-given-adjustment':
    'those lost would have fared like those followed with the same listed traits',
  'found-when-it-came': 'loosening came on the day on which it was found',
  'weibull-between-looks': 'loosening came between two looks, at a time of a Weibull distribution',
  'visits-by-schedule': 'visits came whether or not the screw was loose',
  'model-of-choice': 'the choice of handling is modelled rightly',
  'model-of-choice-or-outcome': 'the choice of handling or the outcome is modelled rightly',
  'frailty-shared': 'restorations of one patient share an unseen factor',
  'operators-independent': 'what one operator does tells nothing of another',
  'exchange-within-strata': 'handling could have been exchanged within clinic and year',
  'exposure-known': 'unknown handling was as taken here',
  'deliberately-wrong': 'time in which nothing could happen is given to the group',
})

/** Words inside the figures on who was compared. */
export const comparedWords = Object.freeze({
  balanceHeading: 'How alike the groups are in what came before',
  balanceAxis: 'Standardised difference, absolute size',
  before: 'before weighting (open circle)',
  after: 'after weighting (square)',
  threshold: 'The line at 0.1 marks what counts as out of balance.',
  largerThanShown: 'An arrow shows a difference that is larger than the axis.',
  notComparable: 'not comparable: each group is all alike, and they differ',
  overlapHeading: 'Where and when each way of tightening was used',
  sharedCell: 'Shaded: both were used by one operator in one year.',
  noYear: 'year not known',
  tooManyOperators: 'Operators are put together by clinic, since there are many.',
  upperBar: 'upper bar',
  lowerBar: 'lower bar',
  leads: 'Leads',
})

/** Heading of the plot of all variants on one scale. */
export function specificationHeading(
  kind: 'difference' | 'ratio',
  years: number,
  group: string,
  against: string,
): string {
  const what =
    kind === 'difference' ? `Difference in risk by ${yearsInWords(years)}` : 'Ratio of hazards or rates'
  return `${what}, ${group} against ${against}, by every way of comparing them`
}

/** Title of an axis of ratios of several kinds. */
export const anyRatioTitle = 'Ratio (logarithmic scale)'

/** How long a bar is. */
export function barNote(most: number): string {
  return `The longest bar is ${most} ${most === 1 ? 'restoration' : 'restorations'}.`
}
