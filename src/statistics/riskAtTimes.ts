import {
  type Contrast,
  type Estimate,
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
  type Warning,
  warning,
} from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { comparatorOf } from './comparator.js'
import type { CumulativeIncidenceOptions } from './competingRisks.js'
import {
  criticalValue,
  curveWarnings,
  type ResolvedCurveOptions,
  resolveCurveOptions,
} from './curveOptions.js'
import { groupContrast } from './groupContrast.js'
import { greenwoodIncidenceVariance, incidenceColumns, incidenceInfluence } from './incidenceColumns.js'
import { type ClusteredRows, clusteredRows, clustersOfStrata } from './influence.js'
import { addInfluence, sumOfSquares, weightingAt } from './influenceTotals.js'
import { type CodeColumn, type Codes, codesOf, singleCode } from './numeric/codes.js'
import { type NumberColumn, requireSameLength } from './numeric/columns.js'
import { exactUpperOfNone } from './proportionLimits.js'
import { allCauses, type RiskSet, riskSet, rowsOfStratum } from './riskSet.js'
import { hybridDifferenceLimits } from './scoreLimits.js'
import { probabilityInterval } from './survivalInterval.js'

/** Options of risks at chosen times. */
export interface RiskAtTimesOptions
  extends Omit<CumulativeIncidenceOptions, 'variance' | 'causes' | 'weights'> {
  /** Cause of which the risk is asked; default 1. Every other cause competes. */
  readonly of?: number | undefined
}

/** Probability that the cause has happened by a time. */
export interface RiskAtTime extends Estimate {
  readonly time: number
  /** Rows at risk just before the time. */
  readonly atRisk: number
  /** Clusters with a row at risk just before the time. */
  readonly clustersAtRisk: number
}

/** Difference of two groups' risks at a time. */
export interface RiskDifferenceAtTime extends Contrast {
  readonly time: number
  readonly pValue: Quantity
}

/** Risks of every group at the chosen times, and the differences from the comparator. */
export interface RiskComparison {
  readonly groups: readonly { readonly group: string; readonly risks: readonly RiskAtTime[] }[]
  readonly differences: readonly {
    readonly group: string
    readonly against: string
    readonly at: readonly RiskDifferenceAtTime[]
  }[]
}

/** Fewest events in each group from which a difference is taken as normal. */
const enoughEvents = 5

/**
 * Risk of a cause by chosen times where others compete (Aalen and Johansen 1978), with the variance of the curve:
 * infinitesimal jackknife over clusters where one repeats, Greenwood's type otherwise, log-log interval. Where the
 * cause has not happened by a time, the exact upper limit with the clusters still at risk there as n.
 *
 * @param time follow-up, zero or more
 * @param cause 0 where censored, otherwise the number of the cause that ended the follow-up
 * @param times times of zero or more, in the unit of follow-up
 * @param options cause asked for (1), delayed entry, clusters, level (0.95), interval scale ('log-log')
 * @returns one risk per time; not estimable past the last follow-up unless everyone had an event
 * @throws NumericalError as `cumulativeIncidence`
 *
 * @example risksAt([1, 2, 3, 4], [1, 2, 0, 1], [2])[0].estimate // => 0.25
 */
export function risksAt(
  time: NumberColumn,
  cause: NumberColumn,
  times: readonly number[],
  options: RiskAtTimesOptions = {},
): readonly RiskAtTime[] {
  return compared(time, cause, singleCode(time.length), times, options, undefined).groups[0]!.risks
}

/**
 * Risks of every group by chosen times, and their differences from a comparator. Clusters with rows in both groups
 * are allowed for: their influences on both risks are summed before squaring. With fewer than five events in a group
 * the difference takes the hybrid of the two groups' limits (Zou and Donner 2008), which does not assume it normal.
 *
 * @param group whole-number codes or texts, one per row
 * @param options as `risksAt`; `against` names the comparator, default the first label in sorted order
 * @throws NumericalError as `cumulativeIncidenceByGroup`, and where no group has the comparator's label
 *
 * @example compareRisksAt([1, 2, 3, 4], [1, 0, 1, 0], ['a', 'a', 'b', 'b'], [3]).differences[0].at[0].estimate // => 0
 */
export function compareRisksAt(
  time: NumberColumn,
  cause: NumberColumn,
  group: CodeColumn,
  times: readonly number[],
  options: RiskAtTimesOptions & { readonly against?: string | undefined } = {},
): RiskComparison {
  requireSameLength({ time, group })
  return compared(time, cause, codesOf('group', group), times, options, options.against)
}

interface Setting {
  readonly risk: RiskSet
  readonly rows: ClusteredRows
  readonly resolved: ResolvedCurveOptions
  readonly cause: number
  readonly level: number
  readonly entry: NumberColumn | undefined
}

function compared(
  time: NumberColumn,
  cause: NumberColumn,
  stratum: Codes,
  times: readonly number[],
  options: RiskAtTimesOptions,
  against: string | undefined,
): RiskComparison {
  const { entry, of = 1, cluster, level, interval, fewClusters } = options
  requireSameLength({ time, cause, entry })
  const resolved = resolveCurveOptions({ cluster, level, interval, fewClusters }, time.length)
  const risk = riskSet(time, cause, { entry, stratum })
  const rows = clusteredRows(risk, resolved.cluster)
  const setting: Setting = { risk, rows, resolved, cause: of, level: resolved.level, entry }
  const groups = stratum.labels.map((_group, s) => pointsOf(s, times, setting))
  const comparator = comparatorOf(stratum.labels, against)
  return deepFreeze({
    groups: stratum.labels.map((group, s) => ({ group, risks: groups[s]!.map((point) => point.risk) })),
    differences: stratum.labels.flatMap((group, s) =>
      s === comparator
        ? []
        : [
            {
              group,
              against: stratum.labels[comparator]!,
              at: groups[s]!.map((point, i) =>
                difference(point, groups[comparator]![i]!, group, stratum.labels[comparator]!, setting),
              ),
            },
          ],
    ),
  })
}

/** A risk together with what a contrast needs. */
interface Point {
  readonly risk: RiskAtTime
  readonly stratum: number
  readonly value: Quantity
  readonly variance: number
  readonly totals: Float64Array | undefined
  readonly n: number
}

function pointsOf(stratum: number, times: readonly number[], setting: Setting): readonly Point[] {
  const { risk, cause, resolved, rows } = setting
  const ending = allCauses(risk)
  const columns = incidenceColumns(risk, stratum, cause, ending)
  const cells = risk.time.subarray(risk.start[stratum]!, risk.start[stratum + 1]!)
  const greenwood = greenwoodIncidenceVariance(risk, stratum, columns, ending)
  const process = resolved.robust ? incidenceInfluence(risk, stratum, columns, ending) : undefined
  const clusters = clustersOfStrata(risk, rows, [stratum])
  const n = rowsOfStratum(risk, stratum)
  return times.map((time) => {
    const at = lastAtOrBefore(cells, time)
    const lasting = cells.length > 0 && (time <= cells.at(-1)! || columns.free.survival.at(-1) === 0)
    const totals = process === undefined ? undefined : new Float64Array(rows.numbers.length)
    if (process !== undefined && totals !== undefined) {
      addInfluence(risk, stratum, rows, process, weightingAt(cells, process, time), 1, totals)
    }
    const value: Quantity = lasting
      ? at < 0
        ? 0
        : columns.incidence[at]!
      : notEstimable(`follow-up ends at ${cells.at(-1) ?? 0}, before the time`)
    const variance = totals === undefined ? (at < 0 ? 0 : greenwood[at]!) : sumOfSquares(totals)
    const counts = countsAt(stratum, time, at, setting)
    return {
      risk: riskOf(value, variance, time, counts, clusters, n, setting),
      stratum,
      value,
      variance,
      totals,
      n,
    }
  })
}

interface Counts {
  readonly events: number
  readonly atRisk: number
  readonly clustersAtRisk: number
}

function countsAt(stratum: number, time: number, at: number, setting: Setting): Counts {
  const { risk, rows, cause, entry } = setting
  const from = risk.start[stratum]!
  const to = risk.start[stratum + 1]!
  let events = 0
  for (let cell = from; cell <= from + at; cell++)
    events += risk.eventRows[(cause - 1) * risk.cells + cell] ?? 0
  const clusters = new Set<number>()
  let atRisk = 0
  const { order, offset } = rows.exits
  for (let cell = from; cell < to; cell++) {
    if (risk.time[cell]! < time) continue
    for (let k = offset[cell]!; k < offset[cell + 1]!; k++) {
      const row = order[k]!
      const entered = entry === undefined || entry[row] === 0 || entry[row]! < time
      if (!entered) continue
      atRisk += 1
      clusters.add(rows.cluster?.[row] ?? row)
    }
  }
  return { events, atRisk, clustersAtRisk: clusters.size }
}

function riskOf(
  value: Quantity,
  variance: number,
  time: number,
  counts: Counts,
  clusters: number,
  n: number,
  setting: Setting,
): RiskAtTime {
  const { resolved, risk, level } = setting
  const none = counts.events === 0
  const warnings: Warning[] = curveWarnings(resolved, clusters, risk)
  if (none && typeof value === 'number') {
    warnings.push(
      warning(
        'no-events',
        'Not one event by this time: the upper limit is exact, with those still at risk as n.',
      ),
    )
  }
  return {
    time,
    estimate: value,
    interval: limitsOf(value, variance, counts, clusters, setting),
    level,
    method: methodName(resolved, none),
    ...(typeof value === 'number' && !none
      ? { standardError: { value: Math.sqrt(variance), scale: 'probability' } }
      : {}),
    n,
    events: counts.events,
    clusters,
    atRisk: counts.atRisk,
    clustersAtRisk: counts.clustersAtRisk,
    warnings,
    reference: 'risk-at-times',
  }
}

function methodName(resolved: ResolvedCurveOptions, none: boolean): string {
  if (none) return 'Aalen–Johansen, exact upper limit with clusters at risk as n'
  const variance = resolved.robust ? 'infinitesimal jackknife over clusters' : 'Greenwood-type variance'
  return `Aalen–Johansen, ${variance}, ${resolved.interval} interval`
}

function limitsOf(
  value: Quantity,
  variance: number,
  counts: Counts,
  clusters: number,
  { resolved, level }: Setting,
): Interval {
  if (typeof value !== 'number') return { lower: value, upper: value }
  if (counts.events === 0) {
    if (counts.clustersAtRisk === 0) return noInterval('no event yet, and nobody is at risk any more')
    return { lower: 0, upper: exactUpperOfNone(counts.clustersAtRisk, (1 - level) / 2) }
  }
  const critical = criticalValue(resolved, clusters)
  if (critical === undefined) return noInterval('all rows are of one cluster')
  return probabilityInterval(value, Math.sqrt(variance) / value, critical, resolved.interval)
}

function difference(
  point: Point,
  against: Point,
  group: string,
  comparator: string,
  setting: Setting,
): RiskDifferenceAtTime {
  const { risk, rows, resolved, level } = setting
  const normal = groupContrast(point, against, false, risk, rows, resolved)
  const few = Math.min(point.risk.events, against.risk.events) < enoughEvents
  const hybrid = few ? hybridInterval(point.risk, against.risk) : undefined
  const standardError = few || normal.deviation === undefined ? undefined : normal.deviation
  return {
    time: point.risk.time,
    estimate: normal.estimate,
    interval: hybrid ?? normal.interval,
    level,
    method: few
      ? 'difference of Aalen–Johansen risks, hybrid of the limits of each group'
      : `difference of Aalen–Johansen risks, ${resolved.robust ? 'infinitesimal jackknife over clusters' : 'Greenwood-type variance'}`,
    ...(standardError === undefined ? {} : { standardError: { value: standardError, scale: 'probability' } }),
    n: point.n + against.n,
    events: point.risk.events + against.risk.events,
    clusters: clustersOfStrata(risk, rows, [point.stratum, against.stratum]),
    warnings: [
      ...new Map([...point.risk.warnings, ...against.risk.warnings].map((one) => [one.code, one])).values(),
    ],
    reference: 'risk-at-times',
    comparator: { group, against: comparator },
    pValue: few ? notEstimable('fewer than five events in a group: no normal reference') : normal.pValue,
  }
}

/** Hybrid limits of a difference from the limits of each group; undefined where a group has none. */
function hybridInterval(one: RiskAtTime, two: RiskAtTime): Interval | undefined {
  const [p1, p2] = [one.estimate, two.estimate]
  const limits = [one.interval.lower, one.interval.upper, two.interval.lower, two.interval.upper]
  if (typeof p1 !== 'number' || typeof p2 !== 'number') return undefined
  if (!limits.every((limit) => typeof limit === 'number'))
    return noInterval('a group has no interval at this time')
  const [l1, u1, l2, u2] = limits as [number, number, number, number]
  const [lower, upper] = hybridDifferenceLimits(p1, [l1, u1], p2, [l2, u2])
  return { lower, upper }
}

/** Position of the last cell at or before a time, −1 where there is none. */
function lastAtOrBefore(cells: Float64Array, time: number): number {
  let low = -1
  let high = cells.length - 1
  while (low < high) {
    const middle = Math.ceil((low + high) / 2)
    if (cells[middle]! <= time) low = middle
    else high = middle - 1
  }
  return low
}
