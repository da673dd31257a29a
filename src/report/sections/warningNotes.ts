import { gatheredWarnings } from '../cells.js'
import type { Phrase } from '../document.js'
import { onlyThoseSeen, warningNote } from '../wording.js'
import type { SectionContext } from './context.js'

type Cited = Pick<SectionContext, 'audit' | 'cite'>

/** Notes under a table, one for each warning of the results that it shows, with the groups that it is about. */
export function warningNotes(
  { audit, cite }: Cited,
  sources: Parameters<typeof gatheredWarnings>[0],
): readonly Phrase[] {
  const all = new Set(sources.map(({ group }) => group)).size
  return gatheredWarnings(sources, cite).map(({ text, groups }) =>
    warningNote(groups.length === all && all > 1 ? [] : groups, text, audit, cite),
  )
}

/** Note under a table of risks where the risk of the practice is withheld. */
export function onlySeenNotes({ audit, cite }: Cited): readonly Phrase[] {
  const note = onlyThoseSeen(audit, cite)
  return note === undefined ? [] : [note]
}
