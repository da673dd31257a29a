import { UsageError } from '../../core/errors.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import type { NumberColumn } from '../numeric/columns.js'
import {
  type IncidenceComparison,
  type IncidenceContrastOptions,
  incidenceComparison,
  incidenceSetting,
} from './incidenceGroups.js'

/**
 * Mean time lost to a cause up to a horizon τ in every group: the area under its cumulative incidence (Andersen 2013),
 * with the difference and ratio of each group against a comparator. Where other causes compete it stands for the
 * restricted mean. The variance is the infinitesimal jackknife; influences are summed over each patient's rows in both
 * groups before squaring. Differences have a symmetric interval, ratios one on the log scale.
 *
 * @param time follow-up, zero or more
 * @param cause 0 where censored, otherwise the number of the cause that ended the follow-up
 * @param group whole-number codes or texts
 * @param tau horizon, in the unit of time
 * @param options cause of interest (1), comparator, delayed entry, weights, patients, level (0.95)
 * @returns not estimable where the horizon lies past the last follow-up of a group in which somebody is still free
 * @throws NumericalError as `cumulativeIncidence`, and where no group has the comparator's label; UsageError for a
 * horizon that is not above zero
 *
 * @example compareTimeLost([1, 2, 3, 4], [1, 0, 1, 0], [0, 0, 1, 1], 2).groups[0].estimate // => 0.5
 */
export const compareTimeLost = checked(
  'compareTimeLost',
  (
    time: NumberColumn,
    cause: NumberColumn,
    group: CodeColumn,
    tau: number,
    options: Omit<IncidenceContrastOptions, 'interval' | 'variance'> = {},
  ): IncidenceComparison => {
    if (!(tau > 0 && Number.isFinite(tau))) {
      throw new UsageError({
        code: 'horizon-not-positive',
        problem: `the horizon is ${tau}.`,
        expected: 'a time above zero.',
        mend: 'give the horizon in the unit of the times.',
      })
    }
    return deepFreeze(incidenceComparison(tau, incidenceSetting(time, cause, group, 'time-lost', options)))
  },
)
