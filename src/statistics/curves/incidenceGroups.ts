import {
  type Contrast,
  type Estimate,
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { type CodeColumn, codesOf } from '../kernel/codes.js'
import { comparatorOf } from '../kernel/comparator.js'
import { allCauses, eventsOfStratum, type RiskSet, riskSet } from '../kernel/riskSet.js'
import { type NumberColumn, requireSameLength } from '../numeric/columns.js'
import { countAtMost } from '../numeric/timeAxis.js'
import {
  type CurveOptions,
  criticalValue,
  curveWarnings,
  jackknifeName,
  type ResolvedCurveOptions,
  resolveCurveOptions,
} from './curveOptions.js'
import { type GroupEstimate, groupContrast, symmetricInterval } from './groupContrast.js'
import {
  greenwoodIncidenceVariance,
  type IncidenceColumns,
  incidenceColumns,
  incidenceInfluence,
} from './incidenceColumns.js'
import { type ClusteredRows, rowsIfClustered, sizeOfStratum } from './influence.js'
import { addInfluence, spanOf, sumOfSquares, weightingAt, weightingOver } from './influenceTotals.js'
import { emptyGroup } from './survival.js'
import { probabilityInterval } from './survivalInterval.js'

/** Options of a comparison of cumulative incidences. */
export interface IncidenceContrastOptions extends CurveOptions {
  /** Number of the cause of interest. Default: 1. */
  readonly cause?: number | undefined
  /** Label of the comparator. Default: the first label in sorted order. */
  readonly against?: string | undefined
}

/** A cumulative incidence, or a time lost, of one group at one horizon. */
export interface IncidenceAtTime extends Estimate {
  readonly group: string
  readonly time: number
}

/** One group against another at one horizon. */
export interface IncidenceContrast extends Contrast {
  readonly time: number
  readonly pValue: Quantity
}

/** All groups and all contrasts at one horizon. */
export interface IncidenceComparison {
  readonly time: number
  readonly groups: readonly IncidenceAtTime[]
  readonly differences: readonly IncidenceContrast[]
  readonly ratios: readonly IncidenceContrast[]
}

/** The risk at the horizon, or the area under the curve up to it. */
export type IncidenceMeasure = 'risk' | 'time-lost'

/** What the horizons of one comparison share. */
export interface IncidenceSetting {
  readonly risk: RiskSet
  readonly rows: ClusteredRows | undefined
  readonly labels: readonly string[]
  readonly comparator: number
  readonly cause: number
  readonly measure: IncidenceMeasure
  readonly options: ResolvedCurveOptions
}

/** Counts the risk sets of a comparison; a cause of interest that nobody had is a cause all the same. */
export function incidenceSetting(
  time: NumberColumn,
  cause: NumberColumn,
  group: CodeColumn,
  measure: IncidenceMeasure,
  options: IncidenceContrastOptions,
): IncidenceSetting {
  const { entry, weights, cause: ofInterest = 1, against, ...shared } = options
  requireSameLength({ time, cause, group, entry, weights })
  const stratum = codesOf('group', group)
  const resolved = resolveCurveOptions(
    measure === 'risk' ? shared : { ...shared, variance: 'robust' },
    time.length,
  )
  const found = riskSet(time, cause, { entry, weights, stratum })
  const risk =
    found.causes >= ofInterest ? found : riskSet(time, cause, { entry, weights, stratum, causes: ofInterest })
  return {
    risk,
    rows: rowsIfClustered(risk, resolved),
    labels: stratum.labels,
    comparator: comparatorOf(stratum.labels, against),
    cause: ofInterest,
    measure,
    options: resolved,
  }
}

/** All groups and their contrasts at one horizon. */
export function incidenceComparison(time: number, setting: IncidenceSetting): IncidenceComparison {
  const groups = setting.labels.map((label, s) => groupAt(label, s, time, setting))
  const against = groups[setting.comparator]!
  const others = groups.filter((_group, s) => s !== setting.comparator)
  return {
    time,
    groups: groups.map((group) => group.summary),
    differences: others.map((group) => contrastOf(group, against, time, setting, false)),
    ratios: others.map((group) => contrastOf(group, against, time, setting, true)),
  }
}

interface GroupAtTime extends GroupEstimate {
  readonly summary: IncidenceAtTime
}

function groupAt(group: string, s: number, time: number, setting: IncidenceSetting): GroupAtTime {
  const { risk, rows, options, measure } = setting
  if (risk.start[s] === risk.start[s + 1]) throw emptyGroup(group)
  const columns = incidenceColumns(risk, s, setting.cause, allCauses(risk))
  const times = risk.time.subarray(risk.start[s], risk.start[s + 1])
  const { n, clusters } = sizeOfStratum(risk, rows, s)
  const last = times.length - 1
  const known = time <= times[last]! || columns.free.survival[last] === 0
  const value = known
    ? valueAt(times, columns, time, measure)
    : notEstimable('follow-up-ends-at', { time: times[last]! })
  const totals =
    options.robust && rows !== undefined ? totalsOf(s, times, columns, time, rows, setting) : undefined
  const variance =
    totals === undefined
      ? stepAt(times, greenwoodIncidenceVariance(risk, s, columns, allCauses(risk)), time)
      : sumOfSquares(totals)
  const summary = {
    group,
    time,
    estimate: value,
    interval: intervalOf(value, Math.sqrt(variance), criticalValue(options, clusters), setting),
    level: options.level,
    method: methodName(setting),
    ...(known && variance > 0
      ? { standardError: { value: Math.sqrt(variance), scale: scaleName(measure) } }
      : {}),
    n,
    events: eventsOfStratum(risk, s, setting.cause),
    clusters,
    warnings: curveWarnings(options, clusters, risk),
    reference: referenceOf(measure),
  }
  return { summary, stratum: s, value, variance, totals, n }
}

function referenceOf(measure: IncidenceMeasure): string {
  return measure === 'risk' ? 'aalen-johansen' : 'restricted-mean'
}

function scaleName(measure: IncidenceMeasure): string {
  return measure === 'risk' ? 'probability' : 'time'
}

function methodName({ measure, options }: IncidenceSetting): MethodName {
  const variance = options.robust ? jackknifeName(options) : 'greenwood-type-variance'
  const curve = methodOf('aalen-johansen', variance)
  return measure === 'risk' ? curve : methodOf('time-lost-to-the-cause', ...curve)
}

function intervalOf(
  value: Quantity,
  deviation: number,
  critical: number | undefined,
  { measure, options }: IncidenceSetting,
): Interval {
  if (measure === 'time-lost' || typeof value !== 'number' || critical === undefined) {
    return symmetricInterval(value, deviation, critical)
  }
  if (value === 0) return noInterval('no-event-of-cause-by-then')
  return probabilityInterval(value, deviation / value, critical, options.interval)
}

/** Value of a step function at a time; 0 before its first step. */
function stepAt(times: Float64Array, values: Float64Array, time: number): number {
  const steps = countAtMost(times, time)
  return steps === 0 ? 0 : values[steps - 1]!
}

function valueAt(
  times: Float64Array,
  columns: IncidenceColumns,
  time: number,
  measure: IncidenceMeasure,
): number {
  if (measure === 'risk') return stepAt(times, columns.incidence, time)
  let area = 0
  for (let at = 0; at < times.length; at++) area += columns.incidence[at]! * spanOf(times, at, time)
  return area
}

function totalsOf(
  s: number,
  times: Float64Array,
  columns: IncidenceColumns,
  time: number,
  rows: ClusteredRows,
  { risk, measure }: IncidenceSetting,
): Float64Array {
  const process = incidenceInfluence(risk, s, columns, allCauses(risk))
  const by = measure === 'risk' ? weightingAt(times, process, time) : weightingOver(times, process, time)
  const totals = new Float64Array(rows.numbers.length)
  addInfluence(risk, s, rows, process, by, 1, totals)
  return totals
}

function contrastOf(
  group: GroupAtTime,
  against: GroupAtTime,
  time: number,
  setting: IncidenceSetting,
  asRatio: boolean,
): IncidenceContrast {
  const { risk, rows, options, measure } = setting
  const { estimate, interval, deviation, pValue, clusters } = groupContrast(
    group,
    against,
    asRatio,
    risk,
    rows,
    options,
  )
  return {
    estimate,
    interval,
    level: options.level,
    method: methodOf(asRatio ? 'ratio' : 'difference', ...methodName(setting)),
    ...(deviation === undefined
      ? {}
      : { standardError: { value: deviation, scale: asRatio ? 'log ratio' : scaleName(measure) } }),
    n: group.summary.n + against.summary.n,
    events: group.summary.events + against.summary.events,
    clusters,
    warnings: curveWarnings(options, clusters, risk),
    reference: referenceOf(measure),
    comparator: { group: group.summary.group, against: against.summary.group },
    time,
    pValue,
  }
}
