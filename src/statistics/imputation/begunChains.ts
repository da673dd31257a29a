import { availableParallelism } from 'node:os'
import { Worker } from 'node:worker_threads'
import { sharedColumn } from '../../core/columns.js'
import type { ChainTrace } from './chain.js'
import { type CompletedChain, ownValues, type PreparedChains, runChains } from './chains.js'
import type { WorkingColumn } from './predictors.js'

/** What the thread is told, and where it writes. */
export interface ChainsOrder {
  readonly prepared: PreparedChains
  /** Values filled in, by chain, column and missing row. */
  readonly filled: Float64Array
  /** Means, then standard deviations, by chain, visited column and round. */
  readonly traces: Float64Array
  readonly state: ChainsState
}

/** Counters of one whole number each, shared. */
interface ChainsState {
  /** Rounds and chains gone through: as long as it moves, the thread lives. */
  readonly beats: Int32Array
  readonly done: Int32Array
  readonly failed: Int32Array
}

/** How chains are begun; for tests. */
export interface BegunOptions {
  /** File of the thread. */
  readonly file?: URL
  /** Milliseconds without a sign of life after which the thread is given up. */
  readonly patienceMs?: number
  /** Rows gone through, counted by round, from which a thread is started. */
  readonly leastWork?: number
}

/** The thread as built; a thread cannot run the sources, which tests do. */
const threadFile = import.meta.url.endsWith('.ts') ? undefined : new URL('./chainsThread.js', import.meta.url)

/**
 * A thread costs a third of a second of processor time to start and to warm. With 230,000 rows gone through, counted by round,
 * it gained nothing by the clock (the demo, eight runs); with some millions an audit ended 15% sooner (20,000 restorations).
 */
const worthAThread = 1_000_000

const usualPatienceMs = 60_000

/**
 * Begins chains in a thread of their own, while the caller does other things; it waits for what it then asks for. The numbers
 * are those of {@link runChains}: the thread runs the chains one after the other, as they depend on each other.
 *
 * The chains run when they are asked for where there is no second processor, no built thread or little to do, or where
 * `HOLDFAST_THREADS` is 1; and where the thread fails or shows no sign of life, so that nothing hangs on it and what stands in
 * the way of the chains is thrown where it can be heard.
 */
export function begunChains(prepared: PreparedChains, options: BegunOptions = {}): Iterable<CompletedChain> {
  const { file = threadFile, patienceMs = usualPatienceMs, leastWork = worthAThread } = options
  const { columns, rows, iterations, imputations } = prepared
  const visited = columns.filter(({ missing }) => missing.length > 0).length
  const work = rows * visited * iterations * imputations
  if (work < leastWork || !threadsWanted() || file === undefined) return runChains(prepared)
  const shared = inSharedMemory(prepared)
  const order = orderOf(shared, visited)
  // What a chain makes lies in columns: it needs little room for objects.
  const thread = new Worker(file, { workerData: order, resourceLimits: { maxYoungGenerationSizeMb: 12 } })
  thread.unref()
  // A thread that fails says so in the shared state, or is given up: there is no one left to hear it otherwise.
  thread.on('error', () => undefined)
  return awaitedChains(shared, order, patienceMs, () => void thread.terminate())
}

function threadsWanted(): boolean {
  return process.env.HOLDFAST_THREADS !== '1' && availableParallelism() > 1
}

function orderOf(prepared: PreparedChains, visited: number): ChainsOrder {
  const { columns, imputations, iterations } = prepared
  const cells = columns.reduce((sum, { missing }) => sum + missing.length, 0)
  const counter = (): Int32Array => new Int32Array(new SharedArrayBuffer(4))
  return {
    // The caller's own columns stay here: a chain works on the numbers that were read from them.
    prepared: {
      ...prepared,
      columns: columns.map((column) => ({ ...column, source: withoutValues(column) })),
    },
    filled: new Float64Array(new SharedArrayBuffer(8 * cells * imputations)),
    traces: new Float64Array(new SharedArrayBuffer(16 * visited * iterations * imputations)),
    state: { beats: counter(), done: counter(), failed: counter() },
  }
}

/** The same columns in memory that both threads read: a copy for each would be the largest thing that either holds. */
function inSharedMemory(prepared: PreparedChains): PreparedChains {
  const known = new Map<Int32Array, Int32Array>()
  const rowsOf = (rows: Int32Array): Int32Array => {
    const found = known.get(rows) ?? sharedColumn(rows)
    known.set(rows, found)
    return found
  }
  return {
    ...prepared,
    columns: prepared.columns.map((column) => ({
      ...column,
      values: sharedColumn(column.values),
      observed: rowsOf(column.observed),
      missing: rowsOf(column.missing),
    })),
  }
}

function withoutValues({ source }: WorkingColumn): WorkingColumn['source'] {
  return { ...source, values: [] }
}

function* awaitedChains(
  prepared: PreparedChains,
  { filled, traces, state }: ChainsOrder,
  patienceMs: number,
  giveUp: () => void,
): Generator<CompletedChain> {
  const { columns, iterations, imputations } = prepared
  const visited = columns
    .filter(({ missing }) => missing.length > 0)
    .sort((a, b) => a.missing.length - b.missing.length)
  let cell = 0
  let trace = 0
  for (let chain = 0; chain < imputations; chain++) {
    if (!arrived(state, chain, patienceMs)) {
      giveUp()
      yield* rest(prepared, chain)
      return
    }
    const completed = columns.map((column) => {
      const own = ownValues(column)
      for (let i = 0; i < column.missing.length; i++) own.values[column.missing[i]!] = filled[cell++]!
      return [column.name, own] as const
    })
    const ofChain = visited.map(({ name }): ChainTrace => {
      const means = Array.from(traces.subarray(trace, trace + iterations))
      const standardDeviations = Array.from(traces.subarray(trace + iterations, trace + 2 * iterations))
      trace += 2 * iterations
      return { column: name, means, standardDeviations }
    })
    yield { columns: new Map(completed), traces: ofChain }
  }
}

/** Waits until a chain is done; false where the thread failed or shows no sign of life. */
function arrived({ beats, done, failed }: ChainsState, chain: number, patienceMs: number): boolean {
  for (;;) {
    const beat = Atomics.load(beats, 0)
    if (Atomics.load(done, 0) > chain) return true
    if (Atomics.load(failed, 0) > 0) return false
    if (Atomics.wait(beats, 0, beat, patienceMs) === 'timed-out') return false
  }
}

/** All chains from one on: those before it run too, since each starts its fits where the one before ended. */
function* rest(prepared: PreparedChains, from: number): Generator<CompletedChain> {
  let at = 0
  for (const chain of runChains(prepared)) if (at++ >= from) yield chain
}
