import { HoldfastError } from '../../core/errors.js'
import type { Contrast, Estimate } from '../../core/estimate.js'
import { compareRisksAt } from '../../statistics/curves/riskAtTimes.js'
import { segmentedChange } from '../../statistics/rates/changeOverTime.js'
import type { RegressionCoefficient } from '../../statistics/regression/coefficients.js'
import { type CohortRows, countPatients, subsetRows } from '../rows/cohortRows.js'

/** One side of a change. */
export interface PeriodSide {
  readonly restorations: number
  readonly patients: number
  /** Endpoints within the time followed. */
  readonly events: number
  /** Risk of the endpoint by the end of the time followed, competing events allowed for. */
  readonly risk: Estimate
}

/** Deliveries before and after a change, over equal spans and equal follow-up. */
export interface ComparedPeriods {
  /** Deliveries of so many days before the change and from it on. */
  readonly spanDays: number
  readonly before: PeriodSide
  readonly after: PeriodSide
  /** Risk after minus risk before. */
  readonly riskDifference: Contrast
  /** Rate after over rate before, no trend allowed for. */
  readonly rateRatio?: Contrast
  /** Rate after over rate before at the day of the change, trends over delivery carried up to it. */
  readonly levelChange?: Contrast
  /** Rate ratio for each later year of delivery; on both sides alike where there is one only. */
  readonly trendBefore?: Contrast
  readonly trendAfter?: Contrast
  /** Trends that the events bore. */
  readonly trends: 'separate' | 'common' | 'none'
  /** Fewer than 5 events on both sides together: nothing can be known. */
  readonly tooFewEvents: boolean
}

/** Fewest events on both sides together of which anything is said. */
const leastEvents = 5
/** Events for each coefficient of the segmented model: level and a trend; level and two trends, on each side. */
const eventsForTrends = { common: 15, separateEachSide: 10 } as const

const sides = { group: 'after', against: 'before' } as const

/** Compares the two periods; undefined where nothing was delivered on one side. */
export function comparedPeriods(
  rows: CohortRows,
  days: Int32Array,
  setting: { readonly changeDay: number; readonly followedDays: number; readonly level: number },
): ComparedPeriods | undefined {
  const { changeDay, followedDays, level } = setting
  const first = days.reduce((least, day) => Math.min(least, day))
  const last = days.reduce((most, day) => Math.max(most, day))
  const spanDays = Math.min(changeDay - first, last - changeDay + 1)
  if (spanDays <= 0) return undefined
  const kept = Array.from(days.keys()).filter(
    (i) => days[i]! >= changeDay - spanDays && days[i]! < changeDay + spanDays,
  )
  const own = subsetRows(rows, kept)
  const ownDays = Float64Array.from(kept, (i) => days[i]!)
  const time = own.timeDays.map((day) => Math.min(day, followedDays))
  const within = (i: number): boolean => own.timeDays[i]! <= followedDays
  const status = own.status.map((code, i) => (within(i) ? code : 0))
  const event = own.event.map((one, i) => (within(i) ? one : 0))
  const label = Array.from(ownDays, (day) => (day < changeDay ? sides.against : sides.group))
  if (new Set(label).size < 2) return undefined
  const comparison = compareRisksAt(time, status, label, [followedDays], {
    cluster: own.patient,
    level,
    against: sides.against,
  })
  const side = (name: string): PeriodSide => {
    const positions = Array.from(label.keys()).filter((i) => label[i] === name)
    return {
      restorations: positions.length,
      patients: countPatients(subsetRows(own, positions)),
      events: positions.reduce((sum, i) => sum + event[i]!, 0),
      risk: comparison.groups.find(({ group }) => group === name)!.risks[0]!,
    }
  }
  const [before, after] = [side(sides.against), side(sides.group)]
  const total = before.events + after.events
  const trends = trendsFor(before.events, after.events)
  const ratios = (kind: 'separate' | 'common' | 'none'): RateContrasts =>
    rateContrasts(ownDays, time, event, own.patient, { changeDay, level, trends: kind })
  const plain = ratios('none')
  return {
    spanDays,
    before,
    after,
    riskDifference: comparison.differences[0]!.at[0]!,
    ...(plain.levelChange === undefined ? {} : { rateRatio: plain.levelChange }),
    ...(trends === 'none' ? {} : ratios(trends)),
    trends,
    tooFewEvents: total < leastEvents,
  }
}

function trendsFor(before: number, after: number): ComparedPeriods['trends'] {
  const { common, separateEachSide } = eventsForTrends
  if (Math.min(before, after) >= separateEachSide) return 'separate'
  return before + after >= common ? 'common' : 'none'
}

type RateContrasts = Pick<ComparedPeriods, 'levelChange' | 'trendBefore' | 'trendAfter'>

/** Segmented Poisson rates; nothing where the deliveries do not bear the model. */
function rateContrasts(
  days: Float64Array,
  time: Float64Array,
  event: Uint8Array,
  patients: Int32Array,
  options: {
    readonly changeDay: number
    readonly level: number
    readonly trends: 'separate' | 'common' | 'none'
  },
): RateContrasts {
  try {
    const { levelChange, trendBefore, trendAfter, n, events, clusters, method, warnings, reference } =
      segmentedChange(days, time, event, { ...options, cluster: patients, bandEdgesDays: [] })
    const contrast = ({ ratio, ratioInterval }: RegressionCoefficient): Contrast => ({
      estimate: ratio,
      interval: ratioInterval,
      level: options.level,
      method,
      n,
      events,
      clusters,
      warnings,
      reference,
      comparator: { ...sides },
    })
    return {
      levelChange: contrast(levelChange),
      ...(trendBefore === undefined ? {} : { trendBefore: contrast(trendBefore) }),
      ...(trendAfter === undefined ? {} : { trendAfter: contrast(trendAfter) }),
    }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return {}
    throw thrown
  }
}
