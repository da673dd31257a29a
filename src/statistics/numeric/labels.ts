import { NumericalError } from '../../core/errors.js'

/** Labels of rows: names or numbers that say which stratum, patient or group a row belongs to. */
export type Labels = ArrayLike<string | number>

/** Rows by the number of their label. */
export interface LabelCodes {
  /** Position of the row's label in `levels`. */
  readonly codes: Int32Array
  /** Distinct labels: numbers ascending, else texts by code unit. */
  readonly levels: readonly (string | number)[]
}

/** Widest range of whole numbers, per row, that is looked up in a table instead of a dictionary. */
const tableShare = 4

/**
 * Numbers the distinct labels in ascending order.
 *
 * @param name what the labels are, for the error
 * @throws NumericalError `missing-label` where a row has no label
 */
export function encodeLabels(labels: Labels, name = 'labels'): LabelCodes {
  return encodeSmallIntegers(labels) ?? encodeAny(labels, name)
}

function encodeSmallIntegers(labels: Labels): LabelCodes | undefined {
  if (labels.length === 0) return { codes: new Int32Array(0), levels: [] }
  let least = Number.POSITIVE_INFINITY
  let most = Number.NEGATIVE_INFINITY
  for (let row = 0; row < labels.length; row++) {
    const label = labels[row]
    if (typeof label !== 'number' || !Number.isInteger(label)) return undefined
    if (label < least) least = label
    if (label > most) most = label
  }
  if (!(most - least < tableShare * labels.length + 1024)) return undefined
  const present = new Int32Array(most - least + 1)
  for (let row = 0; row < labels.length; row++) present[(labels[row] as number) - least] = 1
  const levels: number[] = []
  for (let value = 0; value < present.length; value++) {
    if (present[value] === 1) {
      present[value] = levels.length
      levels.push(value + least)
    }
  }
  const codes = new Int32Array(labels.length)
  for (let row = 0; row < labels.length; row++) codes[row] = present[(labels[row] as number) - least]!
  return { codes, levels }
}

function encodeAny(labels: Labels, name: string): LabelCodes {
  const firstSeen = new Map<string | number, number>()
  const codes = new Int32Array(labels.length)
  for (let row = 0; row < labels.length; row++) {
    const label = labels[row]
    if (label === undefined || label === null || label === '' || Number.isNaN(label)) {
      throw missingLabel(name, row, labels.length)
    }
    let code = firstSeen.get(label)
    if (code === undefined) {
      code = firstSeen.size
      firstSeen.set(label, code)
    }
    codes[row] = code
  }
  const seen = [...firstSeen.keys()]
  const levels = [...seen].sort(byNumberThenText)
  const position = new Map(levels.map((level, i) => [level, i]))
  const renumbered = Int32Array.from(seen, (level) => position.get(level)!)
  for (let row = 0; row < codes.length; row++) codes[row] = renumbered[codes[row]!]!
  return { codes, levels }
}

function byNumberThenText(a: string | number, b: string | number): number {
  if (typeof a === 'number' && typeof b === 'number') return a - b
  const [left, right] = [String(a), String(b)]
  return left < right ? -1 : left > right ? 1 : 0
}

function missingLabel(name: string, row: number, rows: number): NumericalError {
  return new NumericalError({
    code: 'missing-label',
    problem: `column ${name} is empty, first in row ${row + 1} of ${rows}.`,
    expected: 'a label in every row.',
    mend: `leave out rows without ${name}, or give them a label of their own.`,
  })
}
