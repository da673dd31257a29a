import { availableParallelism } from 'node:os'
import { Worker } from 'node:worker_threads'
import { type ProblemKind, ProblemList } from '../problems.js'
import { isKnownHeader } from '../understand/headerSynonyms.js'
import type { HeaderSettings } from './headerRow.js'
import type { FileInspection } from './inspect.js'
import type { TextTable } from './textTable.js'

/** A file of text that the thread is to read. */
export interface ReadingOrder {
  readonly path: string
  readonly name: string
  readonly inspection: FileInspection
  readonly header: Omit<HeaderSettings, 'isHeader'>
  /** Whether the header is known by the names that the toolkit knows. */
  readonly knowsHeaders: boolean
}

/** A problem with the rows in which it was found. */
export interface FoundProblem {
  readonly kind: ProblemKind
  readonly rows: number[]
  count: number
}

/** What the thread tells: how far it has come, then what it read. */
export type ReadingReport =
  | { readonly bytes: number }
  | { readonly text: TextTable; readonly problems: readonly FoundProblem[] }

/** A file that was read beside others; its problems are not told yet, so that they come in the order of the files. */
export interface ReadBeside {
  readonly text: TextTable
  tell(problems: ProblemList): void
}

/** A thread that reads files of text. */
export interface ReadingThread {
  /** What a file holds; undefined where the thread fails: the caller then reads by itself, and hears what stands in the way. */
  read(order: ReadingOrder, onRead: (bytes: number) => void): Promise<ReadBeside | undefined>
  close(): void
}

/** When files are read in two threads; for tests. */
export interface ReadingThreadOptions {
  /** File of the thread. */
  readonly file?: URL
  /** Bytes of text in all from which a thread is started. */
  readonly leastBytes?: number
}

/** The thread as built; a thread cannot run the sources, which tests do. */
const threadFile = import.meta.url.endsWith('.ts')
  ? undefined
  : new URL('./readingThread.js', import.meta.url)

/** Starting a thread takes a quarter of a second of processor time; so much text takes two. */
const worthAThread = 32 << 20

/** Opens the thread where there is a second processor and enough to read. */
export function openReadingThread(
  bytes: number,
  { file = threadFile, leastBytes = worthAThread }: ReadingThreadOptions = {},
): ReadingThread | undefined {
  if (file === undefined || bytes < leastBytes) return undefined
  if (process.env.HOLDFAST_THREADS === '1' || availableParallelism() === 1) return undefined
  const thread = new Worker(file)
  const nobody = (): void => undefined
  let take: (report: ReadingReport | undefined) => void = nobody
  let alive = true
  const fail = (): void => {
    alive = false
    take(undefined)
  }
  thread.on('message', (report: ReadingReport) => take(report))
  thread.once('error', fail).once('exit', fail)
  return {
    read: (order, onRead) =>
      new Promise((resolve) => {
        if (!alive) return resolve(undefined)
        take = (report) => {
          if (report !== undefined && 'bytes' in report) return onRead(report.bytes)
          // The thread, and a message while it is delivered, last until the caller next waits, which may be at the end of an audit:
          // what was read would be kept as long.
          take = nobody
          if (report === undefined) return resolve(undefined)
          const { text, problems } = report
          setImmediate(resolve, { text, tell: (list) => tellAll(problems, list) } satisfies ReadBeside)
        }
        thread.postMessage(order)
      }),
    close: () => void thread.terminate(),
  }
}

/** Whether the thread can look for the header as the caller would: it can be given no function. */
export function readsAlike({ isHeader }: HeaderSettings): boolean {
  return isHeader === undefined || isHeader === isKnownHeader
}

function tellAll(found: readonly FoundProblem[], problems: ProblemList): void {
  for (const { kind, rows, count } of found) {
    for (const row of rows) problems.add(kind, row)
    if (count > rows.length) problems.add(kind, undefined, count - rows.length)
  }
}

/** Keeps problems as they are stated, until they are told to the list of the run, which knows what is set aside by name. */
export class KeptProblems extends ProblemList {
  readonly #found = new Map<string, FoundProblem>()

  override add(kind: ProblemKind, row?: number, count = 1): void {
    const key = JSON.stringify(kind)
    let found = this.#found.get(key)
    if (found === undefined) {
      found = { kind, rows: [], count: 0 }
      this.#found.set(key, found)
    }
    found.count += count
    if (row !== undefined && found.rows.length < ProblemList.listedRows) found.rows.push(row)
  }

  found(): readonly FoundProblem[] {
    return [...this.#found.values()]
  }
}
