import { type Message, message } from '../messages/message.js'

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
export function arrayHeading({
  endpoint,
  years,
  things = 'other',
}: {
  readonly endpoint: string
  readonly years?: number
  readonly things?: 'crowns' | 'other'
}): Message {
  return years === undefined
    ? message('chart.array-heading-followed', { endpoint, things })
    : message('chart.array-heading', {
        endpoint,
        things,
        years: message('comparison.years', { years, text: String(years) }),
      })
}

/** Legend of the marks that occur. */
export function arrayLegend({
  estimate,
  possible,
}: MarksOfHundred): readonly { readonly kind: ArrayMark; readonly text: Message }[] {
  const free = 100 - estimate - possible
  const lines = [
    { kind: 'event', text: message('chart.array-event', { marks: estimate }), many: estimate },
    { kind: 'possible', text: message('chart.array-possible', { marks: possible }), many: possible },
    { kind: 'free', text: message('chart.array-free', { marks: free }), many: free },
  ] as const
  return lines.filter(({ many }) => many > 0)
}
