import { type Warning, warning } from '../../core/estimate.js'
import type { PlainMethodTerm } from '../../core/method.js'
import { type CodeColumn, type Codes, codesOf } from '../kernel/codes.js'
import type { RiskSet } from '../kernel/riskSet.js'
import { type NumberColumn, requireLevel, requireSameLength } from '../numeric/columns.js'
import {
  normalUpperQuantile,
  normalUpperTail,
  studentTQuantile,
  studentTUpperTail,
} from '../numeric/distributions.js'
import type { IntervalScale } from './survivalInterval.js'

/** Options shared by the curves over time. */
export interface CurveOptions {
  /** Delayed entry: a row is at risk where entry < t ≤ time (from time 0 on where its entry is 0). Default: none. */
  readonly entry?: NumberColumn | undefined
  /** Weights, zero or more. Default: 1 each. */
  readonly weights?: NumberColumn | undefined
  /** Patient of each row. Default: every row its own. */
  readonly cluster?: CodeColumn | undefined
  /** Confidence level. Default: 0.95. */
  readonly level?: number | undefined
  /** Scale of the interval. Default: 'log-log'. */
  readonly interval?: IntervalScale | undefined
  /** Variance. Default: 'robust' where a patient repeats, 'greenwood' otherwise. */
  readonly variance?: 'greenwood' | 'robust' | undefined
  /** With a robust variance and fewer than 30 clusters: Student's t on clusters − 1 (default) or the normal. */
  readonly fewClusters?: 'student-t' | 'normal' | undefined
}

/** Options with their defaults filled in. */
export interface ResolvedCurveOptions {
  readonly level: number
  readonly interval: IntervalScale
  readonly robust: boolean
  readonly cluster: Codes | undefined
  readonly studentT: boolean
  /** Robust by rows, because no patient column was given. */
  readonly byRow: boolean
}

/** Fills in defaults and codes the clusters. */
export function resolveCurveOptions(options: CurveOptions, rows: number): ResolvedCurveOptions {
  const level = options.level ?? 0.95
  requireLevel(level)
  requireSameLength({ time: { length: rows }, cluster: options.cluster })
  const cluster = options.cluster === undefined ? undefined : codesOf('cluster', options.cluster)
  const repeats = cluster !== undefined && cluster.count < rows
  return {
    level,
    interval: options.interval ?? 'log-log',
    robust: options.variance === undefined ? repeats : options.variance === 'robust',
    cluster,
    studentT: options.fewClusters !== 'normal',
    byRow: cluster === undefined,
  }
}

/** Term of the robust variance, by what it is summed over. */
export function jackknifeName({ byRow }: Pick<ResolvedCurveOptions, 'byRow'>): PlainMethodTerm {
  return byRow ? 'infinitesimal-jackknife-over-rows' : 'infinitesimal-jackknife-over-patients'
}

/** Two-sided critical value; undefined where one cluster allows no interval. */
export function criticalValue(options: ResolvedCurveOptions, clusters: number): number | undefined {
  const tail = (1 - options.level) / 2
  if (!options.robust) return normalUpperQuantile(tail)
  if (clusters < 2) return undefined
  return clusters < 30 && options.studentT && !options.byRow
    ? -studentTQuantile(tail, clusters - 1)
    : normalUpperQuantile(tail)
}

/** Two-sided P value of an estimate over its standard error, on the same reference as the critical value. */
export function pValueOf(options: ResolvedCurveOptions, clusters: number, ratio: number): number {
  const size = Math.abs(ratio)
  return options.robust && clusters < 30 && options.studentT && !options.byRow
    ? 2 * studentTUpperTail(size, clusters - 1)
    : 2 * normalUpperTail(size)
}

/** Warnings that bear on the interval of a curve. */
export function curveWarnings(options: ResolvedCurveOptions, clusters: number, risk: RiskSet): Warning[] {
  const warnings: Warning[] = []
  if (options.robust && clusters < 2) {
    warnings.push(warning('one-patient'))
  } else if (options.robust && clusters < 30 && !options.byRow) {
    warnings.push(
      options.studentT
        ? warning('few-patients', { patients: clusters, degreesOfFreedom: clusters - 1 })
        : warning('few-patients-normal-interval', { patients: clusters }),
    )
  }
  if (!options.robust && risk.weights?.some((weight) => !Number.isInteger(weight))) {
    warnings.push(warning('weighted-greenwood'))
  }
  return warnings
}
