import { type Interval, noInterval, notEstimable, type Quantity } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import {
  asDoubles,
  type NumberColumn,
  requireFinite,
  requireLevel,
  requireSameLength,
} from '../numeric/columns.js'
import { normalUpperQuantile } from '../numeric/distributions.js'
import type { Covariates } from '../regression/design.js'
import { countPairs, type PairCounts } from './concordancePairs.js'
import type { CoxOptions } from './coxOptions.js'
import { fittedHazards } from './coxResiduals.js'
import { clusterCodes } from './coxTests.js'
import { orderAtRisk } from './riskOrder.js'
import { checkRows, type RowOptions, type TimesAtRisk } from './timesAtRisk.js'

/** How well a score orders who has the event first. */
export interface Concordance {
  /** Share of comparable pairs in which the higher score has the event first; ties of the score count one half. */
  readonly estimate: Quantity
  readonly interval: Interval
  readonly standardError: Quantity
  /** Weighted numbers of pairs. */
  readonly counts: PairCounts
  readonly level: number
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly reference: string
}

/** Options of the concordance. */
export interface ConcordanceOptions extends Omit<RowOptions, 'offset'> {
  /** Label of the cluster of every row; default each row its own. */
  readonly cluster?: CodeColumn
  /** Default 0.95. */
  readonly level?: number
}

/**
 * Concordance of a score with time to event (Harrell 1982): of all pairs of which one has the event while the other
 * is at risk and stays free of it at that time, the share in which the former has the higher score.
 *
 * Pairs are weighted by the product of case weights and lie within strata. The standard error is the infinitesimal
 * jackknife, summed over clusters; the interval is symmetric and cut at 0 and 1.
 *
 * @param score higher where the event is expected sooner
 * @throws NumericalError as `coxRegression` on its columns
 * @example concordance({ time: [1, 2, 3, 4], event: [1, 1, 1, 0] }, [3, 1, 2, 0]).estimate // => 0.8333
 */
export const concordance = checked(
  'concordance',
  (times: TimesAtRisk, score: NumberColumn, options: ConcordanceOptions = {}): Concordance => {
    const { cluster: clusters, level = 0.95 } = options
    requireLevel(level)
    requireSameLength({ ...times, score, clusters })
    requireFinite('score', score)
    const rows = checkRows(times, options)
    const order = orderAtRisk(rows)
    const scores = asDoubles(score)
    const pairs = countPairs(
      order,
      Float64Array.from(order.row, (row) => scores[row]!),
      rows.weight === undefined ? undefined : Float64Array.from(order.row, (row) => rows.weight![row]!),
    )
    const coded = clusters === undefined ? undefined : clusterCodes(clusters, rows.weight)
    const { concordant, discordant, tiedScore } = pairs.counts
    const comparable = concordant + discordant + tiedScore
    const sizes = { n: rows.n, events: rows.events, clusters: coded?.present ?? rows.n }
    if (!(comparable > 0)) {
      const reason = 'no-pair-compared'
      const none = notEstimable(reason)
      const interval = noInterval(reason)
      return deepFreeze({
        estimate: none,
        interval,
        standardError: none,
        counts: pairs.counts,
        level,
        ...sizes,
        reference: 'concordance',
      })
    }
    const estimate = (concordant + tiedScore / 2) / comparable
    const sums = new Float64Array(coded?.count ?? rows.rows)
    for (let place = 0; place < order.row.length; place++) {
      const row = order.row[place]!
      sums[coded === undefined ? row : coded.codes[row]!]! +=
        (pairs.inFavour[place]! - estimate * pairs.compared[place]!) / comparable
    }
    const single = sizes.clusters < 2 ? notEstimable('one-cluster') : undefined
    const standardError = Math.sqrt(sums.reduce((sum, one) => sum + one * one, 0))
    const width = normalUpperQuantile((1 - level) / 2) * standardError
    return deepFreeze({
      estimate,
      interval:
        single === undefined
          ? { lower: Math.max(0, estimate - width), upper: Math.min(1, estimate + width) }
          : noInterval(single),
      standardError: single ?? standardError,
      counts: pairs.counts,
      level,
      ...sizes,
      reference: 'concordance',
    })
  },
)

/**
 * Concordance of the linear predictor of a Cox regression, of the same arguments.
 *
 * @throws NumericalError `no-estimate` where a covariate has no log hazard ratio; else as `coxRegression`
 * @example coxConcordance({ time: [1, 2, 3, 4, 5], event: [1, 1, 0, 1, 1] }, { x: [1, 0, 1, 1, 0] }).estimate // => 0.5625
 */
export const coxConcordance = checked(
  'coxConcordance',
  (times: TimesAtRisk, covariates: Covariates, options: CoxOptions = {}): Concordance => {
    const { core, hazards } = fittedHazards(times, covariates, options)
    const { strata, weights, cluster: clusters, level } = options
    const score = new Float64Array(core.design.rows.rows)
    core.design.order.row.forEach((row, place) => {
      score[row] = hazards.relativeRisk[place]!
    })
    return concordance(times, score, {
      ...(strata === undefined ? {} : { strata }),
      ...(weights === undefined ? {} : { weights }),
      ...(clusters === undefined ? {} : { cluster: clusters }),
      ...(level === undefined ? {} : { level }),
    })
  },
)
