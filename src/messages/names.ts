import { allOthers, rareLevels } from '../vocabulary/analyses.js'
import type { NumberGroup } from '../vocabulary/field.js'
import { groupCodes } from './groupCodes.js'
import { message } from './message.js'
import { foreign, type Message, type Part } from './phrase.js'
import { hasMessage } from './speaker.js'

/** What is asked by, adjusted for or described under a name other than that of its words. */
const otherNames: Readonly<Record<string, string>> = {
  clinic: 'clinic_id',
  operator_id: 'operator',
  handling: 'tightening',
}

/** Name of a field, or of what is adjusted for; what has no words (a column of the user's own) stands as it is. */
export function fieldName(field: string): Part {
  return named(`field.${otherNames[field] ?? field}`) ?? foreign(field)
}

/** What happened, as a sentence or a heading names it: "screw loosening". */
export function endpointLabel(endpoint: string): Part {
  return named(`endpoint.plain.${endpoint}`) ?? foreign(endpoint)
}

/** A value of a field: a code of the vocabulary in words; codes and texts of the practice stand as they are. */
export function levelName(field: string, level: string): Part {
  if (level === rareLevels || level === allOthers) return message(`level.${level}`)
  if ((field === 'handling' || field === 'tightening') && Object.hasOwn(groupCodes, level)) {
    return message(`level.tightening.${groupCodes[level as keyof typeof groupCodes]}`)
  }
  const own = named(`level.${otherNames[field] ?? field}.${level}`)
  return own ?? (level === 'unknown' ? message('level.unknown') : foreign(level))
}

function named(code: string): Message | undefined {
  return hasMessage(code) ? { kind: 'message', code, parameters: {} } : undefined
}

/** A group of a result: an exposure group, a value of a field, or the numbers of a field from one limit to below another. */
export interface NamedGroup {
  readonly group: string
  readonly range?: NumberGroup
}

/** Minutes between two tightenings by which a repeated one counts as such. */
export interface WaitWindow {
  readonly from: number
  readonly to: number
}

/**
 * Name of an exposure group in a figure: the one of tables where the window is known, else the shortest; a name of the
 * user's own stands as it is.
 */
export function groupLabel(group: string, window?: WaitWindow): Part {
  if (!Object.hasOwn(groupCodes, group)) return foreign(group)
  const code = groupCodes[group as keyof typeof groupCodes]
  if (window === undefined || code === 'all') return message(`group.short.${code}`)
  return code === 'repeated-in-window' || code === 'repeated-outside-window'
    ? message(`group.${code}`, { from: String(window.from), to: String(window.to) })
    : message(`group.${code}`)
}

/** Name of a group by what groups were formed by: a field, or by default how the screw was tightened. */
export function groupNameBy({ group, range }: NamedGroup, field?: string, window?: WaitWindow): Part {
  if (field === undefined || group === 'all') return groupLabel(group, window)
  if (range === undefined) return levelName(field, group)
  const { from, below } = range
  if (from === undefined) return message('level.below', { below: String(below) })
  return below === undefined
    ? message('level.from', { from: String(from) })
    : message('level.range', { from: String(from), below: String(below) })
}
