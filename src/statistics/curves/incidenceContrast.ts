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

export type {
  IncidenceAtTime,
  IncidenceComparison,
  IncidenceContrast,
  IncidenceContrastOptions,
} from './incidenceGroups.js'

/**
 * Risks of a cause at chosen times in every group, with the difference and ratio of each against a comparator, from
 * the Aalen–Johansen curves. With a patient column that repeats, influences are summed over each patient's rows in both
 * groups before squaring (patients who hold both kinds); otherwise groups are independent, variance of Greenwood's type.
 *
 * @param time follow-up, zero or more
 * @param cause 0 where censored, otherwise the number of the cause that ended the follow-up
 * @param group whole-number codes or texts
 * @param times horizons
 * @param options cause of interest (1), comparator, delayed entry, weights, patients, level (0.95), interval scale of
 * the risks ('log-log'), variance
 * @returns one comparison per horizon; differences with a symmetric interval, ratios on the log scale; not estimable
 * past the last follow-up of a group
 * @throws NumericalError as `cumulativeIncidence`, and where no group has the comparator's label
 *
 * @example compareCumulativeIncidence([1, 2, 3, 4], [1, 0, 1, 0], [0, 0, 1, 1], [2])[0].differences[0].estimate // => -0.5
 */
export const compareCumulativeIncidence = checked(
  'compareCumulativeIncidence',
  (
    time: NumberColumn,
    cause: NumberColumn,
    group: CodeColumn,
    times: readonly number[],
    options: IncidenceContrastOptions = {},
  ): readonly IncidenceComparison[] => {
    const setting = incidenceSetting(time, cause, group, 'risk', options)
    return deepFreeze(times.map((at) => incidenceComparison(at, setting)))
  },
)
