import { type AnalysisPlan, defaultPlan } from '../analysis/planFile.js'
import type { CohortDefinition } from '../cohort/definition.js'
import { groupCodes } from '../messages/groupCodes.js'
import { type Message, message, type Part } from '../messages/message.js'
import { foreign } from '../messages/phrase.js'
import { number, pathsOf } from './place.js'

/** Name of an exposure group in tables and headings; a group of the user's own stands as it is. */
export function groupTitle(
  group: string,
  { waitWindowMinutes }: Pick<CohortDefinition, 'waitWindowMinutes'>,
): Message | Part {
  const { from, to } = waitWindowMinutes
  if (!isKey(groupCodes, group)) return foreign(group)
  const code = groupCodes[group]
  return code === 'repeated-in-window' || code === 'repeated-outside-window'
    ? message(`group.${code}`, { from: String(from), to: String(to) })
    : message(`group.${code}`)
}

/** Name of an exposure group inside a sentence: "a single tightening". */
export function groupInSentence(
  group: string,
  definition: Pick<CohortDefinition, 'waitWindowMinutes'>,
): Message | Part {
  if (!isKey(groupCodes, group) || group === 'all') return foreign(group)
  const code = groupCodes[group]
  if (code !== 'repeated-in-window') return message(`group.in-sentence.${code}`)
  const { from, to } = pathsOf(definition, 'definition').waitWindowMinutes
  return message('group.in-sentence.repeated-in-window', {
    from: number(from, 'whole'),
    to: number(to, 'whole'),
  })
}

/** Name of a group in a figure; a group of the user's own stands as it is. */
export function groupLabel(group: string): Part {
  return isKey(groupCodes, group) ? message(`group.short.${groupCodes[group]}`) : foreign(group)
}

/** The two groups of the plan where both are there, else everything together: what a figure draws. */
export function comparedGroups(
  present: readonly { readonly group: string }[],
  plan: Pick<AnalysisPlan, 'group' | 'against'> = defaultPlan,
): readonly string[] {
  const compared = [plan.against, plan.group]
  return compared.every((one) => present.some(({ group }) => group === one)) ? compared : ['all']
}

function isKey<Names extends object>(names: Names, name: string): name is keyof Names & string {
  return Object.hasOwn(names, name)
}
