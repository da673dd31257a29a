import { NumericalError } from '../../core/errors.js'
import { coxReplicator } from '../hazardModels/coxReplicator.js'
import { type CodeColumn, codesAsSeen, eachItsOwn } from '../kernel/codes.js'
import {
  type AmountColumn,
  asDoubles,
  type CauseColumn,
  type EventColumn,
  requireLevel,
  requireNonNegative,
  requireSameLength,
  requireZeroOne,
} from '../numeric/columns.js'
import { type Covariates, expandCovariates } from '../regression/design.js'
import { censoringSteps } from './censoringTimes.js'
import { relativeFrom, requireReached } from './censoringWeights.js'
import type { DoublyRobustProblem, OutcomeModel } from './doublyRobustModel.js'
import { requireBothGroups } from './propensityScores.js'
import type { TargetPopulation } from './propensityWeights.js'

/** Columns of a doubly robust comparison, one entry per row. */
export interface DoublyRobustColumns {
  /** Follow-up, zero or more. */
  readonly time: AmountColumn
  /** 0 censored, 1 the event of interest, 2 or more a competing event. */
  readonly event: CauseColumn
  /** 1 in the group of interest, 0 in the other. */
  readonly treated: EventColumn
  /** What came before the choice, complete; texts are categories. */
  readonly covariates: Covariates
}

/** Options of a doubly robust comparison. */
export interface DoublyRobustOptions {
  /** In whom the effect is; default 'average'. */
  readonly target?: TargetPopulation
  /** Patient of each row; default every row its own. */
  readonly cluster?: CodeColumn
  /**
   * Default 'per-group' where each group has at least five events for each column of covariates, else 'common': one
   * model with a coefficient for the treatment.
   */
  readonly outcomeModel?: OutcomeModel
  /** Covariates on which censoring depends; default none: product limit in each group. */
  readonly censoringCovariates?: Covariates
  /** Rows whose score lies outside are left out; default [0, 1]. */
  readonly trimScores?: readonly [number, number]
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/** Checks the columns and sets up what every sample needs. */
export function problemOf(
  columns: DoublyRobustColumns,
  horizon: number,
  options: DoublyRobustOptions,
): DoublyRobustProblem {
  const { cluster, censoringCovariates, trimScores = [0, 1], target = 'average', level = 0.95 } = options
  const { time, event, covariates } = columns
  const n = requireSameLength({
    time,
    event,
    treated: columns.treated,
    cluster,
    ...covariates,
    ...censoringCovariates,
  })
  requireLevel(level)
  requireNonNegative('time', time)
  requireNonNegative('event', event)
  requireZeroOne('treated', columns.treated)
  requireBothGroups(columns.treated)
  const treated = asDoubles(columns.treated)
  requireReached(time, treated, ['0', '1'], horizon)
  requireTrim(trimScores)
  const times = censoringSteps(time, event, horizon)
  const outcome = Float64Array.from(time, (one, row) => (event[row] === 1 && one <= horizon ? 1 : 0))
  const clusters = cluster === undefined ? eachItsOwn(n) : codesAsSeen('cluster', cluster)
  return {
    treated,
    outcome,
    times,
    covariates,
    clusters,
    target,
    outcomeModel: options.outcomeModel ?? outcomeModelFor(covariates, outcome, treated),
    trimScores,
    censoring:
      censoringCovariates === undefined
        ? undefined
        : censoringModel(times, treated, clusters.codes, clusters.count, censoringCovariates),
  }
}

/** Relative hazards of censoring in a sample of clusters, by a Cox model stratified by group. */
function censoringModel(
  times: DoublyRobustProblem['times'],
  treated: Float64Array,
  clusterIndex: Int32Array,
  clusterCount: number,
  covariates: Covariates,
): (clusterCounts: Float64Array) => Float64Array | undefined {
  const design = expandCovariates(covariates, treated.length)
  const replicator = coxReplicator(
    { time: times.rank, event: times.censored },
    covariates,
    Array.from(clusterIndex),
    { ties: 'breslow', strata: Array.from(treated) },
  )
  if (replicator.clusters !== clusterCount) return () => undefined
  return (clusterCounts) => {
    const slopes = replicator.refit(clusterCounts).map((slope) => (Number.isNaN(slope) ? 0 : slope))
    return relativeFrom(design.values, slopes, treated.length)
  }
}

function outcomeModelFor(covariates: Covariates, outcome: Float64Array, treated: Float64Array): OutcomeModel {
  const width = expandCovariates(covariates, outcome.length).names.length
  const events = [0, 0]
  for (let row = 0; row < outcome.length; row++) events[treated[row]!]! += outcome[row]!
  return Math.min(events[0]!, events[1]!) >= 5 * width ? 'per-group' : 'common'
}

function requireTrim([lowest, highest]: readonly [number, number]): void {
  if (lowest >= 0 && highest <= 1 && lowest < highest) return
  throw new NumericalError({
    code: 'share-out-of-range',
    problem: `trimScores runs from ${lowest} to ${highest}.`,
    expected: 'two shares from 0 to 1, the lower first.',
    mend: 'use [0.05, 0.95], or leave it out.',
  })
}
