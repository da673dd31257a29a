/** A part of the text of an error: what is wrong with one field, say. */
export type ErrorText = string

/** What every error of the toolkit carries besides its message. */
export interface ErrorDetail {
  /** Stable kebab-case code, for programs and tests. */
  readonly code: string
  /** What was found, in words that identify nobody. */
  readonly problem: string
  /** What was expected instead. */
  readonly expected: string
  /** What the user can do about it. */
  readonly mend: string
}

/**
 * Base of all errors that the toolkit throws on purpose; anything else is a fault of the software.
 *
 * @example (() => { try { incidence(cohort, { by: 'operater_id' }) } catch (error) { return error instanceof HoldfastError && error.code } })() // => "unknown-name"
 */
export abstract class HoldfastError extends Error {
  readonly code: string
  readonly problem: string
  readonly expected: string
  readonly mend: string

  constructor(detail: ErrorDetail, where = '') {
    super(wholeText(detail, where))
    this.name = new.target.name
    this.code = detail.code
    this.problem = detail.problem
    this.expected = detail.expected
    this.mend = detail.mend
  }
}

function wholeText({ problem, expected, mend }: ErrorDetail, where: string): ErrorText {
  return `${where === '' ? '' : `${where}: `}${problem} Expected: ${expected} Mend: ${mend}`
}

/** Where in a file a record error lies; rows count from 1 and include the header row. */
export interface RecordPlace {
  readonly file?: string
  readonly row?: number
  readonly column?: string
}

/** Something is wrong with the records or the files that hold them. */
export class RecordError extends HoldfastError {
  readonly place: RecordPlace

  constructor(detail: ErrorDetail, place: RecordPlace = {}) {
    super(detail, placeInWords(place))
    this.place = place
  }
}

function placeInWords(place: RecordPlace): string {
  const parts: string[] = []
  if (place.file !== undefined) parts.push(place.file)
  if (place.row !== undefined) parts.push(`row ${place.row}`)
  if (place.column !== undefined) parts.push(`column ${place.column}`)
  return parts.join(', ')
}

/** The records are readable, but no cohort can be made of them as asked. */
export class CohortError extends HoldfastError {}

/** A number cannot be computed from the columns given; names the column and the mend. */
export class NumericalError extends HoldfastError {}

/** Something would leave the practice that must not. */
export class DisclosureError extends HoldfastError {}

/** The toolkit was called in a way that makes no sense: an option, a path, a command. */
export class UsageError extends HoldfastError {}

/** Process exit codes: 1 the data, 2 the call, 3 a fault of the software. */
export const exitCodes = { ok: 0, data: 1, usage: 2, fault: 3 } as const

/** Exit code for anything thrown. */
export function exitCodeOf(thrown: unknown): number {
  if (thrown instanceof UsageError) return exitCodes.usage
  if (thrown instanceof HoldfastError) return exitCodes.data
  return exitCodes.fault
}
