import { studentTUpperTail } from '../numeric/distributions.js'

/** Readings of one device over time. */
export interface DeviceReadings {
  readonly day: ArrayLike<number>
  /** Reading over target, less 1. */
  readonly deviation: ArrayLike<number>
  /** Day of the last calibration before each reading, NaN where none is known: readings of one day form a period. */
  readonly calibration: ArrayLike<number>
}

/** Mean of a quarter within a period between calibrations. */
export interface QuarterMean {
  readonly day: number
  readonly mean: number
  readonly n: number
  /** Position of its period. */
  readonly period: number
}

/** Whether readings drift within periods between calibrations. */
export interface DriftOfReadings {
  readonly verdict: 'drifting' | 'steady' | 'too-few'
  readonly quarters: readonly QuarterMean[]
  readonly periods: readonly { readonly from: number; readonly mean: number; readonly n: number }[]
  readonly slopePerYear?: number
  /** The slope over the whole time recorded. */
  readonly change?: number
  readonly pValue?: number
  readonly degreesOfFreedom?: number
  /** Day on which the drift began, by the broken line that fits best. */
  readonly onsetDay?: number
  /** First day on which that line lies beyond the tolerance. */
  readonly beyondDay?: number
  /** Where that line ends. */
  readonly lastDeviation?: number
}

/** Options of the test. */
export interface DriftOptions {
  /** P value below which a slope counts; default 0.03. */
  readonly significance?: number
  /** Least change over the time recorded that counts; default 0.03. */
  readonly leastChange?: number
  /** Deviation that is out of tolerance; default 0.06. */
  readonly tolerance?: number
}

const quarterDays = 365.25 / 4

/** Fewest readings of which a quarter has a mean, and fewest degrees of freedom of a test. */
const least = { readings: 3, freedom: 2 } as const

/**
 * Tests the means of quarters for a slope within periods between calibrations: weighted least squares with a level of its
 * own for every period, Student's t with quarters less periods less 1 degrees of freedom. Where it drifts, the onset is
 * the break of the broken line (level, then slope) that fits best.
 */
export function driftOfReadings(readings: DeviceReadings, options: DriftOptions = {}): DriftOfReadings {
  const { significance = 0.03, leastChange = 0.03, tolerance = 0.06 } = options
  const { quarters, periods } = quarterMeans(readings)
  const base = { quarters, periods }
  const used = new Set(quarters.map((one) => one.period)).size
  const freedom = quarters.length - used - 1
  if (freedom < least.freedom) return { verdict: 'too-few', ...base }
  const line = slopeWithin(quarters, (day) => day)
  if (line === undefined) return { verdict: 'too-few', ...base }
  const days = quarters.map((one) => one.day)
  const span = Math.max(...days) - Math.min(...days)
  const error = Math.sqrt(line.squares / freedom / line.spread)
  const t = error > 0 ? Math.abs(line.slope) / error : Number.POSITIVE_INFINITY
  const pValue = error > 0 ? Math.min(1, 2 * studentTUpperTail(t, freedom)) : line.slope === 0 ? 1 : 0
  const change = line.slope * span
  const found = {
    ...base,
    slopePerYear: line.slope * 365.25,
    change,
    pValue,
    degreesOfFreedom: freedom,
  }
  if (!(pValue < significance && Math.abs(change) >= leastChange)) return { verdict: 'steady', ...found }
  return { verdict: 'drifting', ...found, ...brokenLine(quarters, tolerance) }
}

/** Means by quarter since the first reading, within periods. */
function quarterMeans({ day, deviation, calibration }: DeviceReadings) {
  const order = Array.from(day, (_one, i) => i).sort((one, two) => day[one]! - day[two]!)
  const first = order.length === 0 ? 0 : day[order[0]!]!
  const keys = [...new Set(order.map((i) => (Number.isNaN(calibration[i]!) ? -1e9 : calibration[i]!)))].sort(
    (one, two) => one - two,
  )
  const cells = new Map<string, { days: number; sum: number; n: number; period: number }>()
  const sums = keys.map(() => ({ from: Number.POSITIVE_INFINITY, sum: 0, n: 0 }))
  for (const i of order) {
    const period = keys.indexOf(Number.isNaN(calibration[i]!) ? -1e9 : calibration[i]!)
    const key = `${period}|${Math.floor((day[i]! - first) / quarterDays)}`
    const cell = cells.get(key) ?? { days: 0, sum: 0, n: 0, period }
    cell.days += day[i]!
    cell.sum += deviation[i]!
    cell.n += 1
    cells.set(key, cell)
    const own = sums[period]!
    own.from = Math.min(own.from, day[i]!)
    own.sum += deviation[i]!
    own.n += 1
  }
  return {
    quarters: [...cells.values()]
      .filter(({ n }) => n >= least.readings)
      .map(({ days, sum, n, period }) => ({ day: days / n, mean: sum / n, n, period })),
    periods: sums.map(({ from, sum, n }) => ({ from, mean: sum / n, n })),
  }
}

/** Weighted slope of the means on a function of the day, every period with a level of its own. */
function slopeWithin(quarters: readonly QuarterMean[], of: (day: number) => number) {
  const sums = new Map<number, { w: number; x: number; y: number }>()
  for (const { day, mean, n, period } of quarters) {
    const own = sums.get(period) ?? { w: 0, x: 0, y: 0 }
    own.w += n
    own.x += n * of(day)
    own.y += n * mean
    sums.set(period, own)
  }
  let [xx, xy, yy] = [0, 0, 0]
  for (const { day, mean, n, period } of quarters) {
    const { w, x, y } = sums.get(period)!
    const [dx, dy] = [of(day) - x / w, mean - y / w]
    xx += n * dx * dx
    xy += n * dx * dy
    yy += n * dy * dy
  }
  if (!(xx > 0)) return undefined
  const slope = xy / xx
  return {
    slope,
    spread: xx,
    squares: Math.max(0, yy - slope * xy),
    levelOf: (period: number) => {
      const { w, x, y } = sums.get(period)!
      return (y - slope * x) / w
    },
  }
}

/** The broken line that fits best: where it breaks, where it leaves the tolerance, where it ends. */
function brokenLine(quarters: readonly QuarterMean[], tolerance: number) {
  const days = quarters.map((one) => one.day).sort((one, two) => one - two)
  const [from, to] = [days[0]!, days.at(-1)!]
  let best: { onset: number; squares: number; line: NonNullable<ReturnType<typeof slopeWithin>> } | undefined
  for (let onset = from; onset < to - quarterDays; onset += quarterDays / 3) {
    const line = slopeWithin(quarters, (day) => Math.max(0, day - onset))
    if (line !== undefined && (best === undefined || line.squares < best.squares)) {
      best = { onset, squares: line.squares, line }
    }
  }
  if (best === undefined) return {}
  const { onset, line } = best
  const fitted = (day: number): number => {
    const nearest = quarters.reduce((near, one) =>
      Math.abs(one.day - day) < Math.abs(near.day - day) ? one : near,
    )
    return line.levelOf(nearest.period) + line.slope * Math.max(0, day - onset)
  }
  let beyond: number | undefined
  for (let day = from; day <= to && beyond === undefined; day += 7) {
    if (Math.abs(fitted(day)) > tolerance) beyond = day
  }
  return {
    onsetDay: onset,
    lastDeviation: fitted(to),
    ...(beyond === undefined ? {} : { beyondDay: beyond }),
  }
}
