import { NumericalError } from '../../core/errors.js'

/** A column that names groups, patients or strata: whole numbers, or texts. */
export type CodeColumn = ArrayLike<string | number>

/** A column coded once into 0 … count − 1. */
export interface Codes {
  readonly codes: Int32Array
  readonly count: number
  /** Entry of the column behind each code; numbers in numerical order, texts in order of their code units. */
  readonly levels: readonly (string | number)[]
  /** The same as texts. */
  readonly labels: readonly string[]
}

/**
 * Codes a column of groups or strata into 0 … count − 1, in the order of the sorted labels.
 *
 * @throws NumericalError where an entry is neither a text nor a finite number
 */
export function codesOf(name: string, column: CodeColumn): Codes {
  return column.length > 0 && typeof column[0] === 'string'
    ? textCodes(name, column)
    : numberCodes(name, column as ArrayLike<number>)
}

/** One code for every row: the whole as one group. */
export function singleCode(rows: number, label = 'all'): Codes {
  return { codes: new Int32Array(rows), count: 1, levels: [label], labels: [label] }
}

/**
 * Codes a column in the order in which its entries first appear: for what draws clusters by number, where the order
 * of the labels must not matter.
 *
 * @throws NumericalError where an entry is neither a text nor a finite number
 */
export function codesAsSeen(name: string, column: CodeColumn): Codes {
  const { codes, found } = dictionaryCodes(name, column)
  return { codes, count: found.length, levels: found, labels: found.map(String) }
}

function dictionaryCodes(
  name: string,
  column: CodeColumn,
): { codes: Int32Array; found: (string | number)[] } {
  const seen = new Map<string | number, number>()
  const codes = new Int32Array(column.length)
  for (let row = 0; row < column.length; row++) {
    const value = column[row]!
    let code = seen.get(value)
    if (code === undefined) {
      if (!isLabel(value)) throw missingLabel(name, row, column.length)
      code = seen.size
      seen.set(value, code)
    }
    codes[row] = code
  }
  return { codes, found: [...seen.keys()] }
}

function isLabel(value: unknown): boolean {
  return typeof value === 'string' ? value !== '' : typeof value === 'number' && Number.isFinite(value)
}

/** Every row a cluster of its own. */
export function eachItsOwn(rows: number): Codes {
  const codes = Int32Array.from({ length: rows }, (_one, row) => row)
  return {
    codes,
    count: rows,
    get levels() {
      return Array.from(codes)
    },
    get labels() {
      return Array.from(codes, String)
    },
  }
}

function textCodes(name: string, column: CodeColumn): Codes {
  const { codes, found } = dictionaryCodes(name, column)
  return inOrder(codes, found)
}

function numberCodes(name: string, column: ArrayLike<number>): Codes {
  const { lowest, highest, whole } = rangeOf(name, column)
  if (column.length > 0 && whole && highest - lowest < Math.max(1 << 16, 4 * column.length)) {
    return tableCodes(column, lowest, highest)
  }
  const { codes, found } = dictionaryCodes(name, column)
  return inOrder(codes, found)
}

/** Whole numbers in a narrow range: a table of what occurs, no dictionary. */
function tableCodes(column: ArrayLike<number>, lowest: number, highest: number): Codes {
  const size = highest - lowest + 1
  const codeOf = new Int32Array(size)
  for (let row = 0; row < column.length; row++) codeOf[column[row]! - lowest] = 1
  let count = 0
  for (let value = 0; value < size; value++) codeOf[value] = codeOf[value] === 1 ? count++ : -1
  const codes = new Int32Array(column.length)
  for (let row = 0; row < column.length; row++) codes[row] = codeOf[column[row]! - lowest]!
  const present = codeOf
  return {
    codes,
    count,
    get levels() {
      return levelsOf(present, lowest)
    },
    get labels() {
      return levelsOf(present, lowest).map(String)
    },
  }
}

function rangeOf(
  name: string,
  column: ArrayLike<number>,
): { readonly lowest: number; readonly highest: number; readonly whole: boolean } {
  let lowest = Number.POSITIVE_INFINITY
  let highest = Number.NEGATIVE_INFINITY
  let whole = true
  for (let row = 0; row < column.length; row++) {
    const value = column[row]!
    if (!Number.isFinite(value)) throw missingLabel(name, row, column.length)
    if (value < lowest) lowest = value
    if (value > highest) highest = value
    if (whole && Math.floor(value) !== value) whole = false
  }
  return { lowest, highest, whole }
}

function levelsOf(present: Int32Array, lowest: number): number[] {
  const levels: number[] = []
  for (let value = 0; value < present.length; value++) if (present[value]! >= 0) levels.push(value + lowest)
  return levels
}

/** Numbers by size, anything else by its text. */
function before(a: string | number, b: string | number): number {
  if (typeof a === 'number' && typeof b === 'number') return a - b
  const [left, right] = [String(a), String(b)]
  return left < right ? -1 : left > right ? 1 : 0
}

function inOrder(codes: Int32Array, found: readonly (string | number)[]): Codes {
  const order = found.map((_value, code) => code).sort((a, b) => before(found[a]!, found[b]!))
  const rank = new Int32Array(found.length)
  order.forEach((code, position) => {
    rank[code] = position
  })
  for (let row = 0; row < codes.length; row++) codes[row] = rank[codes[row]!]!
  const levels = order.map((code) => found[code]!)
  return { codes, count: found.length, levels, labels: levels.map(String) }
}

/** What an empty or unreadable label says; the same whether it is found before the call or while coding. */
function missingLabel(name: string, row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'missing-label',
    problem: `column ${name} has no usable entry, first in row ${row + 1} of ${rows}.`,
    expected: 'a text or a finite number in every row, all of one kind.',
    mend: `leave out rows without ${name}, or give them a label of their own.`,
  })
}
