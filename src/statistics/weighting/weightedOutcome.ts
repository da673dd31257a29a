import { kaplanMeierByGroup, type SurvivalCurve } from '../curves/survival.js'
import { coxRegression, type HazardRatio } from '../hazardModels/cox.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import { type NumberColumn, requireSameLength, requireZeroOne } from '../numeric/columns.js'
import { requireBothGroups } from './propensityScores.js'

/** Options of weighted outcomes. */
export interface WeightedOutcomeOptions {
  /** Patient of each row; default: every row its own. */
  readonly cluster?: CodeColumn
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/**
 * Product-limit curves of both groups under propensity weights, with robust variance over patients, or over rows where
 * none are given; the weights are taken as known.
 *
 * @param time follow-up, zero or more
 * @param event 1 where the event ended it
 * @param treated 1 in the group of interest, 0 in the other
 * @param weights zero or more, one per row
 * @param options cluster none; level 0.95
 * @returns the curve of the untreated, then that of the treated
 * @throws NumericalError as kaplanMeierByGroup, and `one-group`
 * @see Xie and Liu (2005)
 * @example weightedCurves([1, 2, 3, 4], [1, 1, 1, 1], [0, 0, 1, 1], [1, 3, 1, 1])[0].rows[1].survival // => 0.75
 */
export const weightedCurves = checked(
  'weightedCurves',
  (
    time: NumberColumn,
    event: NumberColumn,
    treated: NumberColumn,
    weights: NumberColumn,
    options: WeightedOutcomeOptions = {},
  ): readonly SurvivalCurve[] => {
    requireSameLength({ time, event, treated, weights })
    requireZeroOne('treated', treated)
    requireBothGroups(treated)
    return kaplanMeierByGroup(time, event, treated, { ...options, weights, variance: 'robust' })
  },
)

/**
 * Hazard ratio of the treated against the untreated in a Cox model with the treatment alone, under propensity weights,
 * with robust variance over patients, or over rows where none are given. The weights are taken as known, which for
 * estimated ones makes the interval of the average effect a little too wide.
 *
 * @param time follow-up, zero or more
 * @param event 1 where the event ended it
 * @param treated 1 in the group of interest, 0 in the other
 * @param weights zero or more, one per row
 * @param options cluster none; level 0.95
 * @throws NumericalError as coxRegression, and `one-group`
 * @see Binder (1992); Joffe and others (2004)
 * @example weightedHazardRatio([1, 2, 3, 4, 5], [1, 1, 0, 1, 1], [1, 0, 1, 1, 0], [1, 1, 1, 1, 1]).estimate // => 1.7583
 */
export const weightedHazardRatio = checked(
  'weightedHazardRatio',
  (
    time: NumberColumn,
    event: NumberColumn,
    treated: NumberColumn,
    weights: NumberColumn,
    options: WeightedOutcomeOptions = {},
  ): HazardRatio => {
    requireSameLength({ time, event, treated, weights })
    requireZeroOne('treated', treated)
    requireBothGroups(treated)
    const { cluster, level } = options
    const fit = coxRegression(
      { time, event },
      { treated },
      {
        weights,
        variance: 'robust',
        ...(cluster === undefined ? {} : { cluster: cluster }),
        ...(level === undefined ? {} : { level }),
      },
    )
    return fit.hazardRatios[0]!
  },
)
