import { deepFreeze } from '../core/plain.js'

/** What a field holds, and so how its text is read. */
export type FieldKind = 'key' | 'text' | 'code' | 'whole' | 'number' | 'position' | 'date' | 'day'

/**
 * What happens to a row whose value cannot be read or lies outside the allowed range: the row is set aside, the value
 * counts as unknown (and is warned about), or it is kept (and is warned about).
 */
export type FaultyValue = 'set-aside' | 'unknown' | 'keep'

/** How much of what is measured or counted is one step, for words such as "each ten years more". */
export interface CovariateEntry {
  /** Name in plans and results, where it is another than that of the field. */
  readonly name?: string
  /** Place among what is adjusted for by default, 1 first; absent: only where a plan asks for it. */
  readonly rank?: number
  /** So much more of a number is what its ratio is told for; default 1. */
  readonly step?: number
  /** Levels are codes of the practice's own, which stand as they are. */
  readonly ownCodes?: true
}

/** Everything that the toolkit knows about one field, but its name, which is the key of the entry. */
export interface FieldEntry {
  readonly kind: FieldKind
  readonly description: string
  /** Example for the data dictionary; invented. */
  readonly example: string
  /** Unit of a number, as it is written for people. */
  readonly unit?: string
  /** The column has to be there; default false. */
  readonly required?: boolean
  /** A row without a value is set aside; a required field without this may hold unknowns, which are counted. */
  readonly valueNeeded?: boolean
  /** Another field that can stand in for this one. */
  readonly alternative?: string
  /** Allowed codes. */
  readonly codes?: readonly string[]
  /** Smallest and largest plausible value. */
  readonly range?: { readonly min: number; readonly max: number }
  /** Default: set aside where a value is needed, else unknown. */
  readonly faulty?: FaultyValue
  /** Torque: a value outside these limits puts the unit of the whole column in doubt. */
  readonly unitLimits?: { readonly min: number; readonly max: number }
  /** For use inside the practice only, left out of the shareable form; default: dates and free texts. */
  readonly localOnly?: boolean
  /** The calendar date that a field of days stands for, and the other way round: two spellings of one column. */
  readonly twin?: string
  /** Its values identify, and pseudonyms that begin with this letter take their place in the shareable form. */
  readonly pseudonym?: string
  /** The field whose identifiers these are too: the same thing keeps one pseudonym in both columns. */
  readonly pseudonymOf?: string
  /** Together with others it could single somebody out. */
  readonly quasiIdentifier?: true
  /** Only the shareable form has it, in place of another; a practice does not fill it in. */
  readonly shareableOnly?: true
  /** It came before the choice of protocol, and may be adjusted for. */
  readonly covariate?: CovariateEntry
  /**
   * Whether the demo data have the column (default: unless only the shareable form has it), and how often each code
   * stands in it where nothing in the generator decides it; default: all alike.
   */
  readonly demo?: false | Readonly<Record<string, number>>
}

/** The entries of one sheet by the names of their fields. */
export type FieldEntries = Readonly<Record<string, FieldEntry>>

/** One field of the records with its defaults filled in: the one source of all that reads, checks or writes it. */
export interface Field extends FieldEntry {
  readonly name: string
  readonly required: boolean
  readonly valueNeeded: boolean
  readonly faulty: FaultyValue
  readonly localOnly: boolean
}

/** The fields of entries, in their order, with their defaults filled in. */
export function fieldsOf(entries: FieldEntries): readonly Field[] {
  return deepFreeze(
    Object.entries(entries).map(([name, entry]) => ({
      name,
      required: false,
      valueNeeded: false,
      faulty: entry.valueNeeded === true ? ('set-aside' as const) : ('unknown' as const),
      localOnly: entry.kind === 'date' || entry.kind === 'text',
      ...entry,
    })),
  )
}

/** Names of the entries whose kind is one of some. */
export type NamesOfKind<Entries extends FieldEntries, Kind extends FieldKind> = {
  [Name in keyof Entries]: Entries[Name]['kind'] extends Kind ? Name : never
}[keyof Entries] &
  string

/** Required column whose every row needs a value. */
export const needed = { required: true, valueNeeded: true } as const

/** A torque: plausible from 5 to 50 N·cm; beyond 1 to 60 the unit itself is in doubt. */
export const torque = {
  unit: 'N·cm',
  range: { min: 5, max: 50 },
  faulty: 'keep',
  unitLimits: { min: 1, max: 60 },
} as const satisfies Partial<FieldEntry>

/** Yes or no. */
export const yesNo = ['yes', 'no'] as const

/** Why a restoration was taken out. */
export const removalReasons = ['complication', 'elective', 'implant_loss', 'other'] as const

/** Numbers from a limit, where there is one, to below another, where there is one. */
export interface NumberGroup {
  readonly from?: number
  readonly below?: number
}
