import { UsageError } from '../core/errors.js'
import { unknownName } from '../core/names.js'
import { labelAt } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import {
  type CategoryFieldName,
  fieldOf,
  labelKinds,
  type NumberFieldName,
  numberKinds,
} from '../vocabulary/fields.js'
import { restorationEntries, restorationFields } from '../vocabulary/restorations.js'
import { type ExposureGroup, exposureGroups } from './definition.js'
import type { DeliveryDayExposure } from './exposure.js'
import { archesOf, regionsOf } from './region.js'
import type { TimeOrigin } from './timeOrigin.js'
import type { TorqueRecords } from './torqueRecords.js'

/** What is read off several fields, or off the tightenings of the day of delivery. */
const derivedNames = [
  'region',
  'arch',
  'delivery_year',
  'tightening',
  'wait_minutes',
  'target_torque_ncm',
  'achieved_torque_ncm',
] as const

type DerivedName = (typeof derivedNames)[number]

/** What a cohort can be asked by: fields of the restorations table, and what is derived. */
export type AskedName = CategoryFieldName | NumberFieldName | DerivedName

/** Names of all that a cohort can be asked by. */
export const askedNames: readonly AskedName[] = Object.freeze([
  ...(restorationFields
    .filter(({ kind }) => labelKinds.includes(kind) || numberKinds.includes(kind))
    .map(({ name }) => name) as AskedName[]),
  ...derivedNames,
])

/** One value for each restoration of the records: a label or a number, undefined where unknown. */
export type TraitValues = readonly (string | number | undefined)[]

/** What traits are read from. */
export interface TraitSource {
  readonly records: RecordSet
  readonly origins: TimeOrigin
  readonly exposure: DeliveryDayExposure
  readonly torque: () => TorqueRecords
  /** Columns of the user's own, by the rows of the restorations table. */
  readonly own: ReadonlyMap<string, TraitValues>
}

/**
 * What the records say of every restoration under a name.
 *
 * @throws UsageError `unknown-name` (with the nearest), `field-not-recorded` where these records lack the field
 */
export function traitValues(source: TraitSource, name: string): TraitValues {
  const own = source.own.get(name)
  if (own !== undefined) return own
  if (!isRecorded(source, name)) throw notRecorded(name)
  const rows = Array.from({ length: source.records.restorations.rowCount }, (_one, row) => row)
  const derived = derivedNames.find((one) => one === name)
  if (derived !== undefined) {
    const read = derivedReader(source, derived)
    return rows.map(read)
  }
  const { restorations } = source.records
  if (numberKinds.includes(fieldOf('restorations', name)!.kind)) {
    const numbers = restorations.number(name)
    return rows.map((row) => (Number.isNaN(numbers[row]!) ? undefined : numbers[row]!))
  }
  const column = restorations.category(name)
  return rows.map((row) => labelAt(column, row))
}

/**
 * Whether these records hold what is asked for by a name; what is derived from several fields counts as held.
 *
 * @throws UsageError `unknown-name`, with the nearest
 */
export function isRecorded({ records, own }: TraitSource, name: string): boolean {
  if (own.has(name)) return true
  if (!(askedNames as readonly string[]).includes(name)) {
    throw unknownName('field or column', name, [...own.keys(), ...askedNames])
  }
  if (name === 'region' || name === 'arch')
    return records.restorations.has('tooth_position') || records.restorations.has(name)
  return (derivedNames as readonly string[]).includes(name) || records.restorations.has(name)
}

/** Values that occur in the rows, the most frequent first; those alike in number by the alphabet. */
export function levelsOf(values: TraitValues, rows: Int32Array): readonly string[] {
  const counts = new Map<string, number>()
  for (const row of rows) {
    const value = values[row]
    if (value !== undefined) counts.set(String(value), (counts.get(String(value)) ?? 0) + 1)
  }
  return Object.freeze(
    [...counts]
      .sort(([left, many], [right, count]) => count - many || (left < right ? -1 : 1))
      .map(([name]) => name),
  )
}

function derivedReader(source: TraitSource, name: DerivedName): (row: number) => string | number | undefined {
  const { origins, exposure } = source
  if (name === 'tightening') return (row) => exposureGroups[exposure.groupCode[row]!]
  if (name === 'delivery_year')
    return (row) => (origins.deliveryYear[row]! > 0 ? origins.deliveryYear[row] : undefined)
  if (name === 'wait_minutes')
    return (row) => (Number.isNaN(exposure.waitMinutes[row]!) ? undefined : exposure.waitMinutes[row])
  if (name === 'region' || name === 'arch') {
    const { restorations } = source.records
    const places = name === 'region' ? regionsOf(restorations) : archesOf(restorations)
    return (row) => places[row]
  }
  const torque = new Map<number, number>()
  for (const one of source.torque().read) {
    const value = name === 'target_torque_ncm' ? one.targetNcm : one.achievedNcm
    // Of several screws, or of a repeat, the last torque of the day of delivery stands.
    if (one.onDelivery && value !== undefined) torque.set(one.restoration, value)
  }
  return (row) => torque.get(row)
}

function notRecorded(name: string): UsageError {
  const field = name === 'region' || name === 'arch' ? 'tooth_position' : name
  return new UsageError({
    code: 'field-not-recorded',
    problem: `these records do not have the field ${field}.`,
    expected: `restorations with the column ${field}.`,
    mend: 'ask by a field that is recorded, or add the column to the records; notebook 01 lists what they hold.',
  })
}

/** Limits of a number: at least, at most, less than, more than. */
export interface NumberRange {
  readonly from?: number
  readonly to?: number
  readonly below?: number
  readonly above?: number
}

type Entries = typeof restorationEntries
type LabelOf<Name> = Name extends 'region'
  ? 'anterior' | 'premolar' | 'molar'
  : Name extends 'arch'
    ? 'upper' | 'lower'
    : Name extends 'tightening'
      ? ExposureGroup
      : Name extends keyof Entries
        ? Entries[Name] extends { readonly codes: readonly (infer Code)[] }
          ? Code
          : string | number
        : string | number

type WantedOf<Name> = LabelOf<Name> | readonly LabelOf<Name>[] | NumberRange

/** Conditions by name: one value, several of which any will do, or the limits of a number. All must hold. */
export type Conditions<Own extends string = never> = {
  readonly [Name in AskedName | Own]?: WantedOf<Name>
}

const limitNames = ['from', 'to', 'below', 'above'] as const

/** Whether each restoration of the records satisfies every condition; what is unknown satisfies none. */
export function satisfying(source: TraitSource, conditions: Conditions<string>): Uint8Array {
  const wanted = new Uint8Array(source.records.restorations.rowCount).fill(1)
  for (const [name, condition] of Object.entries(conditions)) {
    if (condition === undefined) continue
    const values = traitValues(source, name)
    const holds = conditionTest(name, condition, values)
    values.forEach((value, row) => {
      if (value === undefined || !holds(value)) wanted[row] = 0
    })
  }
  return wanted
}

function conditionTest(
  name: string,
  condition: unknown,
  values: TraitValues,
): (value: string | number) => boolean {
  if (typeof condition === 'object' && condition !== null && !Array.isArray(condition)) {
    return withinLimits(name, condition as Readonly<Record<string, unknown>>)
  }
  const any = (Array.isArray(condition) ? condition : [condition]) as readonly unknown[]
  for (const one of any) requireValue(name, one, values)
  return (value) => any.includes(value)
}

function withinLimits(
  name: string,
  limits: Readonly<Record<string, unknown>>,
): (value: string | number) => boolean {
  for (const [limit, value] of Object.entries(limits)) {
    if (!(limitNames as readonly string[]).includes(limit)) throw unknownName('limit', limit, limitNames)
    if (typeof value !== 'number' || Number.isNaN(value)) throw notALimit(name)
  }
  const { from = -Infinity, to = Infinity, below = Infinity, above = -Infinity } = limits as NumberRange
  return (value) => {
    if (typeof value !== 'number') throw notALimit(name)
    return value >= from && value <= to && value < below && value > above
  }
}

function notALimit(name: string): UsageError {
  return new UsageError({
    code: 'not-a-limit',
    problem: `limits of ${name} have to be numbers, and ${name} has to be one.`,
    expected: 'such as { from: 25, below: 35 }, of a field of numbers.',
    mend: 'give numbers, or the labels wanted as a list.',
  })
}

/** A code that there is not is refused with the nearest; a key is not echoed, since it may identify someone. */
function requireValue(name: string, value: unknown, values: TraitValues): void {
  const codes = codesOf(name)
  if (codes !== undefined) {
    if (!codes.includes(value as never)) throw unknownName(`value of ${name}`, value, codes)
    return
  }
  if (values.includes(value as never)) return
  throw new UsageError({
    code: 'value-not-recorded',
    problem: `no restoration of these records has the value asked for under ${name}.`,
    expected: 'a value as it stands in the records, a number without quotation marks.',
    mend: `look at the values with incidence(cohort, { by: '${name}' }).`,
  })
}

/** The labels that a name can have, in their order; undefined where they are free. */
export function codesOf(name: string): readonly string[] | undefined {
  if (name === 'tightening') return exposureGroups
  const entry = (restorationEntries as Readonly<Record<string, { readonly codes?: readonly string[] }>>)[name]
  return entry?.codes
}
