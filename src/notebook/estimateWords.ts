import { upperFirst } from '../charts/words.js'
import type { Contrast, Estimate, Quantity, TestResult } from '../core/estimate.js'
import { formatCount, formatPValue } from '../core/format.js'
import { formatInterval } from '../messages/intervals.js'
import { message, type Words } from '../messages/message.js'
import { methodWords } from '../messages/methodWords.js'
import { groupNameBy, levelName, type NamedGroup } from '../messages/names.js'
import { foreign } from '../messages/phrase.js'
import { reasonOf, speaker, stateOf, warningOf } from '../messages/speaker.js'

/**
 * An estimate as a sentence: the number as it is (an estimate does not carry its unit), its interval, what it rests
 * on, and every warning.
 */
export function estimateSentence(one: Estimate): string {
  const against = 'comparator' in one ? (one as Contrast).comparator : undefined
  const subject =
    against === undefined
      ? message('shown.column.estimate')
      : message('shown.against', { group: foreign(against.group), against: foreign(against.against) })
  const interval =
    typeof one.estimate === 'object' && 'reason' in one.estimate
      ? message('shown.reason-behind', { reason: reasonOf(one.estimate) })
      : message('shown.interval-behind', {
          level: one.level,
          interval: formatInterval(one.interval, figure),
        })
  const clusters = one.clusters === one.n ? '' : say(message('shown.in-clusters', { clusters: one.clusters }))
  return [
    say(
      message('shown.estimate', {
        subject,
        estimate: quantityText(one.estimate, figure),
        interval,
        events: counted(one.events, 'event'),
        rows: one.n,
        clusters,
        method: methodWords(one.method),
      }),
    ),
    ...one.warnings.map((warning) => say(warningOf(warning))),
  ].join(' ')
}

/** A test as a sentence. */
export function testSentence(one: TestResult): string {
  const p = quantityText(one.pValue, (value) =>
    value < 0.0001 ? formatPValue(value) : `= ${formatPValue(value)}`,
  )
  return [
    say(message('shown.test', { p, method: methodWords(one.method) })),
    ...one.warnings.map((warning) => say(warningOf(warning))),
  ].join(' ')
}

/** Words as cells say them, in English so far. */
export function say(words: Words): string {
  return speaker().text(words)
}

/** A quantity by a formatter, or its state in words. */
export function quantityText(quantity: Quantity, formatter: (value: number) => string): string {
  return typeof quantity === 'number' ? formatter(quantity) : say(stateOf(quantity))
}

/** A number of unknown unit with four significant digits. */
export function figure(value: number): string {
  return Math.abs(value) >= 1e4 ? formatCount(value) : String(Number(value.toPrecision(4)))
}

/** The name of a group as people read it, by what the groups were formed by; default how the screw was tightened. */
export function groupWords(group: NamedGroup, field?: string): string {
  const named =
    field === undefined || group.group === 'all'
      ? levelName('tightening', group.group)
      : groupNameBy(group, field)
  const words = say(named)
  return field === undefined || group.group === 'all' ? upperFirst(words) : words
}

/** "1 row", "2 rows". */
export function counted(
  n: number,
  what: 'column' | 'event' | 'patient' | 'practice' | 'restoration' | 'row',
): string {
  return say(message('shown.counted', { n, what }))
}
