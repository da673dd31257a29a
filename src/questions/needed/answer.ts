import { cohortRows } from '../../analysis/cohortRows.js'
import { horizonRisks } from '../../analysis/incidence.js'
import { defaultPlan } from '../../analysis/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../../analysis/settings.js'
import type { Cohort } from '../../cohort/cohort.js'
import { UsageError } from '../../core/errors.js'
import { isNumber } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { normalUpperTail } from '../../statistics/numeric/distributions.js'
import {
  type QuantileOfEvents,
  quantilesFor,
  type StaggeredPrecision,
  staggeredPrecision,
  widthOfRisk,
} from '../../statistics/planning/staggeredPrecision.js'
import { type ComparisonResult, compareTightenings } from '../comparison/answer.js'
import { comparisonSettings } from '../comparison/settings.js'
import { type Followed, followedSoFar, practiceResamples } from './followed.js'

/** What is to be reached. */
export interface NeededOptions {
  /** Half the width that the interval of the risk should have; default 0.02. */
  readonly within?: number
  /** Difference of risks that one would not want to miss; default the smallest that matters by the plan. */
  readonly difference?: number
  /** Chance of not missing it; default 0.8. */
  readonly power?: number
  /** Practices like this one that a study group would have; shown beside 2, 3, 5 and 10. */
  readonly practices?: number
  /** Practices like this one that the ranges rest on; default 200. */
  readonly resamples?: number
}

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

/** Answer to "how many more, and how long". */
export interface NeededResult {
  readonly kind: 'needed'
  readonly horizonYears: number
  readonly within: number
  readonly smallestDifference: number
  readonly difference: number
  readonly power: number
  readonly restorations: number
  readonly patients: number
  /** Events by the horizon, each halfway between last clean look and finding. */
  readonly events: number
  /** Half width of the interval of the risk now; absent where the horizon is not reached. */
  readonly halfWidthNow?: number
  readonly comparisonNow?: {
    readonly halfWidth: number
    readonly group: number
    readonly against: number
    readonly years: number
  }
  readonly withheld?: ComparisonWithheld
  readonly scenarios: readonly NeededScenario[]
  /** Years until the interval of the risk will be a fifth narrower than now. */
  readonly nextLookYears?: number
  readonly assumptions: {
    readonly perYear: number
    readonly yearsBetweenLooks: number
    readonly perPatient: number
    /** Variance with patients kept together over that of independent restorations. */
    readonly ratio: number
    readonly ratioOwn: boolean
    /** Share not lost by the horizon. */
    readonly followedShare: number
    /** Years up to which the hazard was seen; beyond it its mean so far is taken. */
    readonly seenUntilYears: number
    readonly shareOfGroup?: number
  }
  readonly resamples: number
  readonly seed: number
  readonly level: number
  readonly method: string
  readonly reference: string
}

/** Risks that are tried where too few events were seen to know the practice's own. */
const assumedRisks = [0.03, 0.05, 0.1] as const

/** Likeness within patients that is assumed where there are too few events to see it; common practice, no source. */
const assumedLikeness = 0.1

/** Fewest events from which the practice's own risk and spread are used. */
export const enoughEvents = 10

/** Years beyond which a practice alone will not get there. */
export const mostYears = 20

/** The interval has to be this much narrower for another look to be worth it; common practice, no source. */
const worthLookingAgain = 0.8

const stepsPerYear = 2
const usualResamples = 200

/**
 * How many restorations, and how many years, until the risk is known as narrowly as asked for, until one tightening
 * against two is known to the smallest difference that matters, and until a stated difference would be found, from the
 * practice's own risk, pace, likeness within patients, loss, visits and overlap.
 *
 * @param cohort restorations with time at risk
 * @param settings level, seed, plan; default `defaultSettings`
 * @param options what is to be reached
 * @throws UsageError `bad-target` naming what is out of range
 * @example whatIsNeeded(cohort).horizonYears // => 3
 */
export function whatIsNeeded(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
  options: NeededOptions = {},
): NeededResult {
  const plan = settings.plan ?? defaultPlan
  const { horizonYears, smallestDifference } = comparisonSettings(settings)
  const targets = {
    within: options.within ?? 0.02,
    smallest: smallestDifference,
    difference: options.difference ?? smallestDifference,
    power: options.power ?? 0.8,
    practices: options.practices,
    quantile: quantilesFor(settings.level),
  }
  requireTargets(targets)
  const followed = followedSoFar(cohort)
  const horizon = horizonYears * daysOfYear
  const events = followed.eventsBy(horizon)
  const own = events >= enoughEvents
  const comparison = comparisonOf(cohort, { ...settings, plan })
  const perPatient = followed.restorations / followed.patients
  const assumed = (risk: number) => ({
    assumedRisk: risk,
    assumedRatio: 1 + (perPatient - 1) * assumedLikeness,
  })
  const make = (from: Followed, risk?: number, years = horizonYears): StaggeredPrecision =>
    staggeredPrecision(from.columns, {
      horizon: years * daysOfYear,
      gap: followed.gapDays,
      perDay: from.perDay,
      ...(risk === undefined ? {} : assumed(risk)),
    })
  const resamples = options.resamples ?? usualResamples
  // The comparison may have been made at a shorter horizon so far: its variance there is what the projection starts from.
  const baseOf = (from: Followed, risk?: number): VarianceBase => {
    const model = make(from, risk, comparison.now?.years)
    const { independentVariance, events: expected } = model.in(0)
    return { size: (1 - model.risk) ** 2 * independentVariance, events: expected }
  }
  const draws = practiceResamples(followed, resamples, settings.seed)
  const risks: readonly (number | undefined)[] = own ? [undefined] : assumedRisks
  const models = risks.map((risk) => make(followed, risk))
  const audited = own ? auditedRisk(cohort, settings, horizonYears) : undefined
  const first = models[0]!
  const now = first.in(0)
  // What an audit prints today is the measure: the projection begins with it.
  const calibration =
    audited === undefined
      ? 1
      : (2 * audited.halfWidth) /
        widthOfRisk(first.risk, first.ratio * now.independentVariance, targets.quantile(now.events))
  const scenarios = models.map((model, index) =>
    scenarioOf(
      courseOf(model, baseOf(followed, risks[index]), comparison, targets, 1, calibration),
      draws.map((draw) =>
        courseOf(
          make(draw, risks[index]),
          baseOf(draw, risks[index]),
          comparison,
          targets,
          draw.spread,
          calibration,
        ),
      ),
      targets,
      own,
      audited?.risk ?? model.risk,
    ),
  )
  const next = own
    ? nextLookOf(courseOf(first, baseOf(followed), comparison, targets, 1, calibration))
    : undefined
  return deepFreeze({
    kind: 'needed' as const,
    horizonYears,
    within: targets.within,
    smallestDifference,
    difference: targets.difference,
    power: targets.power,
    restorations: followed.restorations,
    patients: followed.patients,
    events,
    ...(audited === undefined ? {} : { halfWidthNow: audited.halfWidth }),
    ...(comparison.now === undefined ? {} : { comparisonNow: comparison.now }),
    ...(comparison.withheld === undefined ? {} : { withheld: comparison.withheld }),
    scenarios,
    ...(next === undefined ? {} : { nextLookYears: next }),
    assumptions: {
      perYear: followed.perDay * daysOfYear,
      yearsBetweenLooks: followed.gapDays / daysOfYear,
      perPatient,
      ratio: first.ratio,
      ratioOwn: own,
      followedShare: first.followedShare,
      seenUntilYears: first.seenUntil / daysOfYear,
      ...(comparison.share === undefined ? {} : { shareOfGroup: comparison.share }),
    },
    resamples,
    seed: settings.seed,
    level: settings.level,
    method:
      'Greenwood’s variance expected at the pace so far, times the ratio of patient-robust to independent',
    reference: 'planning-own-records',
  })
}

/** The risk by the horizon as an audit prints it, with half the width of its interval; undefined where it is not given. */
function auditedRisk(
  cohort: Cohort,
  settings: AnalysisSettings,
  horizonYears: number,
): { readonly risk: number; readonly halfWidth: number } | undefined {
  const [found] = horizonRisks(cohort, cohortRows(cohort), { ...settings, horizonsYears: [horizonYears] })
  if (found === undefined || found.atRisk < settings.leastAtRisk) return undefined
  const { estimate, interval } = found.risk
  if (!isNumber(estimate) || !isNumber(interval.lower) || !isNumber(interval.upper)) return undefined
  return { risk: estimate, halfWidth: (interval.upper - interval.lower) / 2 }
}

const daysOfYear = 365.25

interface Targets {
  readonly within: number
  readonly smallest: number
  readonly difference: number
  readonly power: number
  readonly practices: number | undefined
  readonly quantile: QuantileOfEvents
}

function requireTargets({ within, difference, power, practices }: Targets): void {
  const inside = (one: number): boolean => one > 0 && one < 0.5
  const whole =
    practices === undefined || (Number.isInteger(practices) && practices >= 1 && practices <= 1000)
  if (inside(within) && inside(difference) && power > 0.5 && power < 1 && whole) return
  throw new UsageError({
    code: 'bad-target',
    problem: 'what is to be reached is out of range.',
    expected:
      'within and difference from above 0 to below 0.5, power above 0.5 and below 1, practices a whole number from 1 to 1000.',
    mend: 'write 2 percentage points as 0.02.',
  })
}

/** What the comparison of the practice says of its own precision. */
interface ComparisonNow {
  readonly withheld?: ComparisonWithheld
  readonly share?: number
  readonly now?: NeededResult['comparisonNow']
  /** Variance of the difference now, where enough events were seen. */
  readonly variance?: number
  readonly patientsWithEvent: number
}

function comparisonOf(cohort: Cohort, settings: AnalysisSettings): ComparisonNow {
  const found: ComparisonResult | undefined = compareTightenings(
    cohort,
    settings.plan ?? defaultPlan,
    comparisonSettings(settings),
  )
  if (found === undefined) return { withheld: 'one-way', patientsWithEvent: 0 }
  const { lead, verdict, reason, restorations } = found
  const n = restorations.group + restorations.against
  const share = restorations.group / n
  if (verdict === 'cannot-be-compared') {
    return { withheld: reason === 'immortal-time' ? 'immortal-time' : 'overlap', patientsWithEvent: 0 }
  }
  if (found.horizonYears === undefined) return { withheld: 'too-short', patientsWithEvent: 0 }
  if (found.overlap?.enough === false) return { withheld: 'overlap', patientsWithEvent: 0 }
  if (!(share > 0 && share < 1)) return { withheld: 'one-way', patientsWithEvent: 0 }
  if (lead === undefined || lead.events.group + lead.events.against < enoughEvents) {
    return { share, patientsWithEvent: 0 }
  }
  const { difference } = lead
  return {
    share,
    variance: lead.standardError ** 2,
    patientsWithEvent: lead.patientsWithEvent,
    now: {
      halfWidth: (difference.upper - difference.lower) / 2,
      group: restorations.group,
      against: restorations.against,
      years: found.horizonYears,
    },
  }
}

/** What there will be, step by step of half a year. */
interface Course {
  /** Restorations that will have been looked at, with those now in the cohort at the start. */
  readonly units: readonly number[]
  readonly risk: readonly number[]
  /** Half width of the comparison for so many practices together; absent where withheld. */
  readonly comparison?: (practices: number) => readonly number[]
  readonly power?: readonly number[]
}

/** What the variance of the comparison now goes with: expected variance and events at its own horizon. */
interface VarianceBase {
  readonly size: number
  readonly events: number
}

/** @param spread how many times larger the variance of the comparison may have come out in another such practice */
function courseOf(
  model: StaggeredPrecision,
  base: VarianceBase,
  comparison: ComparisonNow,
  { quantile, difference }: Targets,
  spread: number,
  calibration: number,
): Course {
  const points = Array.from({ length: mostYears * stepsPerYear + 1 }, (_one, step) =>
    model.in((step / stepsPerYear) * daysOfYear),
  )
  const units = points.map((one) => one.units)
  const risk = points.map(({ independentVariance, events }) =>
    Math.min(
      0.5,
      (calibration * widthOfRisk(model.risk, model.ratio * independentVariance, quantile(events))) / 2,
    ),
  )
  const { share, variance, patientsWithEvent, withheld } = comparison
  if (withheld !== undefined || share === undefined) return { units, risk }
  // Without an estimate of its own the variance is that of two groups of one risk, by Greenwood's variance of each.
  const assumed = (independent: number): number =>
    ((1 - model.risk) ** 2 * model.ratio * independent) / (share * (1 - share))
  const errorOf = (point: (typeof points)[number], practices: number): { error: number; events: number } => {
    const scale = ((1 - model.risk) ** 2 * point.independentVariance) / base.size
    const own = variance === undefined ? assumed(point.independentVariance) : variance * spread * scale
    const expected = variance === undefined ? point.events : (patientsWithEvent * point.events) / base.events
    return { error: Math.sqrt(own / practices), events: expected * practices }
  }
  return {
    units,
    risk,
    comparison: (practices) =>
      points.map((point) => {
        const { error, events } = errorOf(point, practices)
        return Number.isFinite(error) ? Math.min(1, quantile(events) * error) : 1
      }),
    power: points.map((point) => {
      const { error, events } = errorOf(point, 1)
      return Number.isFinite(error) ? normalUpperTail(quantile(events) - difference / error) : 0
    }),
  }
}

/** Years until something has come down to what is wanted, between the steps by a straight line. */
function yearsUntil(sizes: readonly number[], wanted: number): number | undefined {
  const step = sizes.findIndex((one) => one <= wanted)
  if (step < 0) return undefined
  if (step === 0) return 0
  const [before, after] = [sizes[step - 1]!, sizes[step]!]
  return (step - (wanted - after) / (before - after)) / stepsPerYear
}

const studyGroups = [2, 3, 5, 10] as const

function scenarioOf(
  course: Course,
  draws: readonly Course[],
  targets: Targets,
  own: boolean,
  risk: number,
): NeededScenario {
  const { within, smallest, power, practices } = targets
  const reached = (sizesOf: (one: Course) => readonly number[] | undefined, wanted: number): Reached => {
    const years = yearsUntil(sizesOf(course)!, wanted)
    const others = draws.map((draw) => yearsUntil(sizesOf(draw)!, wanted) ?? Number.POSITIVE_INFINITY)
    const [from, to] = tenths(others)
    return {
      ...(years === undefined ? {} : { years, restorations: Math.ceil(unitsAt(course, years)) }),
      range: { ...(Number.isFinite(from) ? { from } : {}), ...(Number.isFinite(to) ? { to } : {}) },
    }
  }
  const compared = course.comparison !== undefined
  const short = (one: Course): readonly number[] | undefined => one.power?.map((share) => 1 - share)
  const groups = [...new Set([...(practices === undefined ? [] : [practices]), ...studyGroups])].sort(
    (one, two) => one - two,
  )
  return {
    risk,
    own,
    risksWidth: reached((one) => one.risk, within),
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
      comparison?.[step],
      drawn.map((one) => one?.[step] ?? 1),
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
function nextLookOf({ risk }: Course): number | undefined {
  return yearsUntil(risk, risk[0]! >= 0.5 ? 0.499 : worthLookingAgain * risk[0]!)
}
