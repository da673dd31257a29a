import { RecordError } from '../../core/errors.js'
import { deepFreeze } from '../../core/plain.js'
import { type Field, fieldOf, sheetFields } from '../../vocabulary/fields.js'
import type { RecordSet, TableName } from '../dataset.js'
import { doNotMatch, type MatchedVersions, matchVersions } from './matchVersions.js'
import {
  type LinkedName,
  toldText,
  type Version,
  type VersionEntry,
  type VersionRow,
  versionOf,
  writtenFields,
  writtenText,
} from './versionRows.js'

/** Rows of one restoration in two versions, told apart. */
export interface ComparedRows {
  /** The same row in both, changed or not, in the order of the later. */
  readonly pairs: readonly { readonly earlier: VersionRow; readonly later: VersionRow }[]
  readonly onlyEarlier: readonly VersionRow[]
  readonly onlyLater: readonly VersionRow[]
}

/** The finding of a visit that is an event; undefined for a tightening and for a visit without one. */
function eventOf(row: VersionRow): string | undefined {
  const finding = row.get('finding')
  return finding === undefined || finding === '' || finding === 'none' ? undefined : finding
}

/** Ways in which a row of one version is told again in the other, the closest first; undefined: not in this way. */
const likenesses: Readonly<Record<LinkedName, readonly ((row: VersionRow) => string | undefined)[]>> = {
  visits: [
    allOf,
    (row) => cells(row, 'days_since_delivery', 'screw_position', 'finding'),
    (row) => cells(row, 'days_since_delivery', 'screw_position'),
    // A corrected date: the same event on another day is never a second one.
    (row) => (eventOf(row) === undefined ? undefined : cells(row, 'screw_position', 'finding')),
  ],
  tightenings: [
    allOf,
    (row) => cells(row, 'days_since_delivery', 'context', 'screw_position', 'sequence'),
    (row) => cells(row, 'context', 'screw_position', 'sequence'),
  ],
}

/** Compares the rows of one restoration, by day and by what they say. */
function compareRows(
  name: LinkedName,
  earlier: readonly VersionRow[],
  later: readonly VersionRow[],
): ComparedRows {
  const open = new Set(earlier)
  const partner = new Map<VersionRow, VersionRow>()
  for (const likeness of likenesses[name]) {
    const waiting = new Map<string, VersionRow[]>()
    for (const row of open) {
      const key = likeness(row)
      if (key !== undefined) waiting.set(key, [...(waiting.get(key) ?? []), row])
    }
    for (const row of later) {
      if (partner.has(row)) continue
      const key = likeness(row)
      const found = key === undefined ? undefined : waiting.get(key)?.shift()
      if (found === undefined) continue
      partner.set(row, found)
      open.delete(found)
    }
  }
  return {
    pairs: later.filter((row) => partner.has(row)).map((row) => ({ earlier: partner.get(row)!, later: row })),
    onlyEarlier: earlier.filter((row) => open.has(row)),
    onlyLater: later.filter((row) => !partner.has(row)),
  }
}

/** Everything that a row says, but not which restoration it is of: its key may have changed. */
function allOf(row: VersionRow): string {
  return [...row]
    .filter(([field, value]) => field !== 'restoration_id' && value !== '')
    .map(([field, value]) => `${field}=${value}`)
    .join('\u0000')
}

function cells(row: VersionRow, ...fields: readonly string[]): string {
  return fields.map((field) => row.get(field) ?? '').join('\u0000')
}

/**
 * What counts where two versions differ: the later alone; the later, with the rows that only the earlier has (for exports
 * that hold nothing but what is new); or the earlier, with the rows that only the later has.
 */
export type Kept = 'later' | 'both' | 'earlier'

/** What became of a restoration, a visit, an event or a value between two versions. */
export type ChangeKind = 'added' | 'changed' | 'retracted' | 'gone' | 'new key'

/** One difference between two versions of the records. */
export interface VersionChange {
  readonly restoration_id: string
  readonly what: ChangeKind
  readonly of: 'restoration' | 'visit' | 'event' | 'tightening'
  /** Date of the row, or days since delivery where there are no dates; empty for the restoration itself. */
  readonly day: string
  readonly field: string
  readonly earlier: string
  readonly later: string
  /** Which of the two stands in the merged records. */
  readonly stands: 'earlier' | 'later'
}

/** A merged table: its header and rows. */
export interface MergedTable {
  readonly header: readonly string[]
  readonly rows: readonly (readonly string[])[]
}

/** The merged records as text, and every difference between the two versions. */
export interface MergedVersions {
  readonly changes: readonly VersionChange[]
  readonly tables: Readonly<Record<TableName, MergedTable>>
}

/** What counts where the versions differ. */
export interface MergeOptions {
  /** Default `later`, where the later export tells again what the earlier told. */
  readonly keep?: Kept
}

/**
 * Joins two versions of the records of one practice. Restorations are matched by key, day of delivery and position, and
 * by content where keys have changed; visits, events and tightenings by day. Restorations that only the earlier has are
 * kept, and an unknown never replaces a known property of a restoration.
 *
 * @throws RecordError `versions-do-not-match`, `keys-not-told-apart`
 * @throws RecordError `which-to-keep` where the later export tells nothing of the past again and `keep` is not given
 */
export function mergeVersions<State extends 'local' | 'shareable'>(
  earlierRecords: RecordSet<State>,
  laterRecords: RecordSet<State>,
  options: MergeOptions = {},
): MergedVersions {
  refuseUnreadable([earlierRecords, laterRecords])
  const [earlier, later] = [versionOf(earlierRecords), versionOf(laterRecords)]
  if (earlier.dated !== later.dated) throw doNotMatch('only one of them has dates of delivery')
  const matched = matchVersions(earlier, later)
  const keep = options.keep ?? 'later'
  if (options.keep === undefined && !tellsAgain(earlier, later, matched)) throw whichToKeep()
  return new Merger(earlier, later, matched, keep).merged()
}

/** Whether the later export holds again what was recorded before, or only what is new. */
function tellsAgain(earlier: Version, later: Version, { pairs }: MatchedVersions): boolean {
  if (later.form === 'one-sheet') return true
  let told = 0
  let again = 0
  for (const keys of pairs) {
    const [before, now] = [earlier.entries.get(keys.earlier)!, later.entries.get(keys.later)!]
    for (const name of ['visits', 'tightenings'] as const) {
      told += before.linked[name].length
      again += compareRows(name, before.linked[name], now.linked[name]).pairs.length
    }
  }
  return told === 0 || again >= 0.5 * told
}

class Merger {
  readonly #changes: VersionChange[] = []
  readonly #rows: Record<TableName, string[][]> = { restorations: [], tightenings: [], visits: [] }
  readonly #fields: Readonly<Record<TableName, readonly Field[]>>

  constructor(
    private readonly earlier: Version,
    private readonly later: Version,
    private readonly matched: MatchedVersions,
    private readonly keep: Kept,
  ) {
    const fields = (name: TableName) => writtenFields(name, later.dated)
    this.#fields = {
      restorations: fields('restorations'),
      tightenings: fields('tightenings'),
      visits: fields('visits'),
    }
  }

  merged(): MergedVersions {
    const patients = this.#patients()
    for (const keys of this.matched.pairs) this.#mergePair(keys.earlier, keys.later)
    for (const key of this.matched.gone) {
      const { row, linked } = this.earlier.entries.get(key)!
      const patient = patients.get(row.get('patient_id')!)
      this.#add(key, {
        row: patient === undefined ? row : new Map([...row, ['patient_id', patient]]),
        linked,
      })
      this.#change({ restoration_id: key, what: 'gone', of: 'restoration', stands: 'earlier' })
    }
    for (const key of this.matched.added) {
      this.#add(key, this.later.entries.get(key)!)
      this.#change({ restoration_id: key, what: 'added', of: 'restoration', stands: 'later' })
    }
    return deepFreeze({
      changes: this.#changes,
      tables: {
        restorations: this.#table('restorations'),
        tightenings: this.#table('tightenings'),
        visits: this.#table('visits'),
      },
    })
  }

  /** Keys of patients that have changed, by what their restorations are called now. */
  #patients(): ReadonlyMap<string, string> {
    const patients = new Map<string, string>()
    for (const keys of this.matched.pairs) {
      const before = this.earlier.entries.get(keys.earlier)!.row.get('patient_id')!
      patients.set(before, this.later.entries.get(keys.later)!.row.get('patient_id')!)
    }
    return patients
  }

  #mergePair(earlierKey: string, key: string): void {
    const [before, now] = [this.earlier.entries.get(earlierKey)!, this.later.entries.get(key)!]
    if (earlierKey !== key) {
      this.#change({
        restoration_id: key,
        what: 'new key',
        of: 'restoration',
        field: 'restoration_id',
        earlier: earlierKey,
        later: key,
        stands: 'later',
      })
    }
    const row = this.#mergedRow(key, before.row, now.row)
    const linked = {
      tightenings: this.#mergedLinked('tightenings', key, before, now),
      visits: this.#mergedLinked('visits', key, before, now),
    }
    this.#add(key, { row, linked })
  }

  #mergedRow(key: string, before: VersionRow, now: VersionRow): VersionRow {
    const merged = new Map(before)
    for (const [field, value] of now) {
      const old = before.get(field) ?? ''
      if (value === '' || value === old) continue
      const stays =
        old !== '' && this.keep === 'earlier' && field !== 'restoration_id' && field !== 'patient_id'
      if (old !== '' && field !== 'restoration_id') {
        const told = this.#told('restorations', field, old, value)
        const stands = stays ? 'earlier' : 'later'
        this.#change({ restoration_id: key, what: 'changed', of: 'restoration', ...told, stands })
      }
      if (!stays) merged.set(field, value)
    }
    return merged
  }

  #mergedLinked(
    name: LinkedName,
    key: string,
    before: VersionEntry,
    now: VersionEntry,
  ): readonly VersionRow[] {
    const { pairs, onlyEarlier, onlyLater } = compareRows(name, before.linked[name], now.linked[name])
    const rows = pairs.map((pair) => {
      this.#comparePair(name, key, pair.earlier, pair.later)
      return this.keep === 'earlier' ? pair.earlier : pair.later
    })
    for (const row of onlyLater) this.#changeOfRow(name, key, row, 'added', 'later')
    const staysBehind = this.keep !== 'later'
    for (const row of onlyEarlier) {
      const what = eventOf(row) === undefined || staysBehind ? 'gone' : 'retracted'
      this.#changeOfRow(name, key, row, what, staysBehind ? 'earlier' : 'later')
    }
    return [...rows, ...onlyLater, ...(staysBehind ? onlyEarlier : [])]
  }

  #comparePair(name: LinkedName, key: string, before: VersionRow, now: VersionRow): void {
    const stands = this.keep === 'earlier' ? 'earlier' : 'later'
    for (const { name: field } of this.#fields[name]) {
      const [old, value] = [before.get(field) ?? '', now.get(field) ?? '']
      if (old === value || field === 'restoration_id') continue
      const isEvent = field === 'finding' || (eventOf(before) !== undefined && field !== 'chair_minutes')
      const retracted = field === 'finding' && eventOf(before) !== undefined && eventOf(now) === undefined
      const added = field === 'finding' && eventOf(before) === undefined
      this.#change({
        restoration_id: key,
        what: retracted ? 'retracted' : added ? 'added' : 'changed',
        of: name === 'tightenings' ? 'tightening' : isEvent ? 'event' : 'visit',
        day: this.#dayOf(before),
        ...this.#told(name, field, old, value),
        stands,
      })
    }
  }

  #changeOfRow(
    name: LinkedName,
    key: string,
    row: VersionRow,
    what: ChangeKind,
    stands: 'earlier' | 'later',
  ): void {
    const event = eventOf(row)
    const side = what === 'added' ? 'later' : 'earlier'
    this.#change({
      restoration_id: key,
      what,
      of: name === 'tightenings' ? 'tightening' : event === undefined ? 'visit' : 'event',
      day: this.#dayOf(row),
      ...(event === undefined ? {} : { field: 'finding', [side]: event }),
      stands,
    })
  }

  #told(name: TableName, field: string, earlier: string, later: string) {
    const { dated } = this.later
    const known = fieldOf(name, field)!
    return { field, earlier: toldText(known, earlier, dated), later: toldText(known, later, dated) }
  }

  #dayOf(row: VersionRow): string {
    const field = fieldOf('visits', 'days_since_delivery')!
    return toldText(field, row.get('days_since_delivery') ?? '', this.later.dated)
  }

  #change(
    change: Pick<VersionChange, 'restoration_id' | 'what' | 'of' | 'stands'> & Partial<VersionChange>,
  ): void {
    this.#changes.push({ day: '', field: '', earlier: '', later: '', ...change })
  }

  #add(key: string, { row, linked }: VersionEntry): void {
    const date = row.get('delivery_date')
    const delivery = date === undefined || date === '' ? undefined : Number(date)
    const write = (name: TableName, one: VersionRow): void => {
      const keyed = name === 'restorations' ? one : new Map([...one, ['restoration_id', key]])
      this.#rows[name].push(this.#fields[name].map((field) => writtenText(keyed, field, delivery)))
    }
    write('restorations', new Map([...row, ['restoration_id', key]]))
    for (const name of ['tightenings', 'visits'] as const) {
      const day = (one: VersionRow): number => Number(one.get('days_since_delivery') ?? 0)
      // A stable sort: within a day rows keep the order that they were told in.
      for (const one of [...linked[name]].sort((left, right) => day(left) - day(right))) write(name, one)
    }
  }

  /** Columns that hold nothing are left out, but for those that have to be there. */
  #table(name: TableName): MergedTable {
    const rows = this.#rows[name]
    const required = new Set(sheetFields[name].filter((field) => field.required).map((field) => field.name))
    const used = this.#fields[name].flatMap((field, column) =>
      required.has(field.name) || rows.some((row) => row[column] !== '') ? [column] : [],
    )
    return {
      header: used.map((column) => this.#fields[name][column]!.name),
      rows: rows.map((row) => used.map((column) => row[column]!)),
    }
  }
}

/** What was recorded and cannot be read would be lost in the merged tables, and nothing would stand for it. */
function refuseUnreadable(versions: readonly RecordSet[]): void {
  const count = versions.reduce(
    (sum, { unreadableOutcome }) => sum + (unreadableOutcome?.reduce((all, one) => all + one, 0) ?? 0),
    0,
  )
  if (count === 0) return
  throw new RecordError({
    code: 'unreadable-outcome-in-merge',
    problem: `${count === 1 ? 'the outcome of one restoration' : `the outcomes of ${count} restorations`} cannot be read, and the joined records would show none.`,
    expected: 'outcomes that can be read in both exports.',
    mend: 'put them right, in a copy, as holdfast check lists them.',
  })
}

function whichToKeep(): RecordError {
  return new RecordError({
    code: 'which-to-keep',
    problem:
      'the later export does not tell again most of what the earlier one told, so that rows may have been withdrawn, or it may hold only what is new.',
    expected: 'the user’s word on which of the two it is.',
    mend: 'give --keep both where the later export holds only what is new, --keep later where it is the whole and what it lacks is withdrawn.',
  })
}
