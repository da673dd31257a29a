import { type ErrorText, NumericalError, UsageError } from './errors.js'
import { nearestName } from './names.js'

/** What one argument or option may be; made from the types of the functions, never written by hand. */
export type Shape =
  | { readonly is: 'number'; readonly holds?: 'level' }
  | { readonly is: 'text' | 'flag' | 'function' | 'anything' }
  /** Columns by row: numbers; names of groups or patients; either of the two. All of one call have one length. */
  | { readonly is: 'column'; readonly holds?: ColumnContent }
  | { readonly is: 'labels' | 'covariate' }
  /** Numbers by row that may be missing (NaN, or nothing at all) or endless. */
  | { readonly is: 'column-with-holes' | 'column-without-end' }
  | { readonly is: 'one-of'; readonly values: readonly (string | number)[] }
  | { readonly is: 'list' | 'record'; readonly of: Field }
  | { readonly is: 'tuple'; readonly of: readonly Field[] }
  | { readonly is: 'either'; readonly of: readonly Field[] }
  | { readonly is: 'object'; readonly fields: Readonly<Record<string, Field>> }
  /** What another function answered: taken as it is, once the names that it must have are there. */
  | { readonly is: 'result'; readonly needs: readonly string[] }

/** Amounts are zero or more; events are 0 or 1; causes are 0 for none, or the number of the cause. */
type ColumnContent = 'amounts' | 'events' | 'causes'

type ColumnKind = 'column' | 'labels' | 'covariate' | 'column-with-holes' | 'column-without-end'

/** A shape that may be left out. */
export type Field = Shape & { readonly optional?: true }

/** One parameter of a function. */
export type Parameter = Field & { readonly name: string }

/** All parameters of a function. */
export type Signature = readonly Parameter[]

/** Other names of values, in lower case without signs, each with what it may stand for: `dl` for `dersimonian-laird`. */
export type Aliases = Readonly<Record<string, readonly string[]>>

/** Where a value stands, and what was seen of the columns of the same call. */
interface Place {
  readonly call: string
  readonly path: string
  readonly aliases: Aliases
  readonly rows: { first?: { readonly name: string; readonly length: number } }
}

/**
 * Checks the arguments of one call: unknown names and values are refused with those that are allowed and the nearest
 * one, columns in one pass each.
 *
 * @returns the arguments, with other names of values replaced by the one name the function knows
 * @throws UsageError for a call that makes no sense; NumericalError for a column that is none
 */
export function checkedArguments(
  call: string,
  signature: Signature,
  given: readonly unknown[],
  aliases: Aliases = {},
): readonly unknown[] {
  if (given.length > signature.length) throw tooMany(call, signature, given.length)
  const rows = {}
  return signature
    .map((parameter, i) => settle(parameter, given[i], { call, path: parameter.name, aliases, rows }))
    .slice(0, given.length)
}

function settle(field: Field, value: unknown, at: Place): unknown {
  if (value === undefined) {
    if (field.optional) return undefined
    throw missing(field, at)
  }
  switch (field.is) {
    case 'anything':
      return value
    case 'number':
      return settleNumber(value, at, field.holds === 'level')
    case 'text':
    case 'flag':
    case 'function':
      if (!fits(field, value)) throw wrongKind(field, value, at)
      return value
    case 'one-of':
      return settleChoice(field.values, value, at)
    case 'column':
    case 'labels':
    case 'covariate':
    case 'column-with-holes':
    case 'column-without-end':
      checkColumn(field.is, value, at)
      if (field.is === 'column' && field.holds !== undefined)
        checkHeld(field.holds, value as ArrayLike<number>, at)
      return value
    case 'list':
      return settleList(field, field.of, value, at)
    case 'tuple':
      if (!isListLike(value) || value.length !== field.of.length) throw wrongKind(field, value, at)
      return field.of.map((one, i) => settle(one, value[i], below(at, String(i + 1))))
    case 'record':
      return settleNamed(field, value, at, () => field.of)
    case 'object':
      return settleObject(field, value, at)
    case 'either':
      return settleEither(field, value, at)
    case 'result':
      if (!fits(field, value)) throw wrongKind(field, value, at)
      return value
  }
}

function settleNumber(value: unknown, at: Place, level: boolean): number {
  if (typeof value !== 'number') throw wrongKind({ is: 'number' }, value, at)
  if (!Number.isFinite(value)) {
    throw new NumericalError({
      code: 'not-finite',
      problem: `${at.path} of ${at.call} is ${value}.`,
      expected: 'a finite number.',
      mend: `compute ${at.path} first, or leave the call out where it is missing.`,
    })
  }
  if (level && !(value > 0 && value < 1)) {
    throw new NumericalError({
      code: 'level-out-of-range',
      problem: `the confidence level is ${value}.`,
      expected: 'a share between 0 and 1, such as 0.95.',
      mend: 'write 95% as 0.95.',
    })
  }
  return value
}

function settleChoice(values: readonly (string | number)[], value: unknown, at: Place): string | number {
  if (values.includes(value as string | number)) return value as string | number
  if (typeof value === 'string') {
    const plain = plainly(value)
    const same = values.filter((one) => plainly(String(one)) === plain)
    if (same.length === 1) return same[0]!
    const meant = Object.hasOwn(at.aliases, plain) ? at.aliases[plain]! : []
    const other = meant.find((one) => values.includes(one))
    if (other !== undefined) return other
  }
  const near = typeof value === 'string' ? nearestName(value, values.map(String)) : undefined
  throw new UsageError({
    code: 'unknown-value',
    problem: `${at.path} of ${at.call} is ${shown(value)}, which it does not know.`,
    expected: `one of ${listed(values.map(String))}.`,
    mend:
      near === undefined ? 'take one of these, or leave it out for the default.' : `did you mean ${near}?`,
  })
}

function settleList(field: Shape, of: Field, value: unknown, at: Place): unknown {
  if (!isListLike(value)) throw wrongKind(field, value, at)
  if (of.is === 'number') {
    checkNumbers(value, at)
    return value
  }
  let settled: unknown[] | undefined
  const asIs = of.is === 'text' || of.is === 'flag' || of.is === 'function' || of.is === 'anything'
  for (let i = 0; i < value.length; i++) {
    // What is taken as it is needs no place: that is for whoever made a mistake.
    if (asIs && fits(of, value[i])) continue
    const one = settle(of, value[i], { ...below(at, String(i + 1)), rows: {} })
    if (one !== value[i]) {
      settled ??= Array.from(value)
      settled[i] = one
    }
  }
  return settled ?? value
}

function settleObject(field: Shape & { readonly is: 'object' }, value: unknown, at: Place): unknown {
  const names = Object.keys(field.fields)
  const settled = settleNamed(field, value, at, (name) => {
    if (Object.hasOwn(field.fields, name)) return field.fields[name]!
    throw unknownName(name, names, at)
  })
  for (const name of names) {
    if (!field.fields[name]!.optional && (value as Record<string, unknown>)[name] === undefined) {
      throw missing(field.fields[name]!, below(at, name))
    }
  }
  return settled
}

function settleNamed(field: Shape, value: unknown, at: Place, shapeOf: (name: string) => Field): unknown {
  if (!isPlainObject(value)) throw wrongKind(field, value, at)
  let settled: Record<string, unknown> | undefined
  for (const [name, own] of Object.entries(value)) {
    const shape = shapeOf(name)
    const one = own === undefined && field.is === 'object' ? undefined : settle(shape, own, below(at, name))
    if (one !== own) {
      settled ??= { ...value }
      settled[name] = one
    }
  }
  return settled ?? value
}

/** Takes the first alternative that the value looks like; where none does, the one that misses least. */
function settleEither(field: Shape & { readonly is: 'either' }, value: unknown, at: Place): unknown {
  const fitting = field.of.find((one) => fits(one, value))
  if (fitting !== undefined) return settle(fitting, value, at)
  if (isPlainObject(value)) {
    const objects = field.of.filter((one) => one.is === 'object')
    const kinds = discriminants(objects)
    const [name, values] = kinds ?? []
    if (name !== undefined && values !== undefined && !values.includes(value[name] as string)) {
      settleChoice(values, value[name], below(at, name))
    }
    const shared = (one: Field): number =>
      one.is === 'object' ? Object.keys(value).filter((own) => speaksFor(one, own, value[own])).length : 0
    const closest = objects.reduce<Field | undefined>(
      (best, one) => (best === undefined || shared(one) > shared(best) ? one : best),
      undefined,
    )
    if (closest !== undefined) return settle(closest, value, at)
  }
  const choices = field.of.flatMap((one) => (one.is === 'one-of' ? one.values : []))
  if (choices.length > 0 && typeof value === 'string') return settleChoice(choices, value, at)
  throw wrongKind(field, value, at)
}

/** The name whose one value tells the alternatives apart, with the values of all of them. */
function discriminants(objects: readonly Field[]): readonly [string, readonly string[]] | undefined {
  const first = objects[0]
  if (first === undefined || first.is !== 'object') return undefined
  const name = Object.keys(first.fields).find((own) =>
    objects.every((one) => {
      const field = one.is === 'object' ? one.fields[own] : undefined
      return field?.is === 'one-of' && field.values.length === 1
    }),
  )
  if (name === undefined) return undefined
  return [
    name,
    objects.flatMap((one) => {
      const field = one.is === 'object' ? one.fields[name] : undefined
      return field?.is === 'one-of' ? field.values.map(String) : []
    }),
  ]
}

/** Whether a name of the value is one that this alternative reads; its own kind counts for all. */
function speaksFor(one: Field & { readonly is: 'object' }, name: string, value: unknown): boolean {
  const field = Object.hasOwn(one.fields, name) ? one.fields[name]! : undefined
  return (
    field !== undefined && (field.is !== 'one-of' || field.values.length > 1 || field.values[0] === value)
  )
}

function fits(field: Field, value: unknown): boolean {
  switch (field.is) {
    case 'anything':
      return true
    case 'number':
      return typeof value === 'number'
    case 'text':
      return typeof value === 'string'
    case 'flag':
      return typeof value === 'boolean'
    case 'function':
      return typeof value === 'function'
    case 'one-of':
      return field.values.includes(value as string | number)
    case 'column':
    case 'labels':
    case 'covariate':
    case 'column-with-holes':
    case 'column-without-end':
    case 'list':
    case 'tuple':
      return isListLike(value)
    case 'record':
      return isPlainObject(value)
    case 'object':
      return (
        isPlainObject(value) &&
        Object.entries(field.fields).every(
          ([name, one]) =>
            (one.optional || value[name] !== undefined) &&
            (one.is !== 'one-of' || one.values.length > 1 || value[name] === one.values[0]),
        )
      )
    case 'either':
      return field.of.some((one) => fits(one, value))
    case 'result':
      return isPlainObject(value) && field.needs.every((name) => value[name] !== undefined)
  }
}

/** Numbers, or names; one pass, and none over typed arrays of whole numbers, which can hold nothing else. */
function checkColumn(is: ColumnKind, value: unknown, at: Place): void {
  if (!isListLike(value)) throw notAColumn(is, value, at)
  const name = at.path.slice(at.path.lastIndexOf('.') + 1)
  const first = at.rows.first
  if (first === undefined) at.rows.first = { name, length: value.length }
  else if (first.length !== value.length) throw unequalLength(name, value.length, first)
  const texts = (is === 'labels' || is === 'covariate') && typeof value[0] === 'string'
  if (texts) checkTexts(name, value)
  else checkNumbers(value, { ...at, path: name }, is)
}

function checkHeld(holds: ColumnContent, column: ArrayLike<number>, at: Place): void {
  const name = at.path.slice(at.path.lastIndexOf('.') + 1)
  for (let row = 0; row < column.length; row++) {
    const value = column[row]!
    if (holds === 'amounts' && value < 0) throw negative(name, row, column.length)
    if (holds === 'events' && value !== 0 && value !== 1) throw notZeroOne(name, row, column.length)
    if (holds === 'causes' && !(value >= 0 && Number.isInteger(value)))
      throw notACause(name, row, column.length)
  }
}

function checkTexts(name: string, column: ArrayLike<unknown>): void {
  for (let row = 0; row < column.length; row++) {
    const value = column[row]
    if (typeof value !== 'string' || value === '') throw missingLabel(name, row, column.length)
  }
}

function checkNumbers(column: ArrayLike<unknown>, at: Place, is: ColumnKind = 'column'): void {
  if (ArrayBuffer.isView(column) && !(column instanceof Float64Array) && !(column instanceof Float32Array)) {
    if (column instanceof BigInt64Array || column instanceof BigUint64Array)
      throw notNumbers(column[0], 0, column.length, at)
    return
  }
  const row = firstUnusable(column, is)
  if (row < 0) return
  const value = column[row]
  if (is === 'labels') throw missingLabel(at.path, row, column.length)
  if (value === undefined || value === null || typeof value === 'number') {
    throw new NumericalError({
      code: 'not-finite',
      problem: `column ${at.path} holds a missing or infinite value, first in row ${row + 1} of ${column.length}.`,
      expected: 'a finite number in every row.',
      mend: `leave out rows without ${at.path}, or impute them, before the call.`,
    })
  }
  throw notNumbers(value, row, column.length, at)
}

function firstUnusable(column: ArrayLike<unknown>, is: ColumnKind): number {
  if (is === 'column-with-holes')
    return firstOf(column, (value) => typeof value !== 'number' && value != null)
  if (is === 'column-without-end')
    return firstOf(column, (value) => typeof value !== 'number' || Number.isNaN(value))
  return column instanceof Float64Array ? firstNotFinite(column) : firstNoNumber(column)
}

function firstOf(column: ArrayLike<unknown>, unusable: (value: unknown) => boolean): number {
  for (let row = 0; row < column.length; row++) if (unusable(column[row])) return row
  return -1
}

function firstNotFinite(column: Float64Array): number {
  for (let row = 0; row < column.length; row++) if (!Number.isFinite(column[row])) return row
  return -1
}

function firstNoNumber(column: ArrayLike<unknown>): number {
  for (let row = 0; row < column.length; row++) {
    const value = column[row]
    if (typeof value !== 'number' || !Number.isFinite(value)) return row
  }
  return -1
}

function isListLike(value: unknown): value is ArrayLike<unknown> {
  if (Array.isArray(value) || (ArrayBuffer.isView(value) && !(value instanceof DataView))) return true
  return (
    typeof value === 'object' &&
    value !== null &&
    'length' in value &&
    Number.isSafeInteger(value.length) &&
    (value.length as number) >= 0
  )
}

function isPlainObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !isListLike(value) && !(value instanceof Date)
}

/** Lower case, signs and spaces left out: how names are compared. */
export function plainly(text: string): string {
  return text.toLowerCase().replace(/[^\p{L}\p{N}]/gu, '')
}

function below(at: Place, name: string): Place {
  return { ...at, path: at.path === 'options' ? name : `${at.path}.${name}` }
}

function listed(names: readonly string[]): string {
  return names.length === 0 ? 'none' : names.join(', ')
}

function kindOf(value: unknown): string {
  if (value === null) return 'null'
  if (value instanceof Date) return 'a date'
  if (isListLike(value)) return `a list of ${value.length}`
  return typeof value === 'object' ? 'an object' : `a ${typeof value}`
}

/** A value of the call as an error may show it: choices and numbers of options, never an entry of a column. */
function shown(value: unknown): string {
  return typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean'
    ? JSON.stringify(value)
    : kindOf(value)
}

function described(field: Field): ErrorText {
  switch (field.is) {
    case 'anything':
      return 'anything'
    case 'number':
      return 'a number'
    case 'text':
      return 'a text'
    case 'flag':
      return 'true or false'
    case 'function':
      return 'a function'
    case 'column':
    case 'column-with-holes':
    case 'column-without-end':
      return 'a column of numbers'
    case 'labels':
    case 'covariate':
      return 'a column of numbers or texts'
    case 'one-of':
      return `one of ${listed(field.values.map(String))}`
    case 'list':
      return `a list, each ${described(field.of)}`
    case 'tuple':
      return `a list of ${field.of.length}`
    case 'record':
      return `an object, by name ${described(field.of)}`
    case 'object':
      return `an object with ${listed(Object.keys(field.fields))}`
    case 'either':
      return field.of.map(described).join(', or ')
    case 'result':
      return `a result of the function that computes it, with ${listed(field.needs.slice(0, 6))}`
  }
}

function wrongKind(field: Field, value: unknown, at: Place): UsageError {
  return new UsageError({
    code: 'wrong-kind',
    problem: `${at.path} of ${at.call} is ${kindOf(value)}.`,
    expected: `${described(field)}.`,
    mend: `pass ${at.path} as that.`,
  })
}

function missing(field: Field, at: Place): UsageError {
  return new UsageError({
    code: 'missing-argument',
    problem: `${at.path} of ${at.call} is missing.`,
    expected: `${described(field)}.`,
    mend: `pass ${at.path}.`,
  })
}

function tooMany(call: string, signature: Signature, given: number): UsageError {
  return new UsageError({
    code: 'too-many-arguments',
    problem: `${call} was given ${given} arguments.`,
    expected: `${signature.length}: ${listed(signature.map((one) => one.name))}.`,
    mend: 'columns come first, everything else goes into one object of options.',
  })
}

function unknownName(name: string, names: readonly string[], at: Place): UsageError {
  const near = nearestName(name, names)
  return new UsageError({
    code: 'unknown-option',
    problem: `${at.path} of ${at.call} holds ${name}, which it does not read.`,
    expected: `only ${listed(names)}.`,
    mend: near === undefined ? `leave ${name} out.` : `did you mean ${near}?`,
  })
}

function notAColumn(is: ColumnKind, value: unknown, at: Place): NumericalError {
  return new NumericalError({
    code: 'not-a-column',
    problem: `${at.path} of ${at.call} is ${kindOf(value)}.`,
    expected: `${described({ is })}, one entry per row.`,
    mend: `pass ${at.path} as an array.`,
  })
}

function notNumbers(value: unknown, row: number, rows: number, at: Place): NumericalError {
  const kind = kindOf(value)
  return new NumericalError({
    code: 'not-numbers',
    problem: `column ${at.path} holds ${kind === 'a string' ? 'a text' : kind}, first in row ${row + 1} of ${rows}.`,
    expected: 'a finite number in every row.',
    mend:
      value instanceof Date
        ? 'pass times as days since the origin of each row, not as dates.'
        : `convert ${at.path} to numbers before the call; true and false are 1 and 0.`,
  })
}

function negative(name: string, row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'negative',
    problem: `column ${name} holds a negative value, first in row ${row + 1} of ${rows}.`,
    expected: 'zero or more in every row.',
    mend: `correct or leave out the rows with negative ${name}.`,
  })
}

function notACause(name: string, row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'not-a-cause',
    problem: `column ${name} holds something other than whole numbers from 0 on, first in row ${row + 1} of ${rows}.`,
    expected: '0 where the row was censored, otherwise the number of the cause: 1, 2, …',
    mend: 'code censoring as 0 and events as 1, 2, …; leave out rows without an outcome.',
  })
}

function notZeroOne(name: string, row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'not-zero-one',
    problem: `column ${name} holds something other than 0 and 1, first in row ${row + 1} of ${rows}.`,
    expected: '1 where the event was observed and 0 where it was not.',
    mend: `code ${name} as 0 and 1.`,
  })
}

function missingLabel(name: string, row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'missing-label',
    problem: `column ${name} has no usable entry, first in row ${row + 1} of ${rows}.`,
    expected: 'a text or a finite number in every row, all of one kind.',
    mend: `leave out rows without ${name}, or give them a label of their own.`,
  })
}

function unequalLength(
  name: string,
  length: number,
  first: { readonly name: string; readonly length: number },
): NumericalError {
  return new NumericalError({
    code: 'unequal-length',
    problem: `column ${name} has ${length} rows where ${first.name} has ${first.length}.`,
    expected: 'columns of one length, one entry per row.',
    mend: 'pass columns of the same table.',
  })
}
