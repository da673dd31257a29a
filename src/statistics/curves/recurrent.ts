import { NumericalError } from '../../core/errors.js'
import { type Interval, noInterval, notEstimable, type Quantity, type Warning } from '../../core/estimate.js'
import { type MethodName, methodOf, type PlainMethodTerm } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, type Codes, codesOf, singleCode } from '../kernel/codes.js'
import { eventsOfStratum, type RiskSet, riskSet } from '../kernel/riskSet.js'
import { type NumberColumn, requireSameLength } from '../numeric/columns.js'
import {
  type CurveOptions,
  criticalValue,
  curveWarnings,
  type ResolvedCurveOptions,
  resolveCurveOptions,
} from './curveOptions.js'
import { atRiskAtStart, type EntryStep, entrySteps } from './delayedEntry.js'
import { hazardColumns } from './hazardColumns.js'
import { incidenceColumns, incidenceInfluence } from './incidenceColumns.js'
import { type ClusteredRows, clusteredRows, clustersOfStrata, clusterVariances } from './influence.js'
import { emptyGroup } from './survival.js'
import { logInterval } from './survivalInterval.js'

/** Variance of a mean count: over patients, between units (Nelson), or as if events came independently. */
export type MeanCountVariance = 'lawless-nadeau' | 'nelson' | 'poisson'

/** Options of the mean cumulative count. */
export interface MeanCountOptions
  extends Pick<CurveOptions, 'entry' | 'weights' | 'cluster' | 'level' | 'fewClusters'> {
  /** Unit of each row, where a unit has several stretches. Default: every row its own. */
  readonly unit?: CodeColumn | undefined
  /** Variance. Default: 'lawless-nadeau', summed over `cluster`, or over `unit` where no cluster is given. */
  readonly variance?: MeanCountVariance | undefined
}

/** One step of a mean count. */
export interface MeanCountRow {
  readonly time: number
  readonly atRisk: number
  readonly events: number
  /** Mean number of events per unit up to and including the time. */
  readonly meanCount: number
  readonly standardError: Quantity
  readonly lower: Quantity
  readonly upper: Quantity
}

/** A mean count: steps from time 0 to the last follow-up. */
export interface MeanCountCurve {
  readonly group: string
  readonly rows: readonly MeanCountRow[]
  readonly lastTime: number
  /** Units, or rows where no unit was given. */
  readonly n: number
  readonly events: number
  readonly terminalEvents: number
  readonly clusters: number
  readonly level: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Mean cumulative count of a repeating event per unit while it is under observation (Nelson 1988, 1995).
 *
 * Each unit has one row per stretch (entry, time], which ends with an event or without. The variance sums over
 * patients what each adds (Lawless and Nadeau 1995); 'nelson' is his unbiased estimate between units, 'poisson' that of
 * independent events. Limits are on the log scale. Removal counts as censoring: the count holds "while in place".
 *
 * @param time end of each stretch
 * @param event 1 where the stretch ended with an event, 0 where it did not
 * @param options start of each stretch (`entry`), unit, patient (`cluster`), weights, level (0.95), variance
 * @throws NumericalError as `kaplanMeier`; for 'nelson' where a unit is not followed from 0 without a gap
 *
 * @example meanCumulativeCount([2, 5, 5], [1, 0, 0], { entry: [0, 2, 0], unit: [1, 1, 2] }).rows[1].meanCount // => 0.5
 */
export const meanCumulativeCount = checked(
  'meanCumulativeCount',
  (time: NumberColumn, event: NumberColumn, options: MeanCountOptions = {}): MeanCountCurve => {
    return meanCounts(time, event, singleCode(time.length), options, 1)[0]!
  },
)

/**
 * Mean cumulative count in each group, groups in the order of their sorted labels; see `meanCumulativeCount`.
 *
 * @example meanCumulativeCountByGroup([2, 5], [1, 0], ['a', 'b'])[0].rows[1].meanCount // => 1
 */
export const meanCumulativeCountByGroup = checked(
  'meanCumulativeCountByGroup',
  (
    time: NumberColumn,
    event: NumberColumn,
    group: CodeColumn,
    options: MeanCountOptions = {},
  ): readonly MeanCountCurve[] => {
    requireSameLength({ time, group })
    return meanCounts(time, event, codesOf('group', group), options, 1)
  },
)

/**
 * Mean count of a repeating event where a terminal event ends it: after the terminal event a unit counts on with no
 * further events (Cook and Lawless 1997; Ghosh and Lin 2000). The variance is theirs, summed over patients.
 *
 * @param time end of each stretch
 * @param outcome 0 where the stretch ended without an event, 1 with a repeating event, 2 with the terminal event
 * @param options start of each stretch (`entry`), unit, patient (`cluster`), weights, level (0.95)
 * @throws NumericalError as `meanCumulativeCount`
 *
 * @example meanCountWithTerminalEvents([1, 2, 3, 3], [2, 1, 0, 0], { entry: [0, 0, 2, 0] }).rows[2].meanCount // => 0.3333
 */
export const meanCountWithTerminalEvents = checked(
  'meanCountWithTerminalEvents',
  (
    time: NumberColumn,
    outcome: NumberColumn,
    options: Omit<MeanCountOptions, 'variance'> = {},
  ): MeanCountCurve => {
    return meanCounts(time, outcome, singleCode(time.length), options, 2)[0]!
  },
)

/**
 * Mean count with terminal events in each group; see `meanCountWithTerminalEvents`.
 *
 * @example meanCountWithTerminalEventsByGroup([1, 2], [1, 2], ['a', 'b'])[0].rows[1].meanCount // => 1
 */
export const meanCountWithTerminalEventsByGroup = checked(
  'meanCountWithTerminalEventsByGroup',
  (
    time: NumberColumn,
    outcome: NumberColumn,
    group: CodeColumn,
    options: Omit<MeanCountOptions, 'variance'> = {},
  ): readonly MeanCountCurve[] => {
    requireSameLength({ time, group })
    return meanCounts(time, outcome, codesOf('group', group), options, 2)
  },
)

interface Setting {
  readonly risk: RiskSet
  readonly rows: ClusteredRows
  readonly units: Codes | undefined
  readonly entries: readonly (readonly EntryStep[])[]
  readonly resolved: ResolvedCurveOptions
  readonly variance: MeanCountVariance
  readonly terminal: boolean
}

function meanCounts(
  time: NumberColumn,
  outcome: NumberColumn,
  stratum: Codes,
  options: MeanCountOptions,
  causes: 1 | 2,
): readonly MeanCountCurve[] {
  const { entry, weights, unit, variance = 'lawless-nadeau', cluster = unit, level, fewClusters } = options
  requireSameLength({ time, event: outcome, entry, weights, unit, cluster })
  const robust = variance === 'lawless-nadeau'
  const resolved = resolveCurveOptions(
    { cluster, level, fewClusters, variance: robust ? 'robust' : 'greenwood' },
    time.length,
  )
  const risk = riskSet(time, outcome, { entry, weights, stratum, causes })
  const setting: Setting = {
    risk,
    rows: clusteredRows(risk, resolved.cluster),
    units: unit === undefined ? undefined : codesOf('unit', unit),
    entries: entrySteps(entry, stratum.codes, risk),
    resolved,
    variance,
    terminal: causes === 2,
  }
  return Object.freeze(stratum.labels.map((group, s) => countCurve(group, s, setting)))
}

function countCurve(group: string, stratum: number, setting: Setting): MeanCountCurve {
  const { risk, rows, units, entries, resolved, terminal } = setting
  const from = risk.start[stratum]!
  const to = risk.start[stratum + 1]!
  if (from === to) throw emptyGroup(group)
  const clusters = clustersOfStrata(risk, rows, [stratum])
  const { mean, variance } = countColumns(stratum, setting)
  const unitRows = units === undefined ? rows : { ...rows, cluster: units.codes, numbers: unitNumbers(units) }
  return deepFreeze({
    group,
    rows: countSteps(risk, stratum, mean, variance, entries[stratum]!, criticalValue(resolved, clusters)),
    lastTime: risk.time[to - 1]!,
    n: clustersOfStrata(risk, unitRows, [stratum]),
    events: eventsOfStratum(risk, stratum),
    terminalEvents: terminal ? eventsOfStratum(risk, stratum, 2) : 0,
    clusters,
    level: resolved.level,
    method: methodOf(
      terminal ? 'mean-count-with-terminal-events-ghosh-lin' : 'mean-cumulative-count-nelson-while-in-place',
      varianceName(setting),
      'log-interval',
    ),
    warnings: curveWarnings(resolved, clusters, risk),
    reference: 'mean-cumulative-count',
  })
}

function unitNumbers(units: Codes): Int32Array {
  return new Int32Array(units.count).fill(-1)
}

function varianceName({ variance, resolved, terminal }: Setting): PlainMethodTerm {
  if (variance === 'nelson') return 'nelson-s-variance-between-units'
  if (variance === 'poisson') return 'variance-of-independent-events'
  const unit = resolved.byRow ? 'rows' : 'patients'
  return terminal ? `influence-summed-over-${unit}` : `lawless-nadeau-variance-summed-over-${unit}`
}

function countColumns(
  stratum: number,
  setting: Setting,
): { readonly mean: Float64Array; readonly variance: Float64Array } {
  const { risk, rows, units, terminal } = setting
  if (terminal) {
    const columns = incidenceColumns(risk, stratum, 1, [2])
    const process = incidenceInfluence(risk, stratum, columns, [2])
    return { mean: columns.incidence, variance: clusterVariances(risk, stratum, rows, process) }
  }
  const { hazard, variance, influence } = hazardColumns(risk, stratum, false)
  if (setting.variance === 'poisson') return { mean: hazard, variance }
  return {
    mean: hazard,
    variance:
      setting.variance === 'nelson'
        ? nelsonVariances(risk, stratum, rows, units)
        : clusterVariances(risk, stratum, rows, influence),
  }
}

const oneCluster = noInterval('one-patient')
/** Before anybody leaves, the count is zero by definition. */
const atOrigin: Interval = { lower: 0, upper: 0 }
const noVariance = notEstimable('too-few-units-for-variance')

function countSteps(
  risk: RiskSet,
  stratum: number,
  mean: Float64Array,
  variance: Float64Array,
  entries: readonly EntryStep[],
  critical: number | undefined,
): readonly MeanCountRow[] {
  const from = risk.start[stratum]!
  const steps: MeanCountRow[] = []
  const intervalOf = (meanCount: number, standardError: Quantity): Interval =>
    typeof standardError === 'number' || critical === undefined || meanCount === 0
      ? logInterval(meanCount, standardError as number, critical)
      : { lower: standardError, upper: standardError }
  const step = (time: number, atRisk: number, events: number, meanCount: number, spread: number): void => {
    const standardError = spread >= 0 ? Math.sqrt(spread) : noVariance
    const { lower, upper } = intervalOf(meanCount, standardError)
    steps.push(Object.freeze({ time, atRisk, events, meanCount, standardError, lower, upper }))
  }
  if (risk.time[from] !== 0) {
    const limits = critical === undefined ? oneCluster : atOrigin
    const atRisk = atRiskAtStart(risk, stratum, entries)
    steps.push(Object.freeze({ time: 0, atRisk, events: 0, meanCount: 0, standardError: 0, ...limits }))
  }
  for (let cell = from; cell < risk.start[stratum + 1]!; cell++) {
    const at = cell - from
    step(risk.time[cell]!, risk.atRisk[cell]!, risk.events[cell]!, mean[at]!, variance[at]!)
  }
  return Object.freeze(steps)
}

/**
 * Nelson's (1995) unbiased variance of the mean cumulative count between units, at every cell of a stratum; NaN from
 * the first event with fewer than two units left, and where the estimate falls below zero.
 *
 * With r_k units left at event time k, the mean count there has the variance of a sample mean, and its covariance with
 * an earlier time j is the sample covariance among those r_k units over r_j. Summed over j, each unit needs only the
 * running sum of its events over the numbers then at risk.
 *
 * @throws NumericalError where a unit is not followed from 0 without a gap, or weights were given
 */
function nelsonVariances(
  risk: RiskSet,
  stratum: number,
  rows: ClusteredRows,
  units: Codes | undefined,
): Float64Array {
  if (risk.weights !== undefined) throw weighted()
  const from = risk.start[stratum]!
  const to = risk.start[stratum + 1]!
  const { order, offset } = rows.exits
  const unitOf = (row: number): number => (units === undefined ? row : units.codes[row]!)
  const last = lastCells(risk, stratum, rows, units)
  const running = new Float64Array(units?.count ?? risk.rowCell.length)
  const variances = new Float64Array(to - from)
  let sum = 0
  let variance = 0
  for (let cell = from; cell < to; cell++) {
    const left = risk.atRiskRows[cell]!
    const events = risk.eventRows[cell]!
    let own = 0
    for (let k = offset[cell]!; k < offset[cell + 1]!; k++) {
      if (risk.cause[order[k]!] === 1) own += running[unitOf(order[k]!)]!
    }
    if (events > 0) {
      const within = (events - (events * events) / left) / (left * (left - 1))
      variance += left > 1 ? within + (2 * (own - (events * sum) / left)) / (left - 1) : Number.NaN
    }
    for (let k = offset[cell]!; k < offset[cell + 1]!; k++) {
      const unit = unitOf(order[k]!)
      if (risk.cause[order[k]!] === 1) {
        running[unit]! += 1 / left
        sum += 1 / left
      }
      if (last[unit] === cell) sum -= running[unit]!
    }
    variances[cell - from] = variance >= 0 ? variance : Number.NaN
  }
  return variances
}

/** Last cell of each unit; refuses units whose stretches do not follow one another from the start. */
function lastCells(
  risk: RiskSet,
  stratum: number,
  rows: ClusteredRows,
  units: Codes | undefined,
): Int32Array {
  const { order, offset } = rows.exits
  const last = new Int32Array(units?.count ?? risk.rowCell.length).fill(-1)
  for (let cell = risk.start[stratum]!; cell < risk.start[stratum + 1]!; cell++) {
    for (let k = offset[cell]!; k < offset[cell + 1]!; k++) {
      const row = order[k]!
      const unit = units === undefined ? row : units.codes[row]!
      const entry = risk.rowEntryCell === undefined ? risk.start[stratum]! : risk.rowEntryCell[row]!
      const expected = last[unit] === -1 ? risk.start[stratum]! : last[unit]! + 1
      if (entry !== expected) throw gap()
      last[unit] = cell
    }
  }
  return last
}

function gap(): NumericalError {
  return new NumericalError({
    code: 'unit-not-followed-through',
    problem: 'a unit enters late, or its stretches overlap or leave a gap.',
    expected: "for Nelson's variance, every unit followed from 0 to its end without a gap.",
    mend: "give the column unit, correct the stretches, or use the variance 'lawless-nadeau'.",
  })
}

function weighted(): NumericalError {
  return new NumericalError({
    code: 'weights-not-supported',
    problem: "weights were given for Nelson's variance.",
    expected: 'units that count alike.',
    mend: "leave the weights out, or use the variance 'lawless-nadeau'.",
  })
}
