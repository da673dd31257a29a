import type { CohortDefinition } from '../../cohort/definition.js'
import { type Message, message, type Part } from '../../messages/message.js'
import { levelName } from '../../messages/names.js'
import { groupInSentence } from '../words/groups.js'
import { number, type Path, valueAt } from '../words/place.js'
import type { Ranged } from './estimate.js'

/** Name of a group in a sentence. */
export function groupName(group: string, by: string, definition: CohortDefinition): Part {
  return by === 'measured' || by === 'chart' ? groupInSentence(group, definition) : levelName(by, group)
}

/** Name of what happened in a sentence. */
export function endpointName(endpoint: CohortDefinition['endpoint']): Message {
  return message(`endpoint.plain.${endpoint}`)
}

/** "1 year", "3 years", "0.5 years" in captions and heads, where nothing is cited. */
export function yearsText(years: number): Message {
  return message('comparison.years', { years, text: String(years) })
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
