import { availableParallelism } from 'node:os'
import { Worker } from 'node:worker_threads'
import { NumericalError } from '../../core/errors.js'
import type { Estimate, Quantity } from '../../core/estimate.js'
import { notEstimable, warning } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import { checked } from '../kernel/checked.js'
import type { HoledColumn } from '../numeric/columns.js'

/**
 * Resampling over worker threads. Replicate i draws from stream i of the seed, whichever thread computes it, so the
 * answer is the same for any number of threads. Functions cannot be sent to a thread: a task names the module and
 * the exported function that prepares the replicates there.
 */

/** Computes one replicate from its own random stream; the numbers of every replicate have one meaning by position. */
export type Replicate = (stream: RandomStream) => ArrayLike<number>

/** Work that any thread can prepare for itself. */
export interface ResamplingTask {
  /** URL of the module, as its own `import.meta.url` gives it. */
  readonly module: string
  /** Name of an exported function `(input) => Replicate`. */
  readonly prepare: string
  /** What the function is given: plain data and typed arrays, copied to each thread. */
  readonly input: unknown
}

/** How replicates are run. */
export interface ResamplingOptions {
  /** Number of replicates; default 2,000. */
  readonly replicates?: number
  /** Seed, printed beside the result; default 1. */
  readonly seed?: number
  /** Threads; 0 computes in the calling thread. Default: as many as the machine runs at once, at most 8. */
  readonly threads?: number
}

/**
 * Runs the replicates of a task.
 *
 * @param width numbers that one replicate gives
 * @returns row-major replicates × width; NaN where a replicate could not be computed
 * @throws NumericalError where the number of replicates is not a whole number from 1
 */
export const replicateTask = async (
  task: ResamplingTask,
  width: number,
  options: ResamplingOptions = {},
): Promise<Float64Array> => {
  const { replicates = 2000, seed = 1, threads = Math.min(8, availableParallelism()) } = options
  requireReplicates(replicates)
  const shared = new Float64Array(new SharedArrayBuffer(8 * replicates * width))
  if (threads === 0) {
    const module = (await import(task.module)) as Record<string, (input: unknown) => Replicate>
    runShare(module[task.prepare]!(task.input), shared, width, seed, 0, 1)
  } else {
    const shares = Array.from({ length: threads }, (_one, share) =>
      runInThread({ ...task, shared, width, seed, first: share, step: threads }),
    )
    await Promise.all(shares)
  }
  return Float64Array.from(shared)
}

/** What a thread is told. */
export interface ThreadOrder extends ResamplingTask {
  readonly shared: Float64Array
  readonly width: number
  readonly seed: number
  readonly first: number
  readonly step: number
}

/** Computes every `step`-th replicate from `first` on into its row of the table. */
export function runShare(
  replicate: Replicate,
  table: Float64Array,
  width: number,
  seed: number,
  first: number,
  step: number,
): void {
  const replicates = table.length / width
  for (let index = first; index < replicates; index += step) {
    const values = replicate(randomStream(seed, index))
    for (let column = 0; column < width; column++)
      table[index * width + column] = values[column] ?? Number.NaN
  }
}

function runInThread(order: ThreadOrder): Promise<void> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL('./resamplingThread.js', import.meta.url), { workerData: order })
    worker.once('error', reject)
    worker.once('exit', (code) =>
      code === 0 ? resolve() : reject(new Error(`a thread ended with code ${code}`)),
    )
  })
}

function requireReplicates(replicates: number): void {
  if (!Number.isInteger(replicates) || replicates < 1) {
    throw new NumericalError({
      code: 'bad-replicates',
      problem: `the number of replicates is ${replicates}.`,
      expected: 'a whole number from 1 on.',
      mend: 'ask for 2000, say.',
    })
  }
}

/**
 * Draws whole clusters with replacement: how often each cluster stands in the bootstrap sample.
 *
 * @param weights length clusters; overwritten, so that one array serves all replicates
 */
export function drawClusterWeights(stream: RandomStream, weights: Float64Array): void {
  weights.fill(0)
  for (let draw = 0; draw < weights.length; draw++) weights[stream.index(weights.length)]! += 1
}

/** Summary of one column of bootstrap replicates around the estimate from the sample itself. */
export interface BootstrapSummary {
  readonly interval: Estimate['interval']
  /** Standard deviation of the replicates. */
  readonly standardError: Quantity
  readonly computed: number
  readonly failed: number
  readonly warnings: Estimate['warnings']
}

/**
 * Percentile interval of a bootstrap (Efron and Tibshirani 1993, chapter 13): the limits are the ordered replicates
 * at positions (B + 1)·α/2 and (B + 1)·(1 − α/2), between two replicates by their weighted mean.
 *
 * @param replicates one column; NaN where a replicate failed, left out and counted; more than 5% of them warn
 * @param level confidence level; default 0.95
 * @example percentileInterval([3, 1, 2, 4, 5, NaN], 0.5).interval.lower // => 1.5
 */
export const percentileInterval = checked(
  'percentileInterval',
  (replicates: HoledColumn, level = 0.95): BootstrapSummary => {
    const computed = Float64Array.from(replicates)
      .filter((value) => !Number.isNaN(value))
      .sort()
    const failed = replicates.length - computed.length
    const warnings =
      failed > 0.05 * replicates.length
        ? [warning('bootstrap-failures', { failed, samples: replicates.length })]
        : []
    if (computed.length < 2) {
      const reason = notEstimable('too-few-samples')
      return deepFreeze({
        interval: { lower: reason, upper: reason },
        standardError: reason,
        computed: computed.length,
        failed,
        warnings,
      })
    }
    const mean = computed.reduce((sum, value) => sum + value, 0) / computed.length
    const squares = computed.reduce((sum, value) => sum + (value - mean) ** 2, 0)
    return deepFreeze({
      interval: {
        lower: orderedAt(computed, (1 - level) / 2),
        upper: orderedAt(computed, (1 + level) / 2),
      },
      standardError: Math.sqrt(squares / (computed.length - 1)),
      computed: computed.length,
      failed,
      warnings,
    })
  },
)

function orderedAt(sorted: Float64Array, share: number): number {
  const position = Math.min(Math.max(share * (sorted.length + 1) - 1, 0), sorted.length - 1)
  const below = Math.floor(position)
  const above = Math.min(below + 1, sorted.length - 1)
  return sorted[below]! + (position - below) * (sorted[above]! - sorted[below]!)
}
