import { message, type Part } from '../messages/message.js'
import { groupLabel, groupNameBy, type NamedGroup, type WaitWindow } from '../messages/names.js'
import type { Words } from '../messages/phrase.js'
import { printable } from '../messages/phrase.js'
import { type Speaker, speaker } from '../messages/speaker.js'
import type { FigureOptions } from './theme.js'

export { printable }

/** Name of a group in a figure, by what the groups were formed by; default how the screw was tightened. */
export function groupName(group: string | NamedGroup, by: ChartSpeaker, field?: string): string {
  return by.text(
    typeof group === 'string' ? groupLabel(group, by.window) : groupNameBy(group, field, by.window),
  )
}

/** A speaker that knows the window by which groups are named in full. */
export interface ChartSpeaker extends Speaker {
  readonly window?: WaitWindow
}

/** The speaker of a figure: its language, and the names that groups have in the tables beside it. */
export function chartSpeaker({ language, window }: Pick<FigureOptions, 'language' | 'window'>): ChartSpeaker {
  return window === undefined ? speaker(language) : { ...speaker(language), window }
}

/** "1 year", "3 years", "0.5 years". */
export function yearsInWords(years: number, by: Speaker): string {
  return by.text(message('label.years', { years }))
}

/** What a reader is told who points at a mark: its name, and below it what it shows. */
export function markReading(name: string, ...shown: readonly string[]): string {
  return [name, ...shown].join('\n')
}

/** "91.2% (88.1% to 93.6%)", or the value alone where there is no interval. */
export function withInterval(value: string, interval: string): string {
  return interval === '' ? value : `${value} (${interval})`
}

/** Side of a difference or ratio: "← lower with single", "higher with single →". */
export function directionInWords(side: 'lower' | 'higher', group: string, by: ChartSpeaker): string {
  return by.text(
    message('chart.direction', {
      side: side === 'lower' ? 'lower' : 'other',
      group: lowerFirst(groupName(group, by), by),
    }),
  )
}

/** First letter small where the language writes nouns so, unless the word is written in capitals. */
export function lowerFirst(text: string, by: Speaker): string {
  if (by.language === 'de' || !/^\p{Lu}\p{Ll}/u.test(text)) return text
  return text.charAt(0).toLowerCase() + text.slice(1)
}

/** First letter large. */
export function upperFirst(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}

/** A heading with what it shows row by row, as text alternative. */
export function describedRows(heading: Part, level: number, rows: Words, by: Speaker): string {
  return by.text(
    message('chart.description', { heading, level: by.number(level, 'level'), rows: rows as Part }),
  )
}
