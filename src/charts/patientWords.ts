import { formatCount } from '../core/format.js'
import { yearsInWords } from './words.js'

/** Kinds of mark in the order in which they fill the array. */
export type ArrayMark = 'event' | 'possible' | 'free'

/** How many of 100 marks stand for what. */
export interface MarksOfHundred {
  /** Marks of restorations with the event. */
  readonly estimate: number
  /** Marks more that the upper limit would add. */
  readonly possible: number
}

/** Heading of the array of 100 marks. */
export function arrayHeading(endpoint: string, years: number | undefined): string {
  return `Out of 100 restorations: how many had ${endpoint}${when(years)}`
}

function when(years: number | undefined): string {
  return years === undefined ? ' while they were followed' : ` within ${yearsInWords(years)}`
}

/** Legend of the marks that occur. */
export function arrayLegend({
  estimate,
  possible,
}: MarksOfHundred): readonly { readonly kind: ArrayMark; readonly text: string }[] {
  const free = 100 - estimate - possible
  const lines: readonly { readonly kind: ArrayMark; readonly text: string; readonly many: number }[] = [
    { kind: 'event', text: `about ${formatCount(estimate)} had it`, many: estimate },
    { kind: 'possible', text: `${formatCount(possible)} more would still fit our records`, many: possible },
    { kind: 'free', text: `${formatCount(free)} others`, many: free },
  ]
  return lines.filter(({ many }) => many > 0)
}

/** Says that there is nothing to draw. */
export const arrayNotDrawn = 'The records do not let this be estimated: nothing is drawn.'

/** Text alternative of the array. */
export function arrayInWords(
  marks: MarksOfHundred | undefined,
  endpoint: string,
  years: number | undefined,
): string {
  const what = `${arrayHeading(endpoint, years)}.`
  if (marks === undefined) return `${what} ${arrayNotDrawn}`
  return `${what} An array of 100 marks: ${arrayLegend(marks)
    .map(({ text }) => text)
    .join('; ')}.`
}
