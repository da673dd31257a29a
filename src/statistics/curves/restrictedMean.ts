import { NumericalError } from '../../core/errors.js'
import type { Contrast, Quantity } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, type Codes, codesOf, singleCode } from '../kernel/codes.js'
import { comparatorOf } from '../kernel/comparator.js'
import { type RiskSet, riskSet } from '../kernel/riskSet.js'
import { type NumberColumn, requireSameLength } from '../numeric/columns.js'
import { type CurveOptions, curveWarnings, resolveCurveOptions } from './curveOptions.js'
import { groupContrast } from './groupContrast.js'
import { clusteredRows } from './influence.js'
import {
  type Area,
  type AreaSetting,
  areaOf,
  type RestrictedMean,
  varianceName,
} from './restrictedMeanArea.js'
import { emptyGroup } from './survival.js'

export { comparatorOf } from '../kernel/comparator.js'
export type { RestrictedMean } from './restrictedMeanArea.js'

/** Options of the restricted mean. */
export interface RestrictedMeanOptions extends Omit<CurveOptions, 'interval'> {
  /** Horizon. Default: the last follow-up, or the earliest of the groups' last follow-ups. */
  readonly tau?: number | undefined
  /**
   * Past the last follow-up of a curve that has not reached zero: 'not-estimable' (default), or 'carried-forward', as
   * if nothing more happened.
   */
  readonly beyondFollowUp?: 'not-estimable' | 'carried-forward' | undefined
}

/** One group against another. */
export interface RestrictedMeanContrast extends Contrast {
  readonly tau: number
  readonly pValue: Quantity
}

/** Restricted means of all groups, and each against the comparator. */
export interface RestrictedMeanComparison {
  readonly tau: number
  readonly groups: readonly RestrictedMean[]
  readonly differences: readonly RestrictedMeanContrast[]
  readonly ratios: readonly RestrictedMeanContrast[]
}

/**
 * Mean time free of the event up to a horizon τ: the area under the product-limit curve (Irwin 1949; Royston and
 * Parmar 2013). The variance is of Greenwood's type, or the infinitesimal jackknife summed over patients where a
 * patient repeats. Limits are symmetric on the scale of time.
 *
 * @param time follow-up, zero or more
 * @param event 1 where the event ended the follow-up, 0 where it was censored
 * @param options horizon, delayed entry, weights, patients, level (0.95), variance
 * @returns the mean in the unit of time; not estimable where the horizon lies beyond a curve that has not reached zero
 * @throws NumericalError as `kaplanMeier`, and for a horizon that is not above zero
 *
 * @example restrictedMeanSurvivalTime([1, 2, 3, 4], [1, 0, 1, 0], { tau: 3 }).estimate // => 2.5
 */
export const restrictedMeanSurvivalTime = checked(
  'restrictedMeanSurvivalTime',
  (time: NumberColumn, event: NumberColumn, options: RestrictedMeanOptions = {}): RestrictedMean => {
    return compare(time, event, singleCode(time.length), options, undefined).groups[0]!
  },
)

/**
 * Restricted means of all groups at one horizon, with the difference and ratio of each against a comparator. Patients
 * with rows in both groups are allowed for: their influences on both means are summed before squaring.
 * The ratio's interval is on its log scale.
 *
 * @param group whole-number codes or texts, one per row
 * @param against label of the comparator; default: the first label in sorted order
 * @throws NumericalError as `restrictedMeanSurvivalTime`, and where no group has the comparator's label
 *
 * @example compareRestrictedMeans([1, 2, 2, 4], [1, 0, 1, 0], [0, 0, 1, 1], { tau: 2 }).differences[0].estimate // => 0.5
 */
export const compareRestrictedMeans = checked(
  'compareRestrictedMeans',
  (
    time: NumberColumn,
    event: NumberColumn,
    group: CodeColumn,
    options: RestrictedMeanOptions & { readonly against?: string | undefined } = {},
  ): RestrictedMeanComparison => {
    requireSameLength({ time, group })
    return compare(time, event, codesOf('group', group), options, options.against)
  },
)

function compare(
  time: NumberColumn,
  event: NumberColumn,
  stratum: Codes,
  options: RestrictedMeanOptions,
  against: string | undefined,
): RestrictedMeanComparison {
  const { entry, weights } = options
  requireSameLength({ time, event, entry, weights })
  const resolved = resolveCurveOptions(options, time.length)
  const risk = riskSet(time, event, { entry, weights, stratum, causes: 1 })
  const tau = horizon(risk, stratum, options.tau)
  const needsRows = resolved.robust || resolved.cluster !== undefined
  const setting = {
    risk,
    rows: needsRows ? clusteredRows(risk, resolved.cluster) : undefined,
    resolved,
    tau,
    carried: options.beyondFollowUp === 'carried-forward',
  }
  const areas = stratum.labels.map((group, s) => areaOf(group, s, setting))
  const comparator = comparatorOf(stratum.labels, against)
  const others = areas.filter((_area, s) => s !== comparator)
  return deepFreeze({
    tau,
    groups: areas.map((area) => area.summary),
    differences: others.map((area) => contrast(area, areas[comparator]!, setting, false)),
    ratios: others.map((area) => contrast(area, areas[comparator]!, setting, true)),
  })
}

function horizon(risk: RiskSet, stratum: Codes, asked: number | undefined): number {
  if (asked !== undefined) {
    if (asked > 0 && Number.isFinite(asked)) return asked
    throw new NumericalError({
      code: 'horizon-not-positive',
      problem: `the horizon is ${asked}.`,
      expected: 'a time above zero.',
      mend: 'give the horizon in the unit of the times.',
    })
  }
  return stratum.labels.reduce((least, group, s) => {
    const end = risk.start[s + 1]!
    if (end === risk.start[s]) throw emptyGroup(group)
    return Math.min(least, risk.time[end - 1]!)
  }, Number.POSITIVE_INFINITY)
}

function contrast(area: Area, against: Area, setting: AreaSetting, asRatio: boolean): RestrictedMeanContrast {
  const { risk, rows, resolved, tau } = setting
  const { estimate, interval, deviation, pValue, clusters } = groupContrast(
    area,
    against,
    asRatio,
    risk,
    rows,
    resolved,
  )
  return {
    estimate,
    interval,
    level: resolved.level,
    method: methodOf(`${asRatio ? 'ratio' : 'difference'}-of-restricted-means`, varianceName(resolved)),
    ...(deviation === undefined
      ? {}
      : { standardError: { value: deviation, scale: asRatio ? 'log ratio' : 'time' } }),
    n: area.summary.n + against.summary.n,
    events: area.summary.events + against.summary.events,
    clusters,
    warnings: curveWarnings(resolved, clusters, risk),
    reference: 'restricted-mean',
    comparator: { group: area.summary.group, against: against.summary.group },
    tau,
    pValue,
  }
}
