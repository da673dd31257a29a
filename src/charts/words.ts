import type { CohortSummary } from '../cohort/attrition.js'
import { formatCount } from '../core/format.js'
import { printable } from '../messages/phrase.js'

export { printable }

/** The words that stand inside figures. Sentences of the report are in report/wording.ts. */
export const chartWords = Object.freeze({
  yearsSinceDelivery: 'Years since delivery',
  atRisk: 'At risk',
  nothingDrawn: 'Nothing to draw.',
  noCurve: 'Too few at risk from the start: no curve is drawn.',
  competing: 'Competing events (all)',
  notEstimable: 'not estimable',
  tooFew: 'too few at risk to draw',
  rowsRead: 'Restorations read',
  included: 'Restorations in the cohort',
  leftOut: 'Left out',
  byGroup: 'Handling on the delivery day',
  share: 'Share of rows with a known value',
})

const shortGroupNames: Readonly<Record<string, string>> = Object.freeze({
  all: 'All',
  single: 'Single',
  'repeated in the window': 'Repeated in window',
  'repeated outside the window': 'Repeated outside window',
  'repeated, wait not recorded': 'Repeated, wait unknown',
  'single, by the chart': 'Single, by the chart',
  'undone and tightened again': 'Undone, tightened again',
  other: 'Other handling',
  unknown: 'Not known',
})

/** Name of a group in a figure; a name of the user's own stands as it is. */
export function groupName(group: string): string {
  return Object.hasOwn(shortGroupNames, group) ? shortGroupNames[group]! : printable(group)
}

/** "Curves end where fewer than 10 are at risk", as a note under a figure. */
export function cutNote(leastAtRisk: number): string {
  return `A short bar ends a curve where fewer than ${leastAtRisk} are at risk.`
}

/** Heading of the cumulative incidence chart. */
export function incidenceHeading(endpoint: string): string {
  return `Cumulative incidence of ${endpoint}`
}

/** What happens, taken from what a curve shows: "free of screw fracture" shows screw fracture. */
export function endpointOfTitle(title: string): string {
  return title.startsWith('free of ') ? title.slice('free of '.length) : 'the event'
}

/** Which interval the bands show. */
export function bandNote(level: string): string {
  return `Bands: ${level} intervals.`
}

/** Says that an axis does not start at zero. */
export function axisNote(start: string): string {
  return `The vertical axis starts at ${start}, not at 0.`
}

/** Names groups too small to draw. */
export function notDrawnNote(groups: readonly string[], leastAtRisk: number): string {
  return `Not drawn, since fewer than ${leastAtRisk} are at risk from the start: ${groups.join('; ')}.`
}

/** Marks an estimate with few at risk. */
export function thinNote(leastAtRisk: number | undefined): string {
  const few = leastAtRisk === undefined ? 'few' : `fewer than ${leastAtRisk}`
  return `Open mark: ${few} at risk in one of the groups.`
}

/** Limits that run out of the picture. */
export const arrowNote = 'An arrow shows that a limit lies outside the figure.'

/** "1 year", "3 years". */
export function yearsInWords(years: number): string {
  return years === 1 ? '1 year' : `${years} years`
}

/** A level such as 0.95 as "95%". */
export function levelInWords(level: number): string {
  return `${Number((level * 100).toFixed(4))}%`
}

/** What a reader is told who points at a mark: its name, and below it what it shows. */
export function markReading(name: string, ...shown: readonly string[]): string {
  return [name, ...shown].join('\n')
}

/** A place on a curve: "Single, 2.3 years". */
export function curvePlace(name: string, years: string): string {
  return `${name}, ${years} years`
}

/** "91.2% (88.1% to 93.6%)", or the value alone where there is no interval. */
export function withInterval(value: string, interval: string): string {
  return interval === '' ? value : `${value} (${interval})`
}

/** "At risk: 245". */
export function atRiskReading(count: number): string {
  return `${chartWords.atRisk}: ${formatCount(count)}`
}

/** Side of a difference or ratio: "lower with single". */
export function directionInWords(side: 'lower' | 'higher', group: string): string {
  const arrow = side === 'lower' ? '← ' : ''
  return `${arrow}${side} with ${lowerFirst(groupName(group))}${side === 'higher' ? ' →' : ''}`
}

/** First letter small, unless the word is written in capitals. */
export function lowerFirst(text: string): string {
  return /^[A-Z][a-z]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text
}

/** First letter large. */
export function upperFirst(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}

/** Heading of the chart of hazard ratios. */
export function hazardRatioHeading(group: string, against: string): string {
  return `Hazard ratio, ${lowerFirst(group)} against ${lowerFirst(against)}`
}

/** Title of an axis of risk differences. */
export const pointsTitle = 'Percentage points'

/** Title of an axis of ratios. */
export const ratioTitle = 'Hazard ratio (logarithmic scale)'

/** Name of a variant of the hazard ratio, with what it allows for. */
export function variantLabel(key: string, allowsFor: string): string {
  return `${upperFirst(printable(key))} (allows ${allowedInWords(allowsFor)})`
}

/** "for x", or "also for x" where a result says "also x", more than the variant before it. */
export function allowedInWords(allowsFor: string): string {
  const more = printable(allowsFor).replace(/^also (for )?/, '')
  return `${allowsFor.startsWith('also ') ? 'also for' : 'for'} ${more}`
}

/** "1,201 restorations in 745 patients". */
function restorationsIn(restorations: number, patients: number): string {
  return `${countedNoun(restorations, 'restoration')} in ${countedNoun(patients, 'patient')}`
}

/** Second line of the box of the cohort. */
export function cohortLine(patients: number): string {
  return `in ${countedNoun(patients, 'patient')}, each checked at least once`
}

/** A count with its noun in the right number. */
export function countedNoun(count: number, singular: string, plural = `${singular}s`): string {
  return `${formatCount(count)} ${count === 1 ? singular : plural}`
}

/** Text alternative of the attrition diagram. */
export function attritionInWords(summary: CohortSummary): string {
  const { attrition } = summary
  const steps = attrition.steps
    .filter((step) => step.leftOut > 0)
    .map((step) => `${formatCount(step.leftOut)} ${step.reason}`)
  const left = steps.length === 0 ? 'none left out' : `left out: ${steps.join('; ')}`
  return (
    `From ${formatCount(attrition.rowsRead)} rows read to the cohort: ${left}. ` +
    `In the cohort: ${restorationsIn(attrition.included, summary.patients)}, each checked at least once.`
  )
}

/** Heading of the completeness chart. */
export function completenessHeading(complete: number, fields: number): string {
  if (complete === fields) return `All ${fields} fields are known in every row`
  return `Fields not known in every row (${complete} of ${fields} fields are)`
}

/** Heading of the chart of what else matters. */
export function factorHeading(endpoint: string): string {
  return `What goes with ${endpoint.replaceAll('_', ' ')}, all else held alike`
}

/** Directions of the chart of what else matters. */
export const factorDirections = Object.freeze({ below: '← less often', above: 'more often →' })
