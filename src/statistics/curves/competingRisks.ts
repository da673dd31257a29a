import { type Interval, noInterval, type Quantity, type Warning } from '../../core/estimate.js'
import { type MethodName, methodOf, type PlainMethodTerm } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, type Codes, codesOf, singleCode } from '../kernel/codes.js'
import { allCauses, eventsOfStratum, type RiskSet, riskSet } from '../kernel/riskSet.js'
import { type NumberColumn, requireSameLength } from '../numeric/columns.js'
import {
  type CurveOptions,
  criticalValue,
  curveWarnings,
  jackknifeName,
  type ResolvedCurveOptions,
  resolveCurveOptions,
} from './curveOptions.js'
import { atRiskAtStart, type EntryStep, entrySteps } from './delayedEntry.js'
import {
  aalenIncidenceVariance,
  greenwoodIncidenceVariance,
  type IncidenceColumns,
  type IncidenceVariance,
  incidenceColumns,
  incidenceInfluence,
} from './incidenceColumns.js'
import { type ClusteredRows, clusterVariances, rowsIfClustered, sizeOfStratum } from './influence.js'
import { emptyGroup } from './survival.js'
import { type IntervalScale, probabilityInterval } from './survivalInterval.js'

export { allCauses } from '../kernel/riskSet.js'

/** Options of the cumulative incidence. */
export interface CumulativeIncidenceOptions extends Omit<CurveOptions, 'variance'> {
  /**
   * Variance: 'greenwood' (multinomial increments), 'aalen' (delta method), or 'robust' (infinitesimal jackknife,
   * summed over patients). Default: 'robust' where a patient repeats, 'greenwood' otherwise.
   */
  readonly variance?: IncidenceVariance | undefined
  /** Number of causes. Default: the highest that occurs. */
  readonly causes?: number | undefined
}

/** One step of a cumulative incidence. */
export interface IncidenceRow {
  readonly time: number
  readonly atRisk: number
  /** Events of this cause. */
  readonly events: number
  /** Probability that this cause has happened up to and including the time. */
  readonly incidence: number
  readonly standardError: number
  readonly lower: Quantity
  readonly upper: Quantity
}

/** Cumulative incidence of one cause. */
export interface IncidenceCurve {
  readonly cause: number
  readonly events: number
  readonly rows: readonly IncidenceRow[]
}

/** Cumulative incidence of every cause in one group. */
export interface CumulativeIncidence {
  readonly group: string
  /** One curve per cause, in order. */
  readonly causes: readonly IncidenceCurve[]
  readonly entries: readonly EntryStep[]
  readonly lastTime: number
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly level: number
  readonly intervalScale: IntervalScale
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Cumulative incidence of each cause where others compete: the probability that the cause has happened by time t
 * (Aalen and Johansen 1978).
 *
 * Causes are numbered from 1, 0 is censored. The interval is log-log on the incidence itself: F^exp(±z·se/(F log F))
 * (Choudhury 2002). With one cause the incidence is one less the product-limit curve.
 *
 * @param time follow-up, zero or more
 * @param cause 0 where censored, otherwise the number of the cause that ended the follow-up
 * @param options delayed entry, weights, patients, level (0.95), interval scale ('log-log'), variance
 * @returns steps at every time of exit, led by time 0, one curve per cause
 * @throws NumericalError for missing or negative times, a cause that is not a whole number, an entry that is not
 * before the exit, columns of unequal length, or no rows
 *
 * @example cumulativeIncidence([1, 2, 3, 4], [1, 2, 0, 1]).causes[0].rows[4].incidence // => 0.75
 */
export const cumulativeIncidence = checked(
  'cumulativeIncidence',
  (
    time: NumberColumn,
    cause: NumberColumn,
    options: CumulativeIncidenceOptions = {},
  ): CumulativeIncidence => {
    return incidences(time, cause, singleCode(time.length), options)[0]!
  },
)

/**
 * Cumulative incidence in each group, groups in the order of their sorted labels; see `cumulativeIncidence`.
 *
 * @param group whole-number codes or texts, one per row
 *
 * @example cumulativeIncidenceByGroup([1, 2, 3], [1, 2, 1], [0, 0, 1])[0].causes[1].rows[2].incidence // => 0.5
 */
export const cumulativeIncidenceByGroup = checked(
  'cumulativeIncidenceByGroup',
  (
    time: NumberColumn,
    cause: NumberColumn,
    group: CodeColumn,
    options: CumulativeIncidenceOptions = {},
  ): readonly CumulativeIncidence[] => {
    requireSameLength({ time, group })
    return incidences(time, cause, codesOf('group', group), options)
  },
)

interface Setting {
  readonly risk: RiskSet
  readonly rows: ClusteredRows | undefined
  readonly resolved: ResolvedCurveOptions
  readonly variance: IncidenceVariance
}

function incidences(
  time: NumberColumn,
  cause: NumberColumn,
  stratum: Codes,
  options: CumulativeIncidenceOptions,
): readonly CumulativeIncidence[] {
  const { entry, weights, variance, causes, ...shared } = options
  requireSameLength({ time, cause, entry, weights })
  const resolved = resolveCurveOptions(
    { ...shared, variance: variance === 'aalen' ? 'greenwood' : variance },
    time.length,
  )
  const risk = riskSet(time, cause, { entry, weights, stratum, causes })
  const setting: Setting = {
    risk,
    rows: rowsIfClustered(risk, resolved),
    resolved,
    variance: resolved.robust ? 'robust' : (variance ?? 'greenwood'),
  }
  const entries = entrySteps(entry, stratum.codes, risk)
  return Object.freeze(stratum.labels.map((group, s) => groupIncidence(group, s, entries[s]!, setting)))
}

function groupIncidence(
  group: string,
  stratum: number,
  entries: readonly EntryStep[],
  setting: Setting,
): CumulativeIncidence {
  const { risk, rows, resolved } = setting
  const from = risk.start[stratum]!
  const to = risk.start[stratum + 1]!
  if (from === to) throw emptyGroup(group)
  const { n, clusters } = sizeOfStratum(risk, rows, stratum)
  const critical = criticalValue(resolved, clusters)
  const causes = Array.from({ length: risk.causes }, (_unused, k) =>
    causeCurve(k + 1, stratum, entries, critical, setting),
  )
  return deepFreeze({
    group,
    causes,
    entries,
    lastTime: risk.time[to - 1]!,
    n,
    events: causes.reduce((sum, curve) => sum + curve.events, 0),
    clusters,
    level: resolved.level,
    intervalScale: resolved.interval,
    method: methodOf('aalen-johansen', varianceName(setting), `${resolved.interval}-interval`),
    warnings: curveWarnings(resolved, clusters, risk),
    reference: 'aalen-johansen',
  })
}

function varianceName({ variance, resolved }: Setting): PlainMethodTerm {
  if (variance === 'robust') return jackknifeName(resolved)
  return variance === 'aalen' ? 'aalen-s-variance' : 'greenwood-type-variance'
}

function varianceOf(stratum: number, columns: IncidenceColumns, setting: Setting): Float64Array {
  const { risk, rows, variance } = setting
  const ending = allCauses(risk)
  if (variance === 'robust' && rows !== undefined) {
    return clusterVariances(risk, stratum, rows, incidenceInfluence(risk, stratum, columns, ending))
  }
  const estimator = variance === 'aalen' ? aalenIncidenceVariance : greenwoodIncidenceVariance
  return estimator(risk, stratum, columns, ending)
}

const oneCluster = noInterval('one-patient')
const noEvents = noInterval('no-event-of-cause-by-then')
/** Before anybody leaves, incidence is zero by definition. */
const atOrigin: Interval = { lower: 0, upper: 0 }

function causeCurve(
  cause: number,
  stratum: number,
  entries: readonly EntryStep[],
  critical: number | undefined,
  setting: Setting,
): IncidenceCurve {
  const { risk, resolved } = setting
  const from = risk.start[stratum]!
  const columns = incidenceColumns(risk, stratum, cause, allCauses(risk))
  const variance = varianceOf(stratum, columns, setting)
  const rows: IncidenceRow[] = []
  const intervalOf = (incidence: number, standardError: number): Interval => {
    if (critical === undefined) return oneCluster
    if (incidence === 0) return noEvents
    return probabilityInterval(incidence, standardError / incidence, critical, resolved.interval)
  }
  const step = (time: number, atRisk: number, events: number, incidence: number, variance: number): void => {
    const standardError = Math.sqrt(variance)
    const { lower, upper } = intervalOf(incidence, standardError)
    rows.push(Object.freeze({ time, atRisk, events, incidence, standardError, lower, upper }))
  }
  if (risk.time[from] !== 0) {
    const limits = critical === undefined ? oneCluster : atOrigin
    const atRisk = atRiskAtStart(risk, stratum, entries)
    rows.push(Object.freeze({ time: 0, atRisk, events: 0, incidence: 0, standardError: 0, ...limits }))
  }
  for (let cell = from; cell < risk.start[stratum + 1]!; cell++) {
    const place = (cause - 1) * risk.cells + cell
    const at = cell - from
    step(risk.time[cell]!, risk.atRisk[cell]!, risk.events[place]!, columns.incidence[at]!, variance[at]!)
  }
  return { cause, events: eventsOfStratum(risk, stratum, cause), rows: Object.freeze(rows) }
}
