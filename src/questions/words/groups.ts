import type { CohortDefinition } from '../../cohort/definition.js'
import { groupCodes } from '../../messages/groupCodes.js'
import { type Message, message, type Part, type Words } from '../../messages/message.js'
import { type CitedNumber, foreign } from '../../messages/phrase.js'
import { type AnalysisPlan, defaultPlan } from '../plan/planFile.js'
import { type Cell, type Column, type Table, table, textColumn, wordCell } from './blocks.js'
import { number, type Path, pathsOf } from './place.js'

/** Name of an exposure group in tables and headings; a group of the user's own stands as it is. */
export function groupTitle(
  group: string,
  definition: Pick<CohortDefinition, 'waitWindowMinutes'>,
): Message | Part {
  if (!isKey(groupCodes, group)) return foreign(group)
  const code = groupCodes[group]
  return code === 'repeated-in-window' || code === 'repeated-outside-window'
    ? message(`group.${code}`, windowOf(definition))
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
  return message('group.in-sentence.repeated-in-window', windowOf(definition))
}

/** Shortest name of a group, where the full one stands near by. */
export function groupInBrief(group: string): Part {
  if (group === 'single') return message('group.brief.single')
  return group === 'repeated in the window' ? message('group.brief.repeated') : foreign(group)
}

/** Minutes of the window, each with its place. */
function windowOf(definition: Pick<CohortDefinition, 'waitWindowMinutes'>): {
  readonly from: CitedNumber
  readonly to: CitedNumber
} {
  const { from, to } = pathsOf({ definition }).definition.waitWindowMinutes
  return { from: number(from, 'whole'), to: number(to, 'whole') }
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

/** A group of a result with its place. */
export interface PlacedGroup<Group> {
  readonly one: Group
  readonly place: Path<Group>
}

/** What a table of groups has behind their names. */
export interface GroupColumns<Group> {
  readonly columns: readonly Column[]
  readonly cells: (group: PlacedGroup<Group>) => readonly Cell[]
  readonly notes: (groups: readonly PlacedGroup<Group>[]) => readonly Words[]
}

/** A table of a result, one row for each group, everything together first. */
export function groupsTable<Group extends { readonly group: string }>(
  id: 'at-risk' | 'events' | 'followed' | 'retention' | 'risks',
  { overall, byGroup }: { readonly overall: Group; readonly byGroup: readonly Group[] },
  at: Path<{ readonly overall: Group; readonly byGroup: readonly Group[] }>,
  { definition }: { readonly definition: Pick<CohortDefinition, 'waitWindowMinutes'> },
  { columns, cells, notes }: GroupColumns<Group>,
): Table {
  const places = at as unknown as { readonly overall: Path<Group>; readonly byGroup: readonly Path<Group>[] }
  const groups: readonly PlacedGroup<Group>[] = [
    { one: overall, place: places.overall },
    ...byGroup.map((one, index) => ({ one, place: places.byGroup[index]! })),
  ]
  return table(id, message(`caption.table.${id}`), {
    columns: [textColumn(message('label.column.group')), ...columns],
    rows: groups.map((group) => [wordCell(groupTitle(group.one.group, definition)), ...cells(group)]),
    notes: notes(groups),
  })
}
