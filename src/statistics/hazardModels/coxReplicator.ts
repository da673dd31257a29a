import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import { newtonMaximum } from '../numeric/optimise.js'
import type { Covariates, DesignOptions } from '../regression/design.js'
import {
  type BootstrapSummary,
  drawClusterWeights,
  percentileInterval,
  type Replicate,
  type ResamplingOptions,
  type ResamplingTask,
  replicateTask,
} from '../resampling/resampling.js'
import { prepareCox } from './coxDesign.js'
import { fitCore, isRunaway } from './coxFit.js'
import { partialLikelihood } from './coxLikelihood.js'
import { clusterCodes } from './coxTests.js'
import type { RowOptions, TimesAtRisk } from './timesAtRisk.js'

/** Options of a replicator. */
export interface CoxReplicatorOptions extends Omit<RowOptions, 'weights'>, DesignOptions {
  /** Default `efron`. */
  readonly ties?: 'efron' | 'breslow'
}

/** Refits one Cox regression on samples of whole clusters. */
export interface CoxReplicator {
  /** Names of the covariates in the order of the log hazard ratios. */
  readonly names: readonly string[]
  /** Number of clusters: the length of the counts that `refit` takes. */
  readonly clusters: number
  /** Log hazard ratios of the sample itself; NaN where a covariate has none. */
  readonly original: Float64Array
  /**
   * Log hazard ratios of a sample in which each cluster stands as often as counted (clusters in ascending order of
   * their labels); NaN throughout where the sample has no finite estimate.
   */
  refit(counts: ArrayLike<number>): Float64Array
}

/**
 * Prepares fast refits of a Cox regression on samples of whole clusters, as a bootstrap draws them. Rows are put in
 * order once; a sample is a column of counts, and a row counted three times is three tied rows, so each refit equals
 * that of the rows written out. Fits start from the estimate of the whole sample.
 *
 * @param cluster label of the cluster of every row
 * @param options ties default `efron`; strata, offset, interactions, baselines default none
 * @throws as `coxRegression`
 * @example coxReplicator({ time: [1, 2, 3, 4, 5], event: [1, 1, 0, 1, 1] }, { x: [1, 0, 1, 1, 0] }, ['a', 'b', 'c', 'd', 'e']).refit([1, 1, 1, 1, 1]).length // => 1
 */
export const coxReplicator = checked(
  'coxReplicator',
  (
    times: TimesAtRisk,
    covariates: Covariates,
    cluster: CodeColumn,
    options: CoxReplicatorOptions = {},
  ): CoxReplicator => {
    const { ties = 'efron' } = options
    const whole = prepareCox(times, covariates, options, { clusters: cluster })
    const core = fitCore(whole, ties)
    const { design, fitted } = core
    const coded = clusterCodes(cluster, undefined)
    const clusterOfPlace = Int32Array.from(design.order.row, (row) => coded.codes[row]!)
    const weight = new Float64Array(clusterOfPlace.length)
    const evaluate = partialLikelihood(design, { ties, weight, counts: true })
    const start = core.converged ? core.coefficients : new Float64Array(design.size)
    const inInput = (scaled: Float64Array, estimable: boolean): Float64Array => {
      const values = new Float64Array(whole.size).fill(Number.NaN)
      if (estimable) {
        fitted.forEach((column, j) => {
          values[column] = scaled[j]! / design.scale[j]!
        })
      }
      return values
    }
    return Object.freeze({
      names: whole.names,
      clusters: coded.count,
      original: inInput(core.coefficients, core.converged && whole.rows.events > 0),
      refit(counts: ArrayLike<number>): Float64Array {
        for (let place = 0; place < weight.length; place++) weight[place] = counts[clusterOfPlace[place]!]!
        const maximum = newtonMaximum(evaluate, start)
        const estimable =
          maximum.converged &&
          maximum.factor.dependent.length === 0 &&
          !maximum.step.some((step, j) => isRunaway(step, design.spread[j]!))
        return inInput(maximum.at, estimable)
      },
    })
  },
)

/** What a thread needs to prepare bootstrap replicates of a Cox regression. */
export interface CoxBootstrapInput {
  readonly times: TimesAtRisk
  readonly covariates: Covariates
  readonly cluster: CodeColumn
  /** Default none. */
  readonly options?: CoxReplicatorOptions
}

/** Prepares bootstrap replicates in a thread: log hazard ratios of clusters drawn with replacement. */
export function prepareCoxBootstrap(input: unknown): Replicate {
  const { times, covariates, cluster: clusters, options = {} } = input as CoxBootstrapInput
  const replicator = coxReplicator(times, covariates, clusters, options)
  const counts = new Float64Array(replicator.clusters)
  return (stream) => {
    drawClusterWeights(stream, counts)
    return replicator.refit(counts)
  }
}

/** The bootstrap of a Cox regression as a task for `replicateTask`. */
export function coxBootstrapTask(input: CoxBootstrapInput): ResamplingTask {
  return { module: import.meta.url, prepare: 'prepareCoxBootstrap', input }
}

/** Bootstrap of one hazard ratio. */
export interface BootstrappedHazardRatio extends BootstrapSummary {
  readonly name: string
  /** Log hazard ratio of the sample itself; NaN-free: absent where it has none. */
  readonly logHazardRatio: number | undefined
}

/**
 * Percentile intervals of log hazard ratios by the cluster bootstrap: whole clusters are drawn with replacement and
 * the Cox regression refitted.
 *
 * @param cluster label of the cluster of every row
 * @param options as `coxReplicator`
 * @param resampling replicates default 2,000; seed default 1; threads default those of the machine
 * @param level default 0.95
 * @returns interval and standard error of each log hazard ratio. Samples without a finite estimate are counted
 * @example (await bootstrapCox({ time: [1, 2, 3, 4, 5, 6], event: [1, 1, 1, 0, 1, 1] }, { x: [1, 0, 1, 1, 0, 0] }, ['a', 'b', 'c', 'd', 'e', 'f'], { resampling: { replicates: 9, threads: 0 } }))[0].name // => "x"
 */
export const bootstrapCox = checked(
  'bootstrapCox',
  async (
    times: TimesAtRisk,
    covariates: Covariates,
    cluster: CodeColumn,
    options: CoxReplicatorOptions & { readonly resampling?: ResamplingOptions; readonly level?: number } = {},
  ): Promise<readonly BootstrappedHazardRatio[]> => {
    const { resampling = {}, level = 0.95, ...rest } = options
    const replicator = coxReplicator(times, covariates, cluster, rest)
    const width = replicator.names.length
    const table = await replicateTask(
      coxBootstrapTask({ times, covariates, cluster: cluster, options: rest }),
      width,
      resampling,
    )
    return deepFreeze(
      replicator.names.map((name, j) => {
        const original = replicator.original[j]!
        const column = Float64Array.from({ length: table.length / width }, (_, i) => table[i * width + j]!)
        return {
          name,
          logHazardRatio: Number.isNaN(original) ? undefined : original,
          ...percentileInterval(column, level),
        }
      }),
    )
  },
)
