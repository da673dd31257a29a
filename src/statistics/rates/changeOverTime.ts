import { daysPerYear } from '../../core/calendar.js'
import { NumericalError } from '../../core/errors.js'
import { type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { compareCumulativeIncidence, type IncidenceComparison } from '../curves/incidenceContrast.js'
import { checked } from '../kernel/checked.js'
import type { CodeColumn } from '../kernel/codes.js'
import {
  type NumberColumn,
  requireFinite,
  requireNonNegative,
  requireSameLength,
  requireZeroOne,
} from '../numeric/columns.js'
import { fewClusters } from '../regression/clusters.js'
import type { RegressionCoefficient } from '../regression/coefficients.js'
import { combineCoefficients } from '../regression/combination.js'
import type { CovariateColumn, Covariates } from '../regression/design.js'
import type { GeneralisedLinearFit } from '../regression/generalisedLinear.js'
import { poissonRegression } from '../regression/poisson.js'
import { cutExposure, type ExposureBand, type ExposureBands } from './exposureBands.js'

/** Options of {@link segmentedChange}. */
export interface SegmentedChangeOptions {
  /** Day from which deliveries follow the new protocol. */
  readonly changeDay: number
  /** Patient of every row; default every row its own. */
  readonly cluster?: CodeColumn
  /** Ages at which time since delivery is cut; default every year. */
  readonly bandEdgesDays?: readonly number[]
  /** `separate`: a trend on each side of the change. `common`: one. `none`: levels only. Default `separate`. */
  readonly trends?: 'separate' | 'common' | 'none'
  /** What else to adjust for, by row; default nothing. */
  readonly covariates?: Covariates
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/** How the rate changed with the protocol, by the date of delivery. */
export interface SegmentedChange {
  /** Rate ratio after against before at the day of the change, trends carried up to it from both sides. */
  readonly levelChange: RegressionCoefficient
  /** Rate ratio for each year of delivery before the change; absent without trends. */
  readonly trendBefore?: RegressionCoefficient
  /** Rate ratio for each year of delivery after the change. */
  readonly trendAfter?: RegressionCoefficient
  /** Trend after over trend before. */
  readonly trendChange?: RegressionCoefficient
  /** Bands of time since delivery; each has a rate of its own. */
  readonly bands: readonly ExposureBand[]
  /** Rows and events on each side. */
  readonly before: { readonly n: number; readonly events: number }
  readonly after: { readonly n: number; readonly events: number }
  /** The regression itself. */
  readonly fit: GeneralisedLinearFit
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly level: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Estimates how the rate of an event changed with a change of protocol, over the date of delivery (not of the event:
 * what was delivered under the old protocol goes on being at risk), by segmented Poisson regression with the time at
 * risk as offset, cut into bands of time since delivery, and patient-robust variance.
 *
 * @param deliveryDay day of delivery, whole days on any common count
 * @param timeDays time at risk from delivery, zero or more
 * @param eventObserved 1 where the event ended the time at risk
 * @param options changeDay (required), patients, bandEdgesDays, trends, covariates, level; see
 *   {@link SegmentedChangeOptions} for their defaults
 * @throws NumericalError `one-sided-change` where nothing was delivered on one side; `collinear-covariate` where a
 *   side has too few delivery days for a trend; and as poissonRegression does
 * @see Wagner et al. (2002) J Clin Pharm Ther 27:299–309; Bernal, Cummins and Gasparrini (2017) Int J Epidemiol
 *   46:348–355
 * @example segmentedChange([1, 1, 9, 9], [4, 2, 4, 2], [1, 1, 1, 0], { changeDay: 5, trends: 'none' }).levelChange.ratio // => 0.5
 */
export const segmentedChange = checked(
  'segmentedChange',
  (
    deliveryDay: NumberColumn,
    timeDays: NumberColumn,
    eventObserved: NumberColumn,
    options: SegmentedChangeOptions,
  ): SegmentedChange => {
    const { changeDay, trends = 'separate', level = 0.95, covariates = {} } = options
    const rows = requireSameLength({
      deliveryDay,
      timeDays,
      eventObserved,
      patients: options.cluster,
      ...covariates,
    })
    requireFinite('deliveryDay', deliveryDay)
    requireNonNegative('timeDays', timeDays)
    requireZeroOne('eventObserved', eventObserved)
    const sides = sidesOf(deliveryDay, eventObserved, changeDay)
    const pieces = cutExposure(timeDays, eventObserved, options.bandEdgesDays ?? everyYear(timeDays))
    const design = segmentedCovariates(deliveryDay, pieces, changeDay, trends, covariates)
    const patients = options.cluster
    const fit = poissonRegression(pieces.event, design, {
      exposure: pieces.exposureDays.map((days) => days / daysPerYear),
      cluster: Array.from(pieces.row, (row) => (patients === undefined ? row : patients[row]!)),
      level,
    })
    const reference = {
      level,
      degreesOfFreedom: fit.clusters < fewClusters ? fit.clusters - 1 : Number.POSITIVE_INFINITY,
    }
    const sum = (name: string, multiples: Record<string, number>): RegressionCoefficient =>
      combineCoefficients(name, fit, multiples, reference)
    const trendBefore = sum('trend-before', { [yearsName]: 1 })
    return deepFreeze({
      levelChange: sum('level-change', { [afterName]: 1 }),
      ...(trends !== 'none' && { trendBefore }),
      ...(trends === 'common' && { trendAfter: trendBefore }),
      ...(trends === 'separate' && {
        trendAfter: sum('trend-after', { [yearsName]: 1, [turnName]: 1 }),
        trendChange: sum('trend-change', { [turnName]: 1 }),
      }),
      bands: pieces.bands,
      ...sides,
      fit,
      n: rows,
      events: sides.before.events + sides.after.events,
      clusters: fit.clusters,
      level,
      method: methodOf(
        'segmented-poisson-regression-over-delivery-date',
        `${trends === 'none' ? 'no' : trends}-trends`,
        'patient-robust-variance',
      ),
      warnings: [...fit.warnings, ...warningsOf(pieces)],
      reference: 'segmented-poisson',
    })
  },
)

const afterName = 'delivered-after-change'
const yearsName = 'delivery-years'
const turnName = 'delivery-years-after-change'

function segmentedCovariates(
  deliveryDay: NumberColumn,
  pieces: ExposureBands,
  changeDay: number,
  trends: string,
  covariates: Covariates,
): Covariates {
  const years = Float64Array.from(pieces.row, (row) => (deliveryDay[row]! - changeDay) / daysPerYear)
  const bandNames = pieces.bands.map((_, band) => String(band + 1))
  return {
    [afterName]: years.map((year) => (year >= 0 ? 1 : 0)),
    ...(trends !== 'none' && { [yearsName]: years }),
    ...(trends === 'separate' && { [turnName]: years.map((year) => Math.max(0, year)) }),
    ...(pieces.bands.length > 1 && { band: Array.from(pieces.band, (band) => bandNames[band]!) }),
    ...Object.fromEntries(
      Object.entries(covariates).map(([name, column]) => [name, spread(column, pieces.row)]),
    ),
  }
}

/** Values of the rows that the pieces come from. */
function spread(column: CovariateColumn, rows: Int32Array): CovariateColumn {
  return Array.from(rows, (row) => column[row]!) as CovariateColumn
}

function everyYear(timeDays: NumberColumn): readonly number[] {
  let last = 0
  for (let row = 0; row < timeDays.length; row++) last = Math.max(last, timeDays[row]!)
  return Array.from({ length: Math.floor(last / daysPerYear) }, (_, year) => (year + 1) * daysPerYear)
}

function sidesOf(
  deliveryDay: NumberColumn,
  eventObserved: NumberColumn,
  changeDay: number,
): Pick<SegmentedChange, 'before' | 'after'> {
  const before = { n: 0, events: 0 }
  const after = { n: 0, events: 0 }
  for (let row = 0; row < deliveryDay.length; row++) {
    const side = deliveryDay[row]! < changeDay ? before : after
    side.n++
    side.events += eventObserved[row] === 1 ? 1 : 0
  }
  if (before.n > 0 && after.n > 0) return { before, after }
  throw new NumericalError({
    code: 'one-sided-change',
    problem: `${before.n} rows were delivered before the change and ${after.n} from then on.`,
    expected: 'deliveries on both sides of the change.',
    mend: 'check the day of the change, or widen the period.',
  })
}

function warningsOf(pieces: ExposureBands): readonly Warning[] {
  if (pieces.rowsWithoutTime === 0) return []
  return [warning('rows-without-time', { rows: pieces.rowsWithoutTime })]
}

/** Options of {@link compareAtEqualFollowUp}. */
export interface EqualFollowUpOptions {
  /** Day from which deliveries follow the new protocol. */
  readonly changeDay: number
  /** Follow-up that both sides are cut to; default the shorter of the two sides' longest times. */
  readonly horizonDays?: number
  readonly cluster?: CodeColumn
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/** Risks before and after a change over the same span of follow-up. */
export interface EqualFollowUpComparison extends IncidenceComparison {
  readonly horizonDays: number
  /** Rate ratio within that span, after against before, patient-robust. */
  readonly rateRatio: RegressionCoefficient
  readonly method: MethodName
  readonly reference: string
}

/**
 * Compares risk and rate before and after a change of protocol over equal follow-up: what happened later than the
 * horizon counts on neither side, so that the older deliveries do not look worse for having been watched longer.
 *
 * @param deliveryDay day of delivery
 * @param timeDays time at risk from delivery
 * @param cause 0 where censored, 1 for the event of interest, 2 and above for competing events
 * @param options changeDay (required), horizonDays, patients, level
 * @returns risk at the horizon on each side with difference and ratio (cumulative incidence), and the rate ratio
 * @throws NumericalError `one-sided-change`, and as compareCumulativeIncidence does
 * @example compareAtEqualFollowUp([1, 1, 9, 9], [4, 2, 3, 1], [1, 0, 0, 1], { changeDay: 5 }).horizonDays // => 3
 */
export const compareAtEqualFollowUp = checked(
  'compareAtEqualFollowUp',
  (
    deliveryDay: NumberColumn,
    timeDays: NumberColumn,
    cause: NumberColumn,
    options: EqualFollowUpOptions,
  ): EqualFollowUpComparison => {
    const { changeDay, cluster: patients, level = 0.95 } = options
    const rows = requireSameLength({ deliveryDay, timeDays, cause, patients })
    requireFinite('deliveryDay', deliveryDay)
    requireNonNegative('timeDays', timeDays)
    sidesOf(deliveryDay, cause, changeDay)
    const horizonDays = options.horizonDays ?? commonHorizon(deliveryDay, timeDays, changeDay)
    const within = Float64Array.from({ length: rows }, (_, row) => Math.min(timeDays[row]!, horizonDays))
    const causeWithin = Float64Array.from({ length: rows }, (_, row) =>
      timeDays[row]! <= horizonDays ? cause[row]! : 0,
    )
    const after = Array.from({ length: rows }, (_, row) =>
      deliveryDay[row]! < changeDay ? 'before' : 'after',
    )
    const comparison = compareCumulativeIncidence(within, causeWithin, after, [horizonDays], {
      against: 'before',
      level,
      ...(patients !== undefined && { cluster: Array.from(patients, String) }),
    })[0]!
    const rate = segmentedChange(
      deliveryDay,
      within,
      causeWithin.map((one) => (one === 1 ? 1 : 0)),
      {
        changeDay,
        trends: 'none',
        bandEdgesDays: [],
        level,
        ...(patients !== undefined && { cluster: patients }),
      },
    )
    return deepFreeze({
      ...comparison,
      horizonDays,
      rateRatio: rate.levelChange,
      method: methodOf(
        'cumulative-incidence-and-rate-over-equal-follow-up',
        'patient-robust-where-patients-repeat',
      ),
      reference: 'segmented-poisson',
    })
  },
)

function commonHorizon(deliveryDay: NumberColumn, timeDays: NumberColumn, changeDay: number): number {
  let before = 0
  let after = 0
  for (let row = 0; row < deliveryDay.length; row++) {
    if (deliveryDay[row]! < changeDay) before = Math.max(before, timeDays[row]!)
    else after = Math.max(after, timeDays[row]!)
  }
  return Math.min(before, after)
}
