import { UsageError } from '../core/errors.js'
import { labelAt } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import { askedNames, type Conditions, satisfying, type TraitSource, type TraitValues } from './traits.js'

/** Which restorations of the records are asked about, and the columns that the user added. */
export interface Chosen {
  /** 1 for each restoration of the records that is asked about; undefined where all are. */
  readonly mask?: Uint8Array
  /** What was asked for, step by step. */
  readonly steps: readonly string[]
  readonly own: ReadonlyMap<string, TraitValues>
}

/** Everything, with no column of the user's own. */
export const everything: Chosen = Object.freeze({ steps: Object.freeze([]), own: new Map() })

/** What a part of a cohort says of itself. */
export interface Subgroup {
  /** Conditions in the order in which they were set, as JSON; "frame" for a selection by a frame. */
  readonly steps: readonly string[]
  /** How many different parts and groupings of these records were looked at so far, this one included. */
  readonly looks: number
}

/** A frame, or whatever else has columns and rows of values. */
export interface RowsWithColumns {
  readonly columns: readonly string[]
  readonly values: readonly unknown[]
}

/** Name of the column by which a frame finds its restorations again. */
export const rowColumn = 'row'

const looksOf = new WeakMap<object, Set<string>>()

/** Counts a look at a part or a grouping of the records; the same one counts once. */
export function countedLook(records: RecordSet, what: string): number {
  const seen = looksOf.get(records) ?? new Set<string>()
  looksOf.set(records, seen.add(what))
  return seen.size
}

/** The restorations that also satisfy the conditions. */
export function chosenWhere(source: TraitSource, chosen: Chosen, conditions: Conditions<string>): Chosen {
  if (Object.keys(conditions).length === 0) {
    throw new UsageError({
      code: 'no-condition',
      problem: 'no condition was given.',
      expected: "such as { region: 'molar' }.",
      mend: 'name a field and the value that is wanted, or leave the call out.',
    })
  }
  return narrowed(chosen, satisfying(source, conditions), JSON.stringify(conditions))
}

/** The restorations whose rows stand in a frame. */
export function chosenRows(source: TraitSource, chosen: Chosen, frame: RowsWithColumns): Chosen {
  const mask = new Uint8Array(source.records.restorations.rowCount)
  const positions = positionsOf(source, frame)
  for (const row of positions) mask[row] = 1
  return narrowed(chosen, mask, `frame:${positions.length}:${hashOf(positions)}`)
}

/** Columns of a frame as columns of the cohort; restorations that the frame lacks have no value. */
export function withColumnsOf(
  source: TraitSource,
  chosen: Chosen,
  frame: RowsWithColumns,
  names: readonly string[],
): Chosen {
  const positions = positionsOf(source, frame)
  const own = new Map(chosen.own)
  for (const name of names) {
    const at = frame.columns.indexOf(name)
    if (at < 0) throw noSuchColumn(name, frame.columns)
    if ((askedNames as readonly string[]).includes(name)) throw nameTaken(name)
    const values: (string | number | undefined)[] = new Array(source.records.restorations.rowCount).fill(
      undefined,
    )
    positions.forEach((row, i) => {
      values[row] = traitOf((frame.values[i] as readonly unknown[])[at])
    })
    own.set(name, Object.freeze(values))
  }
  return { ...chosen, own }
}

function traitOf(value: unknown): string | number | undefined {
  if (value === null || value === undefined || Number.isNaN(value)) return undefined
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  return typeof value === 'number' ? value : String(value)
}

/** The choice of both. */
function narrowed(chosen: Chosen, mask: Uint8Array, step: string): Chosen {
  const both = chosen.mask === undefined ? mask : mask.map((one, row) => one & chosen.mask![row]!)
  return { mask: both, steps: Object.freeze([...chosen.steps, step]), own: chosen.own }
}

/** Positions in the restorations table of the rows of a frame; an id that does not fit says that it is another's. */
function positionsOf({ records }: TraitSource, frame: RowsWithColumns): readonly number[] {
  const columns = Array.isArray(frame?.columns) ? frame.columns.map(String) : []
  const at = columns.indexOf(rowColumn)
  if (at < 0 || !Array.isArray(frame.values)) throw notFromHere()
  const { restorations } = records
  const idAt = columns.indexOf('restoration_id')
  const ids = idAt < 0 ? undefined : restorations.category('restoration_id')
  return frame.values.map((values) => {
    const row = Number((values as readonly unknown[])[at])
    const known = Number.isInteger(row) && row >= 0 && row < restorations.rowCount
    if (!known || (ids !== undefined && labelAt(ids, row) !== String((values as readonly unknown[])[idAt])))
      throw notFromHere()
    return row
  })
}

function hashOf(positions: readonly number[]): number {
  return positions.reduce((sum, row) => (sum * 31 + row + 1) % 1_000_000_007, 7)
}

function notFromHere(): UsageError {
  return new UsageError({
    code: 'frame-of-other-records',
    problem: 'the rows of this frame cannot be found in the records of the cohort.',
    expected: `a frame that toFrame(cohort) made of the same records, with its columns ${rowColumn} and restoration_id as they were.`,
    mend: 'make the frame from this cohort, filter it without changing those columns, and pass the frame itself.',
  })
}

function noSuchColumn(name: string, columns: readonly string[]): UsageError {
  return new UsageError({
    code: 'no-such-column',
    problem: `the frame has no column "${name}".`,
    expected: `one of ${columns.join(', ')}.`,
    mend: 'correct the name, or add the column to the frame first.',
  })
}

function nameTaken(name: string): UsageError {
  return new UsageError({
    code: 'name-taken',
    problem: `${name} is a field of the records.`,
    expected: 'a column with a name of its own.',
    mend: 'give the column of the frame another name.',
  })
}
