import { RecordError, type RecordPlace } from '../core/errors.js'
import type { CodeParameters } from '../core/estimate.js'
import type { LeftOut, RecordProblem, Severity } from './dataset.js'

/** A problem as a check states it, without its rows. */
export interface ProblemKind {
  readonly severity: Severity
  readonly code: string
  readonly file?: string
  readonly column?: string
  readonly problem: string
  readonly expected: string
  readonly mend: string
  /** What the messages `problem.….<code>` need to say the same. */
  readonly parameters?: CodeParameters
  /** What is left out where the user sets the problem aside by its code; absent where only mending helps. */
  readonly leavesOut?: LeftOut
}

interface OpenProblem extends ProblemKind {
  readonly leftOut?: LeftOut
  count: number
  readonly rows: number[]
}

const leftOutWords: Readonly<Record<LeftOut, string>> = {
  restoration: 'the restorations concerned are left out',
  row: 'the rows are left out',
  value: 'the values count as unknown',
}

const leaveOutWords: Readonly<Record<LeftOut, string>> = {
  restoration: 'the restorations concerned',
  row: 'the rows',
  value: 'the values',
}

const order: readonly Severity[] = ['stop', 'set-aside', 'warn', 'note']

/** Gathers the problems of a run: one entry for each code, file, column and wording, with count and rows. */
export class ProblemList {
  /** How many rows a problem lists; the count goes on. */
  static readonly listedRows = 1_000

  readonly #open = new Map<string, OpenProblem>()
  readonly #named: ReadonlySet<string>

  /** @param setAside codes of problems that the user has set aside by name */
  constructor(setAside: Iterable<string> = []) {
    this.#named = new Set(setAside)
  }

  /** Whether a problem is set aside by the user's word instead of stopping the run. */
  isSetAsideByName({ code, leavesOut }: Pick<ProblemKind, 'code' | 'leavesOut'>): boolean {
    return leavesOut !== undefined && this.#named.has(code)
  }

  /** Adds a problem, or one more row of a problem that is already there. */
  add(stated: ProblemKind, row?: number, count = 1): void {
    const kind = this.#judged(stated)
    const key = [kind.severity, kind.code, kind.file, kind.column, kind.problem].join('\u0000')
    let problem = this.#open.get(key)
    if (problem === undefined) {
      problem = { ...kind, count: 0, rows: [] }
      this.#open.set(key, problem)
    }
    problem.count += count
    if (row !== undefined && problem.rows.length < ProblemList.listedRows) problem.rows.push(row)
  }

  #judged(kind: ProblemKind): ProblemKind & Pick<OpenProblem, 'leftOut'> {
    if (kind.severity !== 'stop' || kind.leavesOut === undefined) return kind
    if (this.isSetAsideByName(kind)) {
      return {
        ...kind,
        severity: 'set-aside',
        leftOut: kind.leavesOut,
        problem: `${kind.problem.replace(/\.$/, '')}: ${leftOutWords[kind.leavesOut]} by the user's word (--set-aside ${kind.code}).`,
      }
    }
    const otherwise = `or leave ${leaveOutWords[kind.leavesOut]} out by name: --set-aside ${kind.code}.`
    return { ...kind, mend: `${kind.mend.replace(/\.$/, '')}; ${otherwise}` }
  }

  /** What was set aside by the user's word: codes with the rows they left out. */
  setAsideByName(): readonly { readonly code: string; readonly count: number }[] {
    const counts = new Map([...this.#named].map((code) => [code, 0]))
    for (const one of this.#open.values()) {
      if (one.severity === 'set-aside' && counts.has(one.code) && one.leavesOut !== undefined) {
        counts.set(one.code, counts.get(one.code)! + one.count)
      }
    }
    return [...counts].map(([code, count]) => ({ code, count }))
  }

  get stops(): boolean {
    for (const problem of this.#open.values()) if (problem.severity === 'stop') return true
    return false
  }

  /** Whether something stops that lies in the given file. */
  stopsFor(file: string): boolean {
    return [...this.#open.values()].some((problem) => problem.severity === 'stop' && problem.file === file)
  }

  /** All problems, worst first, otherwise in the order in which they were found; rows ascending, each once. */
  all(): readonly RecordProblem[] {
    return Object.freeze(
      [...this.#open.values()]
        .sort((left, right) => order.indexOf(left.severity) - order.indexOf(right.severity))
        .map(frozenProblem),
    )
  }
}

function frozenProblem(open: OpenProblem): RecordProblem {
  const rows = [...new Set(open.rows)].sort((left, right) => left - right)
  const place: RecordPlace = {
    ...(open.file === undefined ? {} : { file: open.file }),
    ...(rows.length === 1 && open.count === 1 ? { row: rows[0]! } : {}),
    ...(open.column === undefined ? {} : { column: open.column }),
  }
  return Object.freeze({
    severity: open.severity,
    code: open.code,
    place: Object.freeze(place),
    problem: open.problem,
    expected: open.expected,
    mend: open.mend,
    ...(open.parameters === undefined ? {} : { parameters: Object.freeze(open.parameters) }),
    ...(open.leftOut === undefined ? {} : { leftOut: open.leftOut }),
    count: open.count,
    rows: Object.freeze(rows),
  })
}

/**
 * The records cannot be used as they are. `problems` holds everything that was found, what stops first; the message
 * lists what stops in full and counts the rest.
 */
export class RecordsRefused extends RecordError {
  readonly problems: readonly RecordProblem[]

  constructor(problems: readonly RecordProblem[]) {
    const stops = problems.filter((one) => one.severity === 'stop')
    super({
      code: 'records-refused',
      problem: `the records cannot be used as they are: ${stops.length === 1 ? '1 problem stops' : `${stops.length} problems stop`} the run.\n${stops.map((one, index) => `${index + 1}. ${problemInWords(one)}`).join('\n')}\n`,
      expected: 'records in which nothing stops.',
      mend: `put right what is listed, in a copy of the files, and run again${restInWords(problems)}.`,
    })
    this.problems = problems
  }
}

function restInWords(problems: readonly RecordProblem[]): string {
  const others = problems.filter((one) => one.severity !== 'stop').length
  if (others === 0) return ''
  return ` (${others} more ${others === 1 ? 'problem was' : 'problems were'} found that would not stop it)`
}

/**
 * One problem on one line: place, rows, what was found, what was expected, the mend.
 *
 * @example problemInWords(records.quality.problems[0]).slice(0, 41) // => "restorations.csv, column restoration_id, "
 */
export function problemInWords(problem: RecordProblem): string {
  const place = [
    problem.place.file,
    problem.place.column && `column ${problem.place.column}`,
    rowsInWords(problem),
  ]
  const where = place.filter((part) => part !== undefined && part !== '').join(', ')
  return `${where === '' ? '' : `${where}: `}${problem.problem} Expected: ${problem.expected} Mend: ${problem.mend}`
}

/** Rows of a problem in words: the first ten, and how many more. */
export function rowsInWords(problem: RecordProblem, shown = 10): string {
  const { rows, count } = problem
  if (rows.length === 0) return ''
  if (rows.length === 1 && count <= 1) return `row ${rows[0]}`
  const first = rows.slice(0, shown).join(', ')
  const more = Math.max(count, rows.length) - Math.min(rows.length, shown)
  return `rows ${first}${more > 0 ? ` and ${more} more` : ''}`
}
