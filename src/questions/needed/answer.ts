import type { Cohort } from '../../cohort/cohort.js'
import { UsageError } from '../../core/errors.js'
import { isNumber } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import {
  quantilesFor,
  type StaggeredPrecision,
  staggeredPrecision,
  widthOfRisk,
} from '../../statistics/planning/staggeredPrecision.js'
import { type ComparisonResult, compareTightenings } from '../comparison/answer.js'
import { comparisonSettings } from '../comparison/settings.js'
import { leftOutLimit, leftOutOf } from '../howOften/answer.js'
import { horizonRisks } from '../incidence/answer.js'
import { defaultPlan } from '../plan/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { cohortRows } from '../rows/cohortRows.js'
import {
  baseOf,
  type ComparedNow,
  type ComparisonNow,
  type ComparisonWithheld,
  type Course,
  courseOf,
  daysOfYear,
  type NeededScenario,
  nextLookOf,
  type OwnCourse,
  ownCourseOf,
  scenarioOf,
  type Targets,
} from './course.js'
import { type Followed, followedSoFar, practiceResamples } from './followed.js'

export type { ComparedNow, ComparisonWithheld, CoursePoint, NeededScenario, Reached } from './course.js'

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

/** Answer to "how many more, and how long". */
export interface NeededResult {
  readonly kind: 'needed'
  /** Whether the records are generated. */
  readonly generated: boolean
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
  readonly comparisonNow?: ComparedNow
  /** So many of the eligible were left out that the answer withholds the risk; absent where it does not. */
  readonly riskWithheld?: true
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
  readonly method: MethodName
  readonly reference: string
}

/** Risks that are tried where too few events were seen to know the practice's own. */
const assumedRisks = [0.03, 0.05, 0.1] as const

/** Likeness within patients that is assumed where there are too few events to see it; common practice, no source. */
const assumedLikeness = 0.1

/** Fewest events from which the practice's own risk and spread are used. */
export const enoughEvents = 10

const usualResamples = 200

/**
 * How many restorations, and how many years, until the risk is known as narrowly as asked for, until one tightening
 * against two is known to the smallest difference that matters, and until a stated difference would be found, from the
 * practice's own risk, pace, likeness within patients, loss, visits and overlap.
 *
 * @param cohort restorations with time at risk
 * @param settings level, seed, plan; default `defaultSettings`
 * @param options what is to be reached
 * @param compared the comparison, where it was made before
 * @throws UsageError `bad-target` naming what is out of range
 * @example whatIsNeeded(cohort).horizonYears // => 3
 */
export function whatIsNeeded(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
  options: NeededOptions = {},
  compared?: ComparisonResult,
): NeededResult {
  const answered = preparedNeed(cohort, settings, options)
  const plan = settings.plan ?? defaultPlan
  return answered(compared ?? compareTightenings(cohort, plan, comparisonSettings(settings)))
}

/**
 * The same, with all that does not hang on the comparison done at once.
 *
 * @returns the answer to a comparison; undefined is that of a practice that tightens in one way only
 */
export function preparedNeed(
  cohort: Cohort,
  settings: AnalysisSettings,
  options: NeededOptions = {},
): (compared: ComparisonResult | undefined) => NeededResult {
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
  const perPatient = followed.restorations / followed.patients
  const assumed = (risk: number) => ({
    assumedRisk: risk,
    assumedRatio: 1 + (perPatient - 1) * assumedLikeness,
  })
  const make = (from: Followed, risk?: number, years = horizonYears): StaggeredPrecision =>
    staggeredPrecision(from.units, {
      horizon: years * daysOfYear,
      perDay: from.perDay,
      ...(from.drawn === undefined ? {} : { drawn: from.drawn }),
      ...(risk === undefined ? {} : assumed(risk)),
    })
  const resamples = options.resamples ?? usualResamples
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
  const ofPractice = models.map((model) => ownCourseOf(model, targets, calibration))
  const ofDraws = risks.map((risk) =>
    draws.map((draw) => ownCourseOf(make(draw, risk), targets, calibration)),
  )
  return (compared) => {
    const comparison = comparisonNow(compared)
    // The comparison may have been made at a shorter horizon so far: its variance there is what the projection starts from.
    const comparedBy = comparison.now?.years ?? horizonYears
    const courseWith = (
      from: Followed,
      course: OwnCourse,
      risk: number | undefined,
      spread: number,
    ): Course => {
      const base = comparedBy === horizonYears ? course.model : make(from, risk, comparedBy)
      return courseOf(course, baseOf(base), comparison, targets, spread)
    }
    const courses = ofPractice.map((course, index) => courseWith(followed, course, risks[index], 1))
    const scenarios = models.map((model, index) =>
      scenarioOf(
        courses[index]!,
        draws.map((draw, at) => courseWith(draw, ofDraws[index]![at]!, risks[index], draw.spread)),
        targets,
        own,
        audited?.risk ?? model.risk,
      ),
    )
    const next = own ? nextLookOf(courses[0]!) : undefined
    return deepFreeze({
      kind: 'needed' as const,
      generated: cohort.summary.source.generated,
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
      ...(leftOutOf(cohort).share > leftOutLimit ? { riskWithheld: true as const } : {}),
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
      method: methodOf(
        'greenwood-s-variance-expected-at-the-pace-so-far',
        'times-the-ratio-of-patient-robust-to-independent',
      ),
      reference: 'planning-own-records',
    })
  }
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

function comparisonNow(found: ComparisonResult | undefined): ComparisonNow {
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
