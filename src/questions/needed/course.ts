import { normalUpperTail } from '../../statistics/numeric/distributions.js'
import {
  type QuantileOfEvents,
  type StaggeredPrecision,
  widthOfRisk,
} from '../../statistics/planning/staggeredPrecision.js'

/** When something is reached, with the range from the tenth to the ninetieth percentile of practices like this. */
export interface Reached {
  /** Years from the end of the records; absent where it takes more than 20. */
  readonly years?: number
  /** Restorations that will have been delivered by then. */
  readonly restorations?: number
  readonly range?: { readonly from?: number; readonly to?: number }
}

/** What is needed under one risk: the practice's own, or an assumed one. */
export interface NeededScenario {
  readonly risk: number
  readonly own: boolean
  /** Until the interval of the risk is within what is asked for. */
  readonly risksWidth: Reached
  /** Until the interval of the comparison reaches no further than the smallest difference; absent where withheld. */
  readonly comparisonsWidth?: Reached
  /** Until the stated difference would be found with the stated power. */
  readonly power?: Reached
  /** Years until the comparison is that narrow, for study groups of such practices. */
  readonly studyGroup?: readonly { readonly practices: number; readonly reached: Reached }[]
  /** Half widths to come, year by year. */
  readonly course: readonly CoursePoint[]
}

/** Half widths of both intervals so many years from now. */
export interface CoursePoint {
  readonly years: number
  readonly risk?: number
  readonly riskRange?: { readonly from: number; readonly to: number }
  readonly comparison?: number
  readonly comparisonRange?: { readonly from: number; readonly to: number }
}

/** Why nothing is planned of the comparison. */
export type ComparisonWithheld = 'one-way' | 'overlap' | 'immortal-time' | 'too-short'

/** Years beyond which a practice alone will not get there. */
export const mostYears = 20

/** The interval has to be this much narrower for another look to be worth it; common practice, no source. */
const worthLookingAgain = 0.8

const stepsPerYear = 2

/** Steps of a course, with that of today. */
const steps = mostYears * stepsPerYear + 1
/** Days of a year by which years of a projection are counted. */
export const daysOfYear = 365.25

/** What is to be reached, checked. */
export interface Targets {
  readonly within: number
  readonly smallest: number
  readonly difference: number
  readonly power: number
  readonly practices: number | undefined
  readonly quantile: QuantileOfEvents
}

/** How precise the comparison is today. */
export interface ComparedNow {
  readonly halfWidth: number
  readonly group: number
  readonly against: number
  readonly years: number
}

/** What the comparison of the practice says of its own precision. */
export interface ComparisonNow {
  readonly withheld?: ComparisonWithheld
  readonly share?: number
  readonly now?: ComparedNow
  /** Variance of the difference now, where enough events were seen. */
  readonly variance?: number
  readonly patientsWithEvent: number
}

/** What there will be of the practice by itself, step by step of half a year: it does not hang on the comparison. */
export interface OwnCourse {
  readonly model: StaggeredPrecision
  readonly points: readonly ReturnType<StaggeredPrecision['in']>[]
  /** Restorations that will have been looked at, with those now in the cohort at the start. */
  readonly units: readonly number[]
  /** Half width of the interval of the risk. */
  readonly risk: readonly number[]
}

/** A figure at a step: worked out when it is asked for, since most are asked for up to the step that decides only. */
type AtStep = (step: number) => number

/** What there will be, step by step of half a year. */
export interface Course extends Pick<OwnCourse, 'units' | 'risk'> {
  /** Half width of the comparison for so many practices together; absent where withheld. */
  readonly comparison?: (practices: number) => AtStep
  readonly power?: AtStep
}

/** What the variance of the comparison now goes with: expected variance and events at its own horizon. */
export interface VarianceBase {
  readonly size: number
  readonly events: number
}

export function baseOf(model: StaggeredPrecision): VarianceBase {
  const { independentVariance, events } = model.in(0)
  return { size: (1 - model.risk) ** 2 * independentVariance, events }
}

/** @param calibration what the width of the risk's interval is multiplied by, so that it begins with the one printed */
export function ownCourseOf(
  model: StaggeredPrecision,
  { quantile }: Targets,
  calibration: number,
): OwnCourse {
  const points = Array.from({ length: steps }, (_one, step) => model.in((step / stepsPerYear) * daysOfYear))
  return {
    model,
    points,
    units: points.map((one) => one.units),
    risk: points.map(({ independentVariance, events }) =>
      Math.min(
        0.5,
        (calibration * widthOfRisk(model.risk, model.ratio * independentVariance, quantile(events))) / 2,
      ),
    ),
  }
}

/** @param spread how many times larger the variance of the comparison may have come out in another such practice */
export function courseOf(
  { model, points, units, risk }: OwnCourse,
  base: VarianceBase,
  comparison: ComparisonNow,
  { quantile, difference }: Targets,
  spread: number,
): Course {
  const { share, variance, patientsWithEvent, withheld } = comparison
  if (withheld !== undefined || share === undefined) return { units, risk }
  // Without an estimate of its own the variance is that of two groups of one risk, by Greenwood's variance of each.
  const assumed = (independent: number): number =>
    ((1 - model.risk) ** 2 * model.ratio * independent) / (share * (1 - share))
  const errorAt = (step: number, practices: number): { error: number; events: number } => {
    const point = points[step]!
    const scale = ((1 - model.risk) ** 2 * point.independentVariance) / base.size
    const own = variance === undefined ? assumed(point.independentVariance) : variance * spread * scale
    const expected = variance === undefined ? point.events : (patientsWithEvent * point.events) / base.events
    return { error: Math.sqrt(own / practices), events: expected * practices }
  }
  return {
    units,
    risk,
    comparison: (practices) => (step) => {
      const { error, events } = errorAt(step, practices)
      return Number.isFinite(error) ? Math.min(1, quantile(events) * error) : 1
    },
    power: (step) => {
      const { error, events } = errorAt(step, 1)
      return Number.isFinite(error) ? normalUpperTail(quantile(events) - difference / error) : 0
    },
  }
}

/** Years until something has come down to what is wanted, between the steps by a straight line. */
function yearsUntil(sizeAt: AtStep, wanted: number): number | undefined {
  let before = Number.NaN
  for (let step = 0; step < steps; step++) {
    const after = sizeAt(step)
    if (after <= wanted) return step === 0 ? 0 : (step - (wanted - after) / (before - after)) / stepsPerYear
    before = after
  }
  return undefined
}

const studyGroups = [2, 3, 5, 10] as const

export function scenarioOf(
  course: Course,
  draws: readonly Course[],
  targets: Targets,
  own: boolean,
  risk: number,
): NeededScenario {
  const { within, smallest, power, practices } = targets
  const reached = (sizeOf: (one: Course) => AtStep | undefined, wanted: number): Reached => {
    const years = yearsUntil(sizeOf(course)!, wanted)
    const others = draws.map((draw) => yearsUntil(sizeOf(draw)!, wanted) ?? Number.POSITIVE_INFINITY)
    const [from, to] = tenths(others)
    return {
      ...(years === undefined ? {} : { years, restorations: Math.ceil(unitsAt(course, years)) }),
      range: { ...(Number.isFinite(from) ? { from } : {}), ...(Number.isFinite(to) ? { to } : {}) },
    }
  }
  const compared = course.comparison !== undefined
  const short = ({ power: share }: Course): AtStep | undefined => share && ((step) => 1 - share(step))
  const groups = [...new Set([...(practices === undefined ? [] : [practices]), ...studyGroups])].sort(
    (one, two) => one - two,
  )
  return {
    risk,
    own,
    risksWidth: reached(
      ({ risk: width }) =>
        (step) =>
          width[step]!,
      within,
    ),
    ...(compared
      ? {
          comparisonsWidth: reached((one) => one.comparison?.(1), smallest),
          power: reached(short, 1 - power),
          studyGroup: groups.map((size) => {
            const { years, ...rest } = reached((one) => one.comparison?.(size), smallest)
            return {
              practices: size,
              reached: {
                ...rest,
                ...(years === undefined
                  ? {}
                  : { years, restorations: Math.ceil(size * unitsAt(course, years)) }),
              },
            }
          }),
        }
      : {}),
    course: coursePoints(course, draws),
  }
}

function unitsAt({ units }: Course, years: number): number {
  const place = years * stepsPerYear
  const step = Math.min(units.length - 2, Math.floor(place))
  return units[step]! + (place - step) * (units[step + 1]! - units[step]!)
}

/** Tenth and ninetieth percentile. */
function tenths(values: readonly number[]): readonly [number, number] {
  const sorted = [...values].sort((one, two) => one - two)
  const at = (share: number): number => sorted[Math.round(share * (sorted.length - 1))]!
  return [at(0.1), at(0.9)]
}

function coursePoints(course: Course, draws: readonly Course[]): readonly CoursePoint[] {
  const comparison = course.comparison?.(1)
  const drawn = draws.map((one) => one.comparison?.(1))
  return Array.from({ length: mostYears + 1 }, (_one, years) => {
    const step = years * stepsPerYear
    const ranged = (value: number | undefined, others: readonly number[]) => {
      if (value === undefined || value >= 0.5) return undefined
      const [from, to] = tenths(others)
      return { value, range: { from, to } }
    }
    const risk = ranged(
      course.risk[step],
      draws.map((one) => one.risk[step]!),
    )
    const difference = ranged(
      comparison?.(step),
      drawn.map((one) => one?.(step) ?? 1),
    )
    return {
      years,
      ...(risk === undefined ? {} : { risk: risk.value, riskRange: risk.range }),
      ...(difference === undefined
        ? {}
        : { comparison: difference.value, comparisonRange: difference.range }),
    }
  })
}

/** Years until the interval of the risk is a fifth narrower than it is, or can first be given. */
export function nextLookOf({ risk }: Course): number | undefined {
  return yearsUntil((step) => risk[step]!, risk[0]! >= 0.5 ? 0.499 : worthLookingAgain * risk[0]!)
}
