import { mean } from 'simple-statistics'
import { NumericalError } from '../../core/errors.js'
import { notReached, type Quantity, type Warning, warning } from '../../core/estimate.js'
import { checked } from '../kernel/checked.js'
import { requireFinite } from '../numeric/columns.js'

/** Options of an exponentially weighted moving average. */
export interface EwmaOptions {
  /** Weight of the newest reading, above 0 and up to 1; default 0.2. */
  readonly weight?: number
  /** Distance of the limits in standard deviations of the average; default 3. */
  readonly width?: number
  /** Value aimed at, such as the torque the device is set to; default the mean of the baseline. */
  readonly centre?: number
  /** Standard deviation of one reading; default from the baseline's moving ranges (mean range / 1.128). */
  readonly standardDeviation?: number
  /** Readings, from the first, that give centre and standard deviation where they are not given; default all. */
  readonly baseline?: number
}

/** One reading of the chart. */
export interface EwmaRow {
  readonly average: number
  readonly lower: number
  readonly upper: number
}

/** A chart of an exponentially weighted moving average. */
export interface EwmaChart {
  readonly rows: readonly EwmaRow[]
  readonly centre: number
  readonly standardDeviation: number
  readonly weight: number
  readonly width: number
  /** Readings, counted from 1, whose average lies outside its limits. */
  readonly signals: readonly number[]
  readonly firstSignal: Quantity
  readonly n: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Exponentially weighted moving average of readings in order, with limits exact at each reading (Roberts 1959; Lucas
 * and Saccucci 1990): finds a slow drift of a torque device that single readings hide.
 *
 * @param readings in order of time, such as deviations of a torque device in Ncm
 * @param options weight 0.2; width 3; centre and standardDeviation from the baseline, which is all readings
 * @throws NumericalError `no-readings`, `not-finite`, `weight-out-of-range`, `spread-not-usable`, `baseline-not-usable`
 * @example ewmaChart([35, 36, 34], { centre: 35, standardDeviation: 1 }).rows[1].average // => 35.2
 */
export const ewmaChart = checked(
  'ewmaChart',
  (readings: ArrayLike<number>, options: EwmaOptions = {}): EwmaChart => {
    const { weight = 0.2, width = 3 } = options
    requireReadings(readings, weight, width)
    const used = options.baseline ?? readings.length
    requireBaseline(used, readings.length, options)
    const centre = options.centre ?? meanOf(readings, used)
    const standardDeviation = options.standardDeviation ?? rangeDeviation(readings, used)
    requireSpread(standardDeviation)
    const rows: EwmaRow[] = []
    const signals: number[] = []
    let average = centre
    let kept = 1
    for (let i = 0; i < readings.length; i++) {
      average = weight * readings[i]! + (1 - weight) * average
      kept *= (1 - weight) ** 2
      const reach = width * standardDeviation * Math.sqrt((weight / (2 - weight)) * (1 - kept))
      rows.push(Object.freeze({ average, lower: centre - reach, upper: centre + reach }))
      if (Math.abs(average - centre) > reach) signals.push(i + 1)
    }
    return Object.freeze({
      rows: Object.freeze(rows),
      centre,
      standardDeviation,
      weight,
      width,
      signals: Object.freeze(signals),
      firstSignal: signals[0] ?? notReached(readings.length),
      n: readings.length,
      warnings: Object.freeze(warningsOf(used, options)),
      reference: 'ewma',
    })
  },
)

function warningsOf(used: number, options: EwmaOptions): readonly Warning[] {
  if (used >= 20 || options.standardDeviation !== undefined) return []
  return [warning('short-baseline', { readings: used })]
}

/** Mean moving range over its expectation for a normal reading, 2/√π. */
function rangeDeviation(readings: ArrayLike<number>, used: number): number {
  let sum = 0
  for (let i = 1; i < used; i++) sum += Math.abs(readings[i]! - readings[i - 1]!)
  return (sum / (used - 1)) * (Math.sqrt(Math.PI) / 2)
}

function meanOf(readings: ArrayLike<number>, used: number): number {
  return mean(Array.from(readings).slice(0, used))
}

function requireReadings(readings: ArrayLike<number>, weight: number, width: number): void {
  if (readings.length === 0) {
    throw new NumericalError({
      code: 'no-readings',
      problem: 'there are no readings.',
      expected: 'at least one.',
      mend: 'pass the readings in order of time.',
    })
  }
  requireFinite('readings', readings)
  if (weight > 0 && weight <= 1 && width > 0) return
  throw new NumericalError({
    code: 'weight-out-of-range',
    problem: `the weight is ${weight} and the width ${width}.`,
    expected: 'a weight above 0 and up to 1, and a width above 0.',
    mend: 'use 0.2 and 3.',
  })
}

function requireBaseline(used: number, n: number, options: EwmaOptions): void {
  const least = options.standardDeviation === undefined ? 2 : 1
  if (Number.isInteger(used) && used >= least && used <= n) return
  throw new NumericalError({
    code: 'baseline-not-usable',
    problem: `the baseline holds ${used} of ${n} readings.`,
    expected: `a whole number from ${least} to the number of readings.`,
    mend: 'give centre and standard deviation, or a longer baseline.',
  })
}

function requireSpread(standardDeviation: number): void {
  if (Number.isFinite(standardDeviation) && standardDeviation > 0) return
  throw new NumericalError({
    code: 'spread-not-usable',
    problem: `the standard deviation of a reading is ${standardDeviation}.`,
    expected: 'a number above 0.',
    mend: 'give the standard deviation that the device is known to have.',
  })
}
