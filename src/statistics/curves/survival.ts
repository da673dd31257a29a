import { NumericalError } from '../../core/errors.js'
import {
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
  type Warning,
  warning,
} from '../../core/estimate.js'
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
import { type ClusteredRows, clusterVariances, rowsIfClustered, sizeOfStratum } from './influence.js'
import { logSurvivalInfluence, type ProductLimitColumns, productLimitColumns } from './productLimit.js'
import { type IntervalScale, probabilityInterval } from './survivalInterval.js'

/** One step of a product-limit curve. */
export interface SurvivalRow {
  readonly time: number
  /** Rows (or their weights) at risk just before the time. */
  readonly atRisk: number
  readonly events: number
  readonly censored: number
  /** Probability that the event has not happened up to and including the time. */
  readonly survival: number
  /** Standard error of survival. */
  readonly standardError: Quantity
  readonly lower: Quantity
  readonly upper: Quantity
}

/** A product-limit curve: steps from time 0 to the last follow-up. */
export interface SurvivalCurve {
  /** Label of the group; 'all' where there is one curve. */
  readonly group: string
  readonly rows: readonly SurvivalRow[]
  /** Delayed entries, times ascending; empty where every row is at risk from the start. */
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
 * Product-limit estimate of the probability that the event has not happened by time t (Kaplan and Meier 1958).
 *
 * Rows whose times are equal doubles are tied; censorings tied with events stay at risk for them. The variance is
 * Greenwood's (1926), or, where a patient repeats, the infinitesimal jackknife summed over patients (Williams 1995;
 * Therneau and Grambsch 2000), without a small-sample factor. An event at time 0 counts at time 0.
 *
 * @param time follow-up, zero or more, in any unit
 * @param event 1 where the event ended the follow-up, 0 where it was censored
 * @param options delayed entry, weights, patients, level (0.95), interval scale ('log-log'), variance
 * @returns steps at every time of exit, led by time 0; limits are tagged where the scale has none
 * @throws NumericalError for missing or negative times, an event that is not 0 or 1, an entry that is not before the
 * exit, columns of unequal length, or no rows
 *
 * @example kaplanMeier([1, 2, 3, 4], [1, 0, 1, 0]).rows[3].survival // => 0.375
 */
export const kaplanMeier = checked(
  'kaplanMeier',
  (time: NumberColumn, event: NumberColumn, options: CurveOptions = {}): SurvivalCurve => {
    return curves(time, event, singleCode(time.length), options)[0]!
  },
)

/**
 * Product-limit estimate in each group, groups in the order of their sorted labels; see `kaplanMeier`.
 *
 * @param group whole-number codes or texts, one per row
 *
 * @example kaplanMeierByGroup([1, 2, 3, 4], [1, 0, 1, 0], ['a', 'a', 'b', 'b'])[1].rows[1].survival // => 0.5
 */
export const kaplanMeierByGroup = checked(
  'kaplanMeierByGroup',
  (
    time: NumberColumn,
    event: NumberColumn,
    group: CodeColumn,
    options: CurveOptions = {},
  ): readonly SurvivalCurve[] => {
    requireSameLength({ time, group })
    return curves(time, event, codesOf('group', group), options)
  },
)

function curves(
  time: NumberColumn,
  event: NumberColumn,
  stratum: Codes,
  options: CurveOptions,
): readonly SurvivalCurve[] {
  requireSameLength({ time, event, entry: options.entry, weights: options.weights })
  const resolved = resolveCurveOptions(options, time.length)
  const risk = riskSet(time, event, { entry: options.entry, weights: options.weights, stratum, causes: 1 })
  const rows = rowsIfClustered(risk, resolved)
  const entries = entrySteps(options.entry, stratum.codes, risk)
  return Object.freeze(
    stratum.labels.map((group, s) => curve(group, s, risk, rows, entries[s] ?? [], resolved)),
  )
}

function curve(
  group: string,
  stratum: number,
  risk: RiskSet,
  rows: ClusteredRows | undefined,
  entries: readonly EntryStep[],
  options: ResolvedCurveOptions,
): SurvivalCurve {
  if (risk.start[stratum] === risk.start[stratum + 1]) throw emptyGroup(group)
  const columns = productLimitColumns(risk, stratum)
  const { n, clusters } = sizeOfStratum(risk, rows, stratum)
  const varianceLog =
    options.robust && rows !== undefined
      ? clusterVariances(risk, stratum, rows, logSurvivalInfluence(risk, stratum))
      : columns.varianceLog
  const warnings = curveWarnings(options, clusters, risk)
  const emptied = emptiedEarly(columns)
  if (emptied) warnings.push(riskSetEmptied)
  const steps = survivalRows(risk, stratum, columns, varianceLog, entries, clusters, options)
  return deepFreeze({
    group,
    rows: steps,
    entries,
    lastTime: steps[steps.length - 1]!.time,
    n,
    events: eventsOfStratum(risk, stratum),
    clusters,
    level: options.level,
    intervalScale: options.interval,
    method: curveMethod(options),
    warnings,
    reference: options.robust ? 'patient-robust-curve' : 'product-limit',
  })
}

/** A group of which no row has a weight has no curve. */
export function emptyGroup(group: string): NumericalError {
  return new NumericalError({
    code: 'empty-group',
    problem: `group ${group} has no row with a weight above zero.`,
    expected: 'at least one row of positive weight in every group.',
    mend: 'leave the group out, or correct the weights.',
  })
}

const riskSetEmptied = warning('risk-set-emptied')

function emptiedEarly(columns: ProductLimitColumns): boolean {
  const { survivalBefore } = columns
  return survivalBefore.length > 0 && survivalBefore[survivalBefore.length - 1] === 0
}

function curveMethod(options: ResolvedCurveOptions): MethodName {
  const variance = options.robust ? jackknifeName(options) : 'greenwood-variance'
  return methodOf('product-limit', variance, `${options.interval}-interval`)
}

const noStandardError = notEstimable('curve-at-zero')
/** Before anybody leaves, survival is one by definition. */
const atOrigin: Interval = { lower: 1, upper: 1 }
const oneCluster = noInterval('one-patient')

function survivalRows(
  risk: RiskSet,
  stratum: number,
  columns: ProductLimitColumns,
  varianceLog: Float64Array,
  entries: readonly EntryStep[],
  clusters: number,
  options: ResolvedCurveOptions,
): readonly SurvivalRow[] {
  const critical = criticalValue(options, clusters)
  const from = risk.start[stratum]!
  const to = risk.start[stratum + 1]!
  const steps: SurvivalRow[] = []
  const step = (time: number, cell: number, survival: number, variance: number): void => {
    const deviation = Math.sqrt(variance)
    const { lower, upper }: Interval =
      critical === undefined
        ? oneCluster
        : cell < 0
          ? atOrigin
          : probabilityInterval(survival, deviation, critical, options.interval)
    const standardError = survival > 0 ? survival * deviation : options.robust ? 0 : noStandardError
    const present = cell >= 0
    const atRisk = present ? risk.atRisk[cell]! : atRiskAtStart(risk, stratum, entries)
    const events = present ? risk.events[cell]! : 0
    const censored = present ? risk.censored[cell]! : 0
    steps.push(Object.freeze({ time, atRisk, events, censored, survival, standardError, lower, upper }))
  }
  if (risk.time[from] !== 0) step(0, -1, 1, 0)
  for (let cell = from; cell < to; cell++) {
    step(risk.time[cell]!, cell, columns.survival[cell - from]!, varianceLog[cell - from]!)
  }
  return Object.freeze(steps)
}
