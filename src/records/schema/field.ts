import { deepFreeze } from '../../core/plain.js'

/** What a field holds, and so how its text is read. */
export type FieldKind = 'key' | 'text' | 'code' | 'whole' | 'number' | 'position' | 'date' | 'day'

/**
 * What happens to a row whose value cannot be read or lies outside the allowed range: the row is set aside, the value
 * counts as unknown (and is warned about), or it is kept (and is warned about).
 */
export type FaultyValue = 'set-aside' | 'unknown' | 'keep'

/** One field of the records: the one source of reading, checks, data dictionary, data package and templates. */
export interface Field {
  readonly name: string
  readonly kind: FieldKind
  readonly description: string
  /** Unit of a number, as it is written for people. */
  readonly unit?: string
  /** The column has to be there. */
  readonly required: boolean
  /** A row without a value is set aside; a required field without this may hold unknowns, which are counted. */
  readonly valueNeeded: boolean
  /** Another field that can stand in for this one. */
  readonly alternative?: string
  /** Allowed codes. */
  readonly codes?: readonly string[]
  /** Smallest and largest plausible value. */
  readonly range?: { readonly min: number; readonly max: number }
  readonly faulty: FaultyValue
  /** Torque: a value outside these limits puts the unit of the whole column in doubt. */
  readonly unitLimits?: { readonly min: number; readonly max: number }
  /** For use inside the practice only; left out of the shareable form. */
  readonly localOnly: boolean
  /** The calendar date that a field of days stands for, and the other way round: two spellings of one column. */
  readonly twin?: string
  /** Example for the data dictionary; invented. */
  readonly example: string
}

type FieldSettings = Partial<Omit<Field, 'name' | 'kind' | 'description' | 'example'>>

/** A field with its defaults filled in: not required, faulty values count as unknown, shareable. */
export function field(
  name: string,
  kind: FieldKind,
  description: string,
  example: string,
  settings: FieldSettings = {},
): Field {
  return deepFreeze({
    name,
    kind,
    description,
    example,
    required: false,
    valueNeeded: false,
    faulty: settings.valueNeeded === true ? 'set-aside' : 'unknown',
    localOnly: kind === 'date' || kind === 'text',
    ...settings,
  })
}

/** Required column whose every row needs a value. */
export const needed = { required: true, valueNeeded: true } as const

/** A torque: plausible from 5 to 50 N·cm; beyond 1 to 60 the unit itself is in doubt. */
export const torque = {
  unit: 'N·cm',
  range: { min: 5, max: 50 },
  faulty: 'keep',
  unitLimits: { min: 1, max: 60 },
} as const satisfies FieldSettings

/** Yes or no. */
export const yesNo: readonly string[] = ['yes', 'no']
