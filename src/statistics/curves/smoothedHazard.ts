import { NumericalError } from '../../core/errors.js'
import { type Interval, noInterval, notEstimable, type Quantity, type Warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { singleCode } from '../kernel/codes.js'
import { eventsOfStratum, type RiskSet, riskSet } from '../kernel/riskSet.js'
import { type NumberColumn, requireSameLength } from '../numeric/columns.js'
import { type CurveOptions, criticalValue, curveWarnings, resolveCurveOptions } from './curveOptions.js'
import { hazardColumns } from './hazardColumns.js'
import { type ClusteredRows, clusteredRows, clustersOfStrata, type InfluenceProcess } from './influence.js'
import { addInfluence, sumOfSquares, weightingBy } from './influenceTotals.js'

/** Options of the smoothed hazard. */
export interface SmoothedHazardOptions
  extends Pick<CurveOptions, 'entry' | 'weights' | 'cluster' | 'level' | 'fewClusters'> {
  /** Half-width of the kernel. Default: span of the events over 8 times the fifth root of their number. */
  readonly bandwidth?: number | undefined
  /** Times at which the hazard is wanted. Default: 51 equal steps from 0 to the end. */
  readonly times?: readonly number[] | undefined
  /** End of the range, a boundary for the kernel. Default: the last event. */
  readonly end?: number | undefined
}

/** The hazard at one time. */
export interface SmoothedHazardPoint {
  readonly time: number
  readonly hazard: Quantity
  readonly standardError: Quantity
  readonly lower: Quantity
  readonly upper: Quantity
}

/** A smoothed hazard. */
export interface SmoothedHazard {
  readonly points: readonly SmoothedHazardPoint[]
  readonly bandwidth: number
  readonly end: number
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly level: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Hazard over time, smoothed from the steps of the Nelson–Aalen curve with the Epanechnikov kernel and its boundary
 * forms near 0 and the end (Ramlau-Hansen 1983; Müller and Wang 1994).
 *
 * A boundary kernel can dip below zero; the hazard is then given as 0. The variance is Aalen's, or the infinitesimal
 * jackknife summed over patients where a patient repeats; it does not include the bias of smoothing. Limits are on the
 * log scale.
 *
 * @param time follow-up, zero or more
 * @param event 1 where the event ended the follow-up, 0 where it was censored
 * @param options bandwidth, times, end, delayed entry, weights, patients, level (0.95)
 * @returns hazard per unit of time; not estimable outside 0 to the end
 * @throws NumericalError as `kaplanMeier`; without events; for a bandwidth or end that is not above zero
 *
 * @example smoothedHazard([1, 2, 3, 4], [1, 1, 1, 0], { bandwidth: 2, times: [2], end: 4 }).points[0].hazard // => 0.3359
 */
export const smoothedHazard = checked(
  'smoothedHazard',
  (time: NumberColumn, event: NumberColumn, options: SmoothedHazardOptions = {}): SmoothedHazard => {
    const { entry, weights, cluster, level, fewClusters } = options
    requireSameLength({ time, event, entry, weights })
    const resolved = resolveCurveOptions({ cluster, level, fewClusters }, time.length)
    const risk = riskSet(time, event, { entry, weights, stratum: singleCode(time.length), causes: 1 })
    const events = eventsOfStratum(risk, 0)
    if (events === 0) throw noEvents()
    const rows = resolved.cluster === undefined ? undefined : clusteredRows(risk, resolved.cluster)
    const clusters = rows === undefined ? risk.rows : clustersOfStrata(risk, rows, [0])
    const { first, last } = eventRange(risk)
    const end = positive('end', options.end ?? last)
    const usual = Math.max(last - first, last / 10) / (8 * events ** 0.2)
    const bandwidth = Math.min(positive('bandwidth', options.bandwidth ?? usual), end / 2)
    const times = options.times ?? Array.from({ length: 51 }, (_unused, step) => (step * end) / 50)
    const columns = hazardColumns(risk, 0, false)
    const smoother: Smoother = {
      risk,
      rows: resolved.robust ? rows : undefined,
      influence: columns.influence,
      hazardSteps: stepsOf(columns.hazard),
      varianceSteps: stepsOf(columns.variance),
      bandwidth,
      end,
      critical: criticalValue(resolved, clusters),
    }
    return deepFreeze({
      points: times.map((at) => pointAt(at, smoother)),
      bandwidth,
      end,
      n: risk.rows,
      events,
      clusters,
      level: resolved.level,
      method: methodOf(
        'kernel-smoothed-hazard',
        'epanechnikov-with-boundary-correction',
        resolved.robust ? 'infinitesimal-jackknife-over-patients' : 'aalen-variance',
        'log-interval',
      ),
      warnings: curveWarnings(resolved, clusters, risk),
      reference: 'smoothed-hazard',
    })
  },
)

interface Smoother {
  readonly risk: RiskSet
  /** Rows by cluster where the variance is summed over clusters. */
  readonly rows: ClusteredRows | undefined
  readonly influence: InfluenceProcess
  /** Steps of the cumulative hazard and of its variance, one per cell. */
  readonly hazardSteps: Float64Array
  readonly varianceSteps: Float64Array
  readonly bandwidth: number
  readonly end: number
  readonly critical: number | undefined
}

/** By how much a column that begins at 0 rises at each cell. */
function stepsOf(column: Float64Array): Float64Array {
  const steps = column.slice()
  for (let cell = 1; cell < column.length; cell++) steps[cell]! -= column[cell - 1]!
  return steps
}

function pointAt(time: number, smoother: Smoother): SmoothedHazardPoint {
  const { risk, rows, hazardSteps, varianceSteps, bandwidth, end } = smoother
  if (!(time >= 0 && time <= end)) {
    const outside = notEstimable('smoothed-until', { time: end })
    return { time, hazard: outside, standardError: outside, lower: outside, upper: outside }
  }
  const weight = kernelWeights(time, risk.time, bandwidth, end)
  let sum = 0
  let spread = 0
  for (let cell = 0; cell < risk.cells; cell++) {
    sum += weight[cell]! * hazardSteps[cell]!
    spread += weight[cell]! * weight[cell]! * varianceSteps[cell]!
  }
  if (rows !== undefined) {
    const totals = new Float64Array(rows.numbers.length)
    addInfluence(
      risk,
      0,
      rows,
      smoother.influence,
      weightingBy(smoother.influence, fallsOf(weight)),
      1,
      totals,
    )
    spread = sumOfSquares(totals)
  }
  const value = Math.max(0, sum)
  const standardError = Math.sqrt(spread)
  return {
    time,
    hazard: value,
    standardError,
    ...logLimits(value, standardError, smoother.critical),
  }
}

/** By how much a weight falls from each cell to the next, and at the last to 0. */
function fallsOf(weight: Float64Array): Float64Array {
  const falls = weight.slice()
  for (let cell = 0; cell + 1 < weight.length; cell++) falls[cell]! -= weight[cell + 1]!
  return falls
}

function logLimits(hazard: number, standardError: number, critical: number | undefined): Interval {
  if (critical === undefined) return noInterval('one-patient')
  if (!(hazard > 0)) return noInterval('no-event-in-bandwidth')
  const factor = Math.exp((critical * standardError) / hazard)
  return Number.isFinite(factor)
    ? { lower: hazard / factor, upper: hazard * factor }
    : noInterval('hazard-too-small')
}

/**
 * Weights of events at ascending times for the hazard at another, per unit of time: the Epanechnikov kernel, near 0 and
 * near the end in its boundary form on [−1, q], of total 1 and first moment 0 (Müller 1991). q is the distance to the
 * boundary in bandwidths, and q = 1 gives the kernel itself.
 */
function kernelWeights(at: number, times: Float64Array, bandwidth: number, end: number): Float64Array {
  const weights = new Float64Array(times.length)
  const q = Math.min(1, at / bandwidth, (end - at) / bandwidth)
  const height = 12 / ((1 + q) ** 4 * bandwidth)
  const slope = 1 - 2 * q
  const level = (3 * q * q - 2 * q + 1) / 2
  const towardsEnd = end - at < bandwidth
  for (let cell = 0; cell < times.length && times[cell]! <= end; cell++) {
    const z = (towardsEnd ? times[cell]! - at : at - times[cell]!) / bandwidth
    if (z >= -1 && z <= q) weights[cell] = height * (z + 1) * (z * slope + level)
  }
  return weights
}

function eventRange(risk: RiskSet): { readonly first: number; readonly last: number } {
  const cells = Array.from(risk.time.keys()).filter((cell) => risk.events[cell]! > 0)
  return { first: risk.time[cells[0]!]!, last: risk.time[cells[cells.length - 1]!]! }
}

function positive(name: string, value: number): number {
  if (value > 0 && Number.isFinite(value)) return value
  throw new NumericalError({
    code: `${name}-not-positive`,
    problem: `the ${name} of the smoothed hazard is ${value}.`,
    expected: 'a length of time above zero.',
    mend: `give the ${name} in the unit of the times.`,
  })
}

function noEvents(): NumericalError {
  return new NumericalError({
    code: 'no-events',
    problem: 'no event was observed, so that there is no hazard to smooth.',
    expected: 'at least one event.',
    mend: 'report the rate with its exact upper limit instead.',
  })
}
