import { type Estimate, notEstimable } from '../../core/estimate.js'
import { methodOf, type PlainMethodTerm } from '../../core/method.js'
import { eventsOfStratum, type RiskSet } from '../kernel/riskSet.js'
import { criticalValue, curveWarnings, jackknifeName, type ResolvedCurveOptions } from './curveOptions.js'
import { type GroupEstimate, symmetricInterval } from './groupContrast.js'
import { type ClusteredRows, sizeOfStratum } from './influence.js'
import { addInfluence, spanOf, sumOfSquares, weightingOver } from './influenceTotals.js'
import {
  cellEvents,
  logSurvivalInfluence,
  type ProductLimitColumns,
  productLimitColumns,
} from './productLimit.js'
import { emptyGroup } from './survival.js'

/** Restricted mean time of one group. */
export interface RestrictedMean extends Estimate {
  readonly group: string
  /** Horizon up to which the mean is taken. */
  readonly tau: number
}

/** The area of one group with its variance, and its influences where the variance is robust. */
export interface Area extends GroupEstimate {
  readonly summary: RestrictedMean
}

/** What the areas of all groups share. */
export interface AreaSetting {
  readonly risk: RiskSet
  readonly rows: ClusteredRows | undefined
  readonly resolved: ResolvedCurveOptions
  readonly tau: number
  readonly carried: boolean
}

/** Restricted mean of one group with its variance and influences. */
export function areaOf(group: string, s: number, setting: AreaSetting): Area {
  const { risk, rows, resolved, tau, carried } = setting
  if (risk.start[s] === risk.start[s + 1]) throw emptyGroup(group)
  const columns = productLimitColumns(risk, s)
  const times = risk.time.subarray(risk.start[s], risk.start[s + 1])
  const { n, clusters } = sizeOfStratum(risk, rows, s)
  const last = times.length - 1
  const reached = carried || tau <= times[last]! || columns.survival[last] === 0
  const mean = reached
    ? meanTo(times, columns, tau)
    : notEstimable('follow-up-ends-at', { time: times[last]! })
  const totals = resolved.robust && rows !== undefined ? influences(s, times, columns, setting) : undefined
  const variance = totals === undefined ? greenwoodArea(risk, s, times, columns, tau) : sumOfSquares(totals)
  const critical = criticalValue(resolved, clusters)
  const summary = {
    group,
    tau,
    estimate: mean,
    interval: symmetricInterval(mean, Math.sqrt(variance), critical),
    level: resolved.level,
    method: methodOf('restricted-mean', varianceName(resolved)),
    ...(reached && variance > 0 ? { standardError: { value: Math.sqrt(variance), scale: 'time' } } : {}),
    n,
    events: eventsOfStratum(risk, s),
    clusters,
    warnings: curveWarnings(resolved, clusters, risk),
    reference: 'restricted-mean',
  }
  return { summary, stratum: s, value: mean, variance, totals, n }
}

/** Name of the variance in use. */
export function varianceName(options: ResolvedCurveOptions): PlainMethodTerm {
  if (!options.robust) return 'greenwood-variance'
  return jackknifeName(options)
}

function meanTo(times: Float64Array, columns: ProductLimitColumns, tau: number): number {
  let area = Math.min(times[0]!, tau)
  for (let at = 0; at < times.length; at++) area += columns.survival[at]! * spanOf(times, at, tau)
  return area
}

/** Sum over events of the squared area to their right times Greenwood's term. */
function greenwoodArea(
  risk: RiskSet,
  s: number,
  times: Float64Array,
  columns: ProductLimitColumns,
  tau: number,
): number {
  let right = 0
  let variance = 0
  for (let at = times.length - 1; at >= 0; at--) {
    right += columns.survival[at]! * spanOf(times, at, tau)
    const { weight, all } = cellEvents(risk, risk.start[s]! + at, [1])
    const atRisk = risk.atRisk[risk.start[s]! + at]!
    if (!all && weight > 0) variance += (right * right * weight) / (atRisk * (atRisk - weight))
  }
  return variance
}

function influences(
  s: number,
  times: Float64Array,
  columns: ProductLimitColumns,
  setting: AreaSetting,
): Float64Array {
  const { risk, rows, tau } = setting
  const process = { ...logSurvivalInfluence(risk, s), loading: [columns.survival] }
  const totals = new Float64Array(rows!.numbers.length)
  addInfluence(risk, s, rows!, process, weightingOver(times, process, tau), 1, totals)
  return totals
}
