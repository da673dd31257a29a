import type { CohortDefinition } from '../../cohort/definition.js'
import { type Message, message, type Part } from '../../messages/message.js'
import type { MessageParameters } from '../../messages/parameters.js'
import { foreign } from '../../messages/phrase.js'
import { covariateNames } from '../../vocabulary/fields.js'
import { groupInSentence } from '../groups.js'
import { number, type Path, valueAt } from '../place.js'
import type { Ranged } from './estimate.js'

type Named<Code extends keyof MessageParameters, Name extends string> = MessageParameters[Code] extends {
  readonly [Key in Name]: infer Value
}
  ? Value
  : never

/** Name of a group in a sentence; a value of the records stands as it is. */
export function groupName(group: string, by: string, definition: CohortDefinition): Part {
  return by === 'measured' || by === 'chart' ? groupInSentence(group, definition) : foreign(group)
}

/** Name of what happened in a sentence. */
export function endpointName(endpoint: CohortDefinition['endpoint']): Message {
  return message('comparison.endpoint', { endpoint })
}

/** Name of something that is allowed for; a column of the user's own stands as it is. */
export function confounderName(key: string): Part {
  if (!(covariateNames as readonly string[]).includes(key)) return foreign(key)
  return message('comparison.name', { key: key as Named<'comparison.name', 'key'> })
}

/** "1 year", "3 years", "0.5 years" in captions and heads, where nothing is cited. */
export function yearsText(years: number): Message {
  return message('comparison.years', { years, text: String(years) })
}

/** "half a year", "1 year", "3 years" in a sentence, with its place in the results. */
export function yearsAt(place: Path<number>): Message {
  return message('how-often.years', {
    half: valueAt(place) === 0.5 ? 'yes' : 'other',
    years: number(place, 'whole'),
  })
}

/** "(95% interval −4.0 to 1.2)". */
export function rangeInBrackets(
  at: Path<Pick<Ranged, 'lower' | 'upper'>>,
  level: Path<number>,
  format: 'points' | 'percent' | 'correlation' = 'points',
): Message {
  const { lower, upper } = valueAt(at)
  // Limits that meet say nothing of how sure an estimate is.
  if (lower === upper) return message('quantity.no-interval')
  return message('quantity.interval-in-brackets', {
    level: number(level, 'level'),
    interval: rangeText(at, format),
  })
}

/** "−4.0 to 1.2". */
export function rangeText(
  at: Path<Pick<Ranged, 'lower' | 'upper'>>,
  format: 'points' | 'percent' | 'correlation' = 'points',
): Message {
  return message('quantity.interval', { lower: number(at.lower, format), upper: number(at.upper, format) })
}
