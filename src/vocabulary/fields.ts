import { unknownName } from '../core/names.js'
import type { CovariateEntry, Field, FieldEntries, FieldKind, NamesOfKind } from './field.js'
import { oneSheetFields } from './oneSheet.js'
import { restorationEntries, restorationFields } from './restorations.js'
import { tighteningEntries, tighteningFields } from './tightenings.js'
import { visitEntries, visitFields } from './visits.js'

export type { Field, FieldKind } from './field.js'

/** The three linked tables. */
export type TableName = 'restorations' | 'tightenings' | 'visits'

/** A sheet that can be read: one of the three tables, or the one-sheet form. */
export type SheetName = TableName | 'one_sheet'

/** The three tables in the order in which they are read. */
export const tableNames: readonly TableName[] = Object.freeze(['restorations', 'tightenings', 'visits'])

/** The fields of every sheet, in the order of the data dictionary. */
export const sheetFields: Readonly<Record<SheetName, readonly Field[]>> = Object.freeze({
  restorations: restorationFields,
  tightenings: tighteningFields,
  visits: visitFields,
  one_sheet: oneSheetFields,
})

/** A field of the restorations table. */
export type RestorationField = keyof typeof restorationEntries

/** A field of the restorations table that holds labels: codes and keys. */
export type CategoryFieldName = NamesOfKind<typeof restorationEntries, 'key' | 'code' | 'text' | 'position'>

/** A field of the restorations table that holds numbers. */
export type NumberFieldName = NamesOfKind<typeof restorationEntries, 'whole' | 'number' | 'position'>

const lookups = new Map<SheetName, ReadonlyMap<string, Field>>(
  Object.entries(sheetFields).map(([sheet, fields]) => [
    sheet as SheetName,
    new Map(fields.map((one) => [one.name, one])),
  ]),
)

/**
 * A field of a sheet by its name, or undefined where the data dictionary has none of that name.
 *
 * @example fieldOf('tightenings', 'target_torque_ncm').unit // => "N·cm"
 */
export function fieldOf(sheet: SheetName, name: string): Field | undefined {
  return lookups.get(sheet)!.get(name)
}

/**
 * A field of a table that has to hold what is asked for.
 *
 * @throws UsageError `unknown-name` where the table has no field of that name and of one of the kinds; it names the
 *   nearest that it has
 */
export function namedField(table: TableName, name: string, kinds: readonly FieldKind[]): Field {
  const field = fieldOf(table, name)
  if (field !== undefined && kinds.includes(field.kind)) return field
  const known = sheetFields[table].filter((one) => kinds.includes(one.kind)).map((one) => one.name)
  const holds = kinds === labelKinds ? ' of labels' : kinds === numberKinds ? ' of numbers' : ''
  throw unknownName(`field${holds} in ${table}`, name, known)
}

/** Kinds of field that hold labels; a tooth position can be read as a label or as a number. */
export const labelKinds: readonly FieldKind[] = Object.freeze(['key', 'code', 'text', 'position'])

/** Kinds of field that hold numbers. */
export const numberKinds: readonly FieldKind[] = Object.freeze(['whole', 'number', 'position'])

/** Every kind of field. */
export const allKinds: readonly FieldKind[] = Object.freeze([...labelKinds, 'whole', 'number', 'date', 'day'])

const entriesOfTables: Readonly<Record<TableName, FieldEntries>> = {
  restorations: restorationEntries,
  tightenings: tighteningEntries,
  visits: visitEntries,
}

type Entries = typeof restorationEntries
type CovariateNameOf<Name extends keyof Entries> = Entries[Name] extends { readonly covariate: infer Made }
  ? Made extends { readonly name: infer Other }
    ? Other
    : Name
  : never

/** What may be adjusted for, by its name in plans and results. */
export type CovariateName = { [Name in keyof Entries]: CovariateNameOf<Name> }[keyof Entries] & string

/** Something that may be adjusted for, and the field that holds it. */
export interface Covariate extends CovariateEntry {
  readonly name: CovariateName
  readonly field: Field
}

/** What may be adjusted for: first what is by default, most important first, then the rest in the order of the fields. */
export const covariates: readonly Covariate[] = Object.freeze(
  restorationFields
    .filter((field) => field.covariate !== undefined)
    .map((field) =>
      Object.freeze({
        ...field.covariate,
        name: (field.covariate!.name ?? field.name) as CovariateName,
        field,
      }),
    )
    .sort(
      (left, right) => (left.rank ?? restorationFields.length) - (right.rank ?? restorationFields.length),
    ),
)

/** Names of what may be adjusted for. */
export const covariateNames: readonly CovariateName[] = Object.freeze(covariates.map(({ name }) => name))

/** Names of what is adjusted for by default, most important first. */
export const defaultCovariates: readonly CovariateName[] = Object.freeze(
  covariates.filter(({ rank }) => rank !== undefined).map(({ name }) => name),
)

/**
 * A covariate by its name.
 *
 * @throws UsageError `unknown-name` where there is none of that name; it names the nearest
 */
export function covariateOf(name: string): Covariate {
  const found = covariates.find((one) => one.name === name)
  if (found === undefined) throw unknownName('covariate', name, covariateNames)
  return found
}

/** Types of restoration. */
export const restorationTypes = restorationEntries.restoration_type.codes

/** One type of restoration. */
export type RestorationType = (typeof restorationTypes)[number]

/** Fields whose values are replaced by pseudonyms, with the letter that begins them and the field that holds the key. */
export const pseudonymFields: ReadonlyMap<string, { readonly letter: string; readonly keyField: string }> =
  new Map(
    tableNames.flatMap((table) =>
      Object.entries(entriesOfTables[table]).flatMap(([name, { pseudonym, pseudonymOf }]) =>
        pseudonym === undefined
          ? []
          : [[name, { letter: pseudonym, keyField: pseudonymOf ?? name }] as const],
      ),
    ),
  )

/** Fields by which, together, somebody could be singled out in the shareable form. */
export const quasiIdentifiers: readonly string[] = Object.freeze(
  restorationFields.filter((field) => field.quasiIdentifier).map((field) => field.name),
)
