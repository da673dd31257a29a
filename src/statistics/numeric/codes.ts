import { NumericalError } from '../../core/errors.js'

/** A column that names groups, patients or strata: whole numbers, or texts. */
export type CodeColumn = ArrayLike<number> | ArrayLike<string>

/** A column coded once into 0 … count − 1. */
export interface Codes {
  readonly codes: Int32Array
  readonly count: number
  /** Label of each code; numbers in numerical order, texts in order of their code units. */
  readonly labels: readonly string[]
}

/**
 * Codes a column of groups or strata into 0 … count − 1, in the order of the sorted labels.
 *
 * @throws NumericalError where an entry is neither a text nor a finite number
 */
export function codesOf(name: string, column: CodeColumn): Codes {
  return column.length > 0 && typeof column[0] === 'string'
    ? textCodes(name, column as ArrayLike<string>)
    : numberCodes(name, column as ArrayLike<number>)
}

/** One code for every row: the whole as one group. */
export function singleCode(rows: number, label = 'all'): Codes {
  return { codes: new Int32Array(rows), count: 1, labels: [label] }
}

function textCodes(name: string, column: ArrayLike<string>): Codes {
  const found = new Map<string, number>()
  const codes = new Int32Array(column.length)
  for (let row = 0; row < column.length; row++) {
    const label = column[row]!
    let code = found.get(label)
    if (code === undefined) {
      if (typeof label !== 'string') throw missingCode(name, row)
      code = found.size
      found.set(label, code)
    }
    codes[row] = code
  }
  return inOrder(codes, [...found.keys()], (a, b) => (a < b ? -1 : 1), String)
}

function numberCodes(name: string, column: ArrayLike<number>): Codes {
  const { lowest, highest, whole } = rangeOf(name, column)
  if (column.length > 0 && whole && highest - lowest < Math.max(1 << 16, 4 * column.length)) {
    return tableCodes(column, lowest, highest)
  }
  const found = new Map<number, number>()
  const codes = new Int32Array(column.length)
  for (let row = 0; row < column.length; row++) {
    const value = column[row]!
    let code = found.get(value)
    if (code === undefined) {
      code = found.size
      found.set(value, code)
    }
    codes[row] = code
  }
  return inOrder(codes, [...found.keys()], (a, b) => a - b, String)
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
    get labels() {
      const labels: string[] = []
      for (let value = 0; value < size; value++) if (present[value]! >= 0) labels.push(String(value + lowest))
      return labels
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
    if (!Number.isFinite(value)) throw missingCode(name, row)
    if (value < lowest) lowest = value
    if (value > highest) highest = value
    if (whole && Math.floor(value) !== value) whole = false
  }
  return { lowest, highest, whole }
}

function inOrder<T>(
  codes: Int32Array,
  found: readonly T[],
  compare: (a: T, b: T) => number,
  labelOf: (value: T) => string,
): Codes {
  const order = found.map((_value, code) => code).sort((a, b) => compare(found[a]!, found[b]!))
  const rank = new Int32Array(found.length)
  order.forEach((code, position) => {
    rank[code] = position
  })
  for (let row = 0; row < codes.length; row++) codes[row] = rank[codes[row]!]!
  return { codes, count: found.length, labels: order.map((code) => labelOf(found[code]!)) }
}

function missingCode(name: string, row: number): NumericalError {
  return new NumericalError({
    code: 'missing-code',
    problem: `column ${name} has no usable entry in row ${row + 1}.`,
    expected: 'a text or a finite number in every row, all of one kind.',
    mend: `leave out rows without ${name}, or give them a group of their own.`,
  })
}
