import {
  type Contrast,
  type Estimate,
  type Interval,
  noInterval,
  type Quantity,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { asDoubles } from '../numeric/columns.js'
import {
  drawClusterWeights,
  percentileInterval,
  type Replicate,
  type ResamplingOptions,
  replicateTask,
} from '../resampling/resampling.js'
import { type DoublyRobustEstimate, estimateOf } from './doublyRobustEstimate.js'
import { robustRisksOf } from './doublyRobustModel.js'
import { type DoublyRobustColumns, type DoublyRobustOptions, problemOf } from './doublyRobustProblem.js'

/** A doubly robust comparison with intervals by the patient bootstrap. */
export interface DoublyRobustComparison {
  readonly difference: Contrast
  readonly ratio: Contrast
  readonly riskTreated: Estimate
  readonly riskUntreated: Estimate
  readonly point: DoublyRobustEstimate
  readonly replicates: number
  readonly failed: number
  readonly seed: number
}

/**
 * The comparison of doublyRobustEstimate with percentile intervals by the patient bootstrap: in every sample of whole
 * patients the scores, the model of the outcome and the censoring weights are estimated anew.
 *
 * @param columns as doublyRobustEstimate
 * @param horizon as doublyRobustEstimate
 * @param options as doublyRobustEstimate; resampling replicates 2,000, seed 1, threads those of the machine
 * @throws NumericalError as doublyRobustEstimate, and `bad-replicates`
 * @example (await doublyRobustComparison({ time: [1, 2, 2, 2], event: [1, 0, 1, 0], treated: [1, 1, 0, 0], covariates: {} }, 2, { resampling: { replicates: 9, threads: 0 } })).point.difference // => 0
 */
export const doublyRobustComparison = checked(
  'doublyRobustComparison',
  async (
    columns: DoublyRobustColumns,
    horizon: number,
    options: DoublyRobustOptions & { readonly resampling?: ResamplingOptions } = {},
  ): Promise<DoublyRobustComparison> => {
    const { resampling = {}, ...rest } = options
    const problem = problemOf(columns, horizon, rest)
    const point = estimateOf(problem, horizon)
    const input: BootstrapInput = {
      columns: plainColumns(columns),
      horizon,
      options: { ...rest, outcomeModel: point.outcomeModel },
    }
    const table = await replicateTask(
      { module: import.meta.url, prepare: 'prepareDoublyRobustBootstrap', input },
      2,
      resampling,
    )
    const replicates = table.length / 2
    const column = (read: (treated: number, untreated: number) => number): Float64Array =>
      Float64Array.from({ length: replicates }, (_, i) => read(table[2 * i]!, table[2 * i + 1]!))
    const summaries = {
      difference: percentileInterval(
        column((treated, untreated) => treated - untreated),
        rest.level,
      ),
      ratio: percentileInterval(
        column((treated, untreated) => treated / untreated),
        rest.level,
      ),
      treated: percentileInterval(
        column((treated) => treated),
        rest.level,
      ),
      untreated: percentileInterval(
        column((_, untreated) => untreated),
        rest.level,
      ),
    }
    const shaped = (estimate: Quantity, summary: (typeof summaries)['ratio'], scale: string): Estimate =>
      shapedEstimate(point, estimate, summary, scale, rest.level ?? 0.95)
    const comparator = { group: 'treated', against: 'untreated' }
    return deepFreeze({
      difference: { ...shaped(point.difference, summaries.difference, 'risk difference'), comparator },
      ratio: { ...shaped(point.ratio, summaries.ratio, 'risk ratio'), comparator },
      riskTreated: shaped(point.riskTreated, summaries.treated, 'risk'),
      riskUntreated: shaped(point.riskUntreated, summaries.untreated, 'risk'),
      point,
      replicates,
      failed: summaries.difference.failed,
      seed: resampling.seed ?? 1,
    })
  },
)

/** What a thread is given. */
export interface BootstrapInput {
  readonly columns: DoublyRobustColumns
  readonly horizon: number
  readonly options: DoublyRobustOptions
}

/** Prepares bootstrap replicates in a thread: risks of the treated and the untreated in samples of whole clusters. */
export function prepareDoublyRobustBootstrap(input: unknown): Replicate {
  const { columns, horizon, options } = input as BootstrapInput
  const problem = problemOf(columns, horizon, options)
  const risksOf = robustRisksOf(problem)
  const counts = new Float64Array(problem.clusters.count)
  return (stream) => {
    drawClusterWeights(stream, counts)
    const risks = risksOf(counts)
    return risks === undefined ? [Number.NaN, Number.NaN] : [risks.treated, risks.untreated]
  }
}

function shapedEstimate(
  point: DoublyRobustEstimate,
  estimate: Quantity,
  summary: ReturnType<typeof percentileInterval>,
  scale: string,
  level: number,
): Estimate {
  const none = 'one-cluster-or-no-estimate'
  const usable = point.clusters >= 2 && typeof estimate === 'number'
  const interval: Interval = usable ? summary.interval : noInterval(none)
  const error = summary.standardError
  return {
    estimate,
    interval,
    level,
    method: methodOf(...point.method, 'patient-bootstrap'),
    ...(usable && typeof error === 'number' ? { standardError: { value: error, scale } } : {}),
    n: point.n,
    events: point.events,
    clusters: point.clusters,
    warnings: [...point.warnings, ...summary.warnings],
    reference: point.reference,
  }
}

/** Columns that can be sent to a thread. */
function plainColumns({ time, event, treated, covariates }: DoublyRobustColumns): DoublyRobustColumns {
  return {
    time: asDoubles(time),
    event: asDoubles(event),
    treated: asDoubles(treated),
    covariates: { ...covariates },
  }
}
