import type { CohortDefinition } from '../cohort/definition.js'
import { type Message, message, type Part } from '../messages/message.js'
import { foreign } from '../messages/phrase.js'

/** Name of an exposure group in tables and headings; a group of the user's own stands as it is. */
export function groupTitle(group: string, { waitWindowMinutes }: CohortDefinition): Message | Part {
  const { from, to } = waitWindowMinutes
  const titles: Readonly<Record<string, Message>> = {
    all: message('group.all'),
    single: message('group.single'),
    'repeated in the window': message('group.repeated-in-window', { from: String(from), to: String(to) }),
    'repeated outside the window': message('group.repeated-outside-window', {
      from: String(from),
      to: String(to),
    }),
    'undone and tightened again': message('group.undone'),
    other: message('group.other'),
    unknown: message('group.unknown'),
  }
  return Object.hasOwn(titles, group) ? titles[group]! : foreign(group)
}
