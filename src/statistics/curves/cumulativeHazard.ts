import { noInterval, type Quantity, type Warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, type Codes, codesOf, singleCode } from '../kernel/codes.js'
import { eventsOfStratum, type RiskSet, riskSet } from '../kernel/riskSet.js'
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
import { hazardColumns } from './hazardColumns.js'
import { clusterVariances, rowsIfClustered, sizeOfStratum } from './influence.js'
import { emptyGroup } from './survival.js'
import { logInterval, probabilityInterval } from './survivalInterval.js'

/** Options of the cumulative hazard; the interval is on the log scale of the hazard. */
export interface CumulativeHazardOptions extends Omit<CurveOptions, 'interval' | 'variance'> {
  /** Variance: 'aalen' sums events over the square of those at risk. Default: 'robust' where a patient repeats. */
  readonly variance?: 'aalen' | 'robust' | undefined
  /** Tied events: 'together' (Nelson–Aalen, default) or 'one-by-one' (Fleming and Harrington 1984). */
  readonly ties?: 'together' | 'one-by-one' | undefined
}

/** One step of a cumulative hazard. */
export interface CumulativeHazardRow {
  readonly time: number
  readonly atRisk: number
  readonly events: number
  readonly censored: number
  readonly cumulativeHazard: number
  readonly standardError: number
  readonly lower: Quantity
  readonly upper: Quantity
  /** exp(−cumulative hazard), with its interval on the log scale of survival. */
  readonly survival: number
  readonly survivalLower: Quantity
  readonly survivalUpper: Quantity
}

/** A cumulative hazard: steps from time 0 to the last follow-up. */
export interface CumulativeHazardCurve {
  readonly group: string
  readonly rows: readonly CumulativeHazardRow[]
  readonly entries: readonly EntryStep[]
  readonly lastTime: number
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly level: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Nelson–Aalen estimate of the cumulative hazard (Nelson 1969, Aalen 1978), and exp(−H) beside it.
 *
 * Tied events count together, d/n, or one by one, 1/n + 1/(n − 1) + … (Fleming and Harrington 1984). The variance is
 * Aalen's, or the infinitesimal jackknife summed over patients where a patient repeats. Limits are on the log scale.
 *
 * @param time follow-up, zero or more
 * @param event 1 where the event ended the follow-up, 0 where it was censored
 * @param options delayed entry, weights, patients, level (0.95), variance, ties ('together')
 * @throws NumericalError as `kaplanMeier`
 *
 * @example nelsonAalen([1, 2, 3, 4], [1, 0, 1, 0]).rows[3].cumulativeHazard // => 0.75
 */
export const nelsonAalen = checked(
  'nelsonAalen',
  (time: NumberColumn, event: NumberColumn, options: CumulativeHazardOptions = {}): CumulativeHazardCurve => {
    return hazards(time, event, singleCode(time.length), options)[0]!
  },
)

/**
 * Nelson–Aalen estimate in each group, groups in the order of their sorted labels; see `nelsonAalen`.
 *
 * @example nelsonAalenByGroup([1, 2, 3, 4], [1, 0, 1, 0], [0, 0, 1, 1])[1].rows[1].cumulativeHazard // => 0.5
 */
export const nelsonAalenByGroup = checked(
  'nelsonAalenByGroup',
  (
    time: NumberColumn,
    event: NumberColumn,
    group: CodeColumn,
    options: CumulativeHazardOptions = {},
  ): readonly CumulativeHazardCurve[] => {
    requireSameLength({ time, group })
    return hazards(time, event, codesOf('group', group), options)
  },
)

function hazards(
  time: NumberColumn,
  event: NumberColumn,
  stratum: Codes,
  options: CumulativeHazardOptions,
): readonly CumulativeHazardCurve[] {
  const { entry, weights, ties, variance, ...shared } = options
  requireSameLength({ time, event, entry, weights })
  const resolved = resolveCurveOptions(
    { ...shared, variance: variance === 'aalen' ? 'greenwood' : variance },
    time.length,
  )
  const risk = riskSet(time, event, { entry, weights, stratum, causes: 1 })
  const entries = entrySteps(entry, stratum.codes, risk)
  const oneByOne = ties === 'one-by-one'
  return Object.freeze(
    stratum.labels.map((group, s) => hazardCurve(group, s, risk, entries[s]!, resolved, oneByOne)),
  )
}

function hazardCurve(
  group: string,
  stratum: number,
  risk: RiskSet,
  entries: readonly EntryStep[],
  options: ResolvedCurveOptions,
  oneByOne: boolean,
): CumulativeHazardCurve {
  const from = risk.start[stratum]!
  if (from === risk.start[stratum + 1]) throw emptyGroup(group)
  const { hazard, variance, influence } = hazardColumns(risk, stratum, oneByOne)
  const rows = rowsIfClustered(risk, options)
  const { n, clusters } = sizeOfStratum(risk, rows, stratum)
  const used =
    options.robust && rows !== undefined ? clusterVariances(risk, stratum, rows, influence) : variance
  const steps = hazardRows(risk, stratum, hazard, used, entries, criticalValue(options, clusters))
  return deepFreeze({
    group,
    rows: steps,
    entries,
    lastTime: steps[steps.length - 1]!.time,
    n,
    events: eventsOfStratum(risk, stratum),
    clusters,
    level: options.level,
    method: methodOf(
      'nelson-aalen',
      ...(oneByOne ? methodOf('ties-one-by-one') : []),
      options.robust ? jackknifeName(options) : 'aalen-variance',
      'log-interval',
    ),
    warnings: curveWarnings(options, clusters, risk),
    reference: 'nelson-aalen',
  })
}

const oneCluster = noInterval('one-patient')

function hazardRows(
  risk: RiskSet,
  stratum: number,
  hazard: Float64Array,
  variance: Float64Array,
  entries: readonly EntryStep[],
  critical: number | undefined,
): readonly CumulativeHazardRow[] {
  const from = risk.start[stratum]!
  const to = risk.start[stratum + 1]!
  const steps: CumulativeHazardRow[] = []
  const step = (time: number, counts: Counts, cumulativeHazard: number, standardError: number): void => {
    const { lower, upper } = logInterval(cumulativeHazard, standardError, critical)
    const survival = Math.exp(-cumulativeHazard)
    const limits =
      critical === undefined ? oneCluster : probabilityInterval(survival, standardError, critical, 'log')
    steps.push(
      Object.freeze({
        time,
        ...counts,
        cumulativeHazard,
        standardError,
        lower,
        upper,
        survival,
        survivalLower: limits.lower,
        survivalUpper: limits.upper,
      }),
    )
  }
  if (risk.time[from] !== 0) steps.push(Object.freeze(originRow(risk, stratum, entries, critical)))
  for (let cell = from; cell < to; cell++) {
    const counts = { atRisk: risk.atRisk[cell]!, events: risk.events[cell]!, censored: risk.censored[cell]! }
    step(risk.time[cell]!, counts, hazard[cell - from]!, Math.sqrt(variance[cell - from]!))
  }
  return Object.freeze(steps)
}

interface Counts {
  readonly atRisk: number
  readonly events: number
  readonly censored: number
}

/** Before anybody leaves, the hazard is zero and survival one by definition. */
function originRow(
  risk: RiskSet,
  stratum: number,
  entries: readonly EntryStep[],
  critical: number | undefined,
): CumulativeHazardRow {
  const { lower, upper } = critical === undefined ? oneCluster : { lower: 0, upper: 0 }
  return {
    time: 0,
    atRisk: atRiskAtStart(risk, stratum, entries),
    events: 0,
    censored: 0,
    cumulativeHazard: 0,
    standardError: 0,
    lower,
    upper,
    survival: 1,
    survivalLower: critical === undefined ? lower : 1,
    survivalUpper: critical === undefined ? upper : 1,
  }
}
