import type { Cohort } from '../../cohort/cohort.js'
import type { ExposureGroup } from '../../cohort/definition.js'
import { type Placement, placedTimes } from '../../cohort/placement.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { takenCodes, takenRows } from '../../core/columns.js'
import { deepFreeze } from '../../core/plain.js'
import { type ImmortalTimeTest, immortalTimeTest } from '../../statistics/rates/immortalTime.js'
import { countAtRisk, riskAt, timeOrder, weightedCurve } from '../../statistics/weighting/overlapRisks.js'
import { balanceOf, type ChoiceBalance } from './balance.js'
import {
  type Challenge,
  type ChallengeInput,
  completeCases,
  contextChallenges,
  estimateChallenges,
  lossChallenge,
  missedAndFalse,
  negativeControl,
  sideOf,
} from './challenges.js'
import {
  begunDesigns,
  type Choice,
  type ChoiceDesigns,
  type ChoiceTerm,
  type ComparedRows,
  choiceTerms,
  comparedRows,
  fitChoice,
  keptDesigns,
  wholeChoice,
} from './choice.js'
import { defaultConfounders, type LeftOut } from './confounders.js'
import { type Outcome, type OverlapEstimate, overlapEstimate, type Ranged } from './estimate.js'
import {
  type ComparedGroups,
  type ExposureAccount,
  exposureAccount,
  tighteningGroups,
  undocumentedAsSingle,
} from './groups.js'
import { type Loss, lossOf } from './loss.js'
import { type Overlap, overlapOf } from './overlap.js'
import { leastEvents, numberNeededOf, type Verdict, type VerdictReason, verdictOf } from './verdict.js'
import { type WithinPatients, withinPatients } from './withinPatients.js'

/** Weighted risks of both groups at one horizon, with their difference. */
export interface ArmsAt {
  readonly years: number
  readonly group: Ranged
  readonly against: Ranged
  readonly difference: Ranged
  readonly atRisk: { readonly group: number; readonly against: number }
}

/** Two ways of doing, set against each other, with what speaks against the answer. */
export interface ComparisonResult {
  readonly kind: 'tightening'
  readonly groups: Pick<ComparedGroups, 'group' | 'against' | 'by'>
  readonly verdict: Verdict
  readonly reason: VerdictReason
  /** Horizon of the estimate, as used. */
  readonly horizonYears?: number
  readonly smallestDifference: number
  readonly restorations: { readonly group: number; readonly against: number }
  readonly patients: number
  readonly events: { readonly group: number; readonly against: number }
  /** The one estimate, each event halfway between its last clean look and its finding. */
  readonly lead?: Omit<OverlapEstimate, 'tables'>
  /** The same with each event at its finding, and right after its last clean look. */
  readonly ends?: { readonly found: Ranged; readonly afterLastLook: Ranged }
  /** Whether the two ends differ by more than the smallest difference that matters. */
  readonly rangeLeads: boolean
  readonly arms: readonly ArmsAt[]
  readonly exposure?: ExposureAccount
  readonly immortalTime?: ImmortalTimeTest
  readonly overlap?: Overlap
  readonly loss?: Omit<Loss, 'estimate'>
  readonly challenges: readonly Challenge[]
  readonly within?: WithinPatients
  readonly adjustedFor: readonly string[]
  /** The model of who got which way, term by term; absent where it was not fitted. */
  readonly choice?: readonly ChoiceTerm[]
  readonly leftOut: readonly LeftOut[]
  readonly missing: readonly { readonly key: string; readonly share: number }[]
  readonly imputations: number
  /** How alike the groups are before and after weighting; absent where nobody might have had either. */
  readonly balance?: ChoiceBalance
  /** Number needed, only where a direction may be claimed. */
  readonly numberNeeded?: Ranged
  /** Weighted risks over time, by group, while enough are at risk. */
  readonly curves: readonly CurveOfGroup[]
  /** Where horizon and smallest difference come from; absent where the caller gave them. */
  readonly plan?: PlanOfComparison
  readonly level: number
}

/** The plan behind a comparison. */
export interface PlanOfComparison {
  readonly source: 'file' | 'default'
  readonly sha256: string
  readonly written?: string
  readonly smallestDifference: number
  readonly horizonYears: number
}

/** Weighted risk of one group over time. */
export interface CurveOfGroup {
  readonly side: 'group' | 'against'
  readonly points: readonly { readonly years: number; readonly risk: number; readonly atRisk: number }[]
}

/** What is to be compared, and how. */
export interface ComparisonSettings {
  readonly level: number
  readonly horizonYears: number
  readonly horizonsYears: readonly number[]
  /** Smallest difference of risks that matters at `horizonYears`. */
  readonly smallestDifference: number
  readonly leastAtRisk: number
  readonly seed: number
  readonly adjustFor: readonly string[]
  readonly negativeControl: Cohort['definition']['endpoint'] | 'none'
  /** Completed tables where values are missing. */
  readonly imputations: number
  readonly plan?: PlanOfComparison
}

/** What is used where nothing else is asked for. */
export const defaultComparison: ComparisonSettings = Object.freeze({
  level: 0.95,
  horizonYears: 3,
  horizonsYears: Object.freeze([1, 3, 5]),
  smallestDifference: 0.02,
  leastAtRisk: 10,
  seed: 20250101,
  adjustFor: defaultConfounders,
  negativeControl: 'veneer_chipping',
  imputations: 20,
})

/** Restorations compared from which fewer completed tables are made. */
const manyCompared = 20_000

/**
 * Completed tables. Five leave the standard error within 5% of what endless ones would give as long as no more than 14%
 * of the information is missing (von Hippel 2020, 1 + ½ (share / 0.05)²; from memory); with few cells empty the seed then moves
 * the estimate by less than a hundredth of its error (docs/verification/completed-tables.md, where larger gaps are open).
 */
export function tablesFor(
  restorations: number,
  { imputations }: Pick<ComparisonSettings, 'imputations'>,
): number {
  return restorations > manyCompared ? Math.min(5, imputations) : imputations
}

/** Shorter horizons that are tried, longest first, where the planned one has too few at risk. */
const shorterYears = [2, 1, 0.5] as const

/**
 * Compares the two ways of tightening: who may be compared, one estimate with one interval, what speaks against it, and
 * what may be claimed.
 *
 * @param cohort restorations with time at risk
 * @param planned groups that the plan names
 * @returns undefined where one of the two groups is empty
 */
export function compareTightenings(
  cohort: Cohort,
  planned: { readonly group: ExposureGroup; readonly against: ExposureGroup },
  settings: ComparisonSettings = defaultComparison,
): ComparisonResult | undefined {
  return compareGroups(cohort, tighteningGroups(cohort, planned), settings)
}

interface Ground {
  readonly cohort: Cohort
  readonly compared: ComparedRows
  readonly settings: ComparisonSettings
  readonly horizonYears: number
  readonly smallest: number
  readonly outcome: Outcome
  /** Whether threads may be used. */
  readonly ahead: boolean
}

/** Compares two groups that have been chosen. */
export function compareGroups(
  cohort: Cohort,
  groups: ComparedGroups,
  settings: ComparisonSettings,
): ComparisonResult | undefined {
  return begunComparison(cohort, groups, settings)()
}

/**
 * The same, begun: what takes long and hangs on nothing else goes on in a thread of its own until the answer is asked for.
 *
 * @param ahead whether a thread is used; default no
 */
export function begunComparison(
  cohort: Cohort,
  groups: ComparedGroups,
  settings: ComparisonSettings,
  ahead = false,
): () => ComparisonResult | undefined {
  const compared = comparedRows(cohort, groups)
  if (compared === undefined) return () => undefined
  const outcome = outcomeOf(cohort, compared, 'midpoint')
  const ofTightening = groups.by === 'measured' || groups.by === 'chart'
  const exposure = ofTightening ? exposureAccount(cohort, groups) : undefined
  const immortalTime = ofTightening ? immortalTimeOf(cohort, compared) : undefined
  const horizonYears = usableHorizon(compared, outcome, settings)
  const shared = {
    kind: 'tightening',
    groups: { group: groups.group, against: groups.against, by: groups.by },
    restorations: bySide(compared, () => true),
    patients: compared.patients,
    events: bySide(compared, (i) => outcome.status[i] === restorationStatus.endpoint),
    ...(exposure === undefined ? {} : { exposure }),
    ...(immortalTime === undefined ? {} : { immortalTime }),
    level: settings.level,
    ...(settings.plan === undefined ? {} : { plan: settings.plan }),
  } as const
  const bare = {
    ...shared,
    smallestDifference: settings.smallestDifference,
    rangeLeads: false,
    arms: [],
    curves: [],
    challenges: [],
    adjustedFor: [],
    leftOut: [],
    missing: [],
    imputations: 0,
  } as const
  if (horizonYears === undefined) {
    return () => deepFreeze({ ...bare, verdict: 'cannot-be-known', reason: 'few-at-risk' })
  }
  const smallest = settings.smallestDifference * (horizonYears / settings.horizonYears)
  const ground: Ground = { cohort, compared, settings, horizonYears, smallest, outcome, ahead }
  const begun = begunDesigns(
    cohort,
    compared,
    { ...outcome, eventObserved: outcome.status.map((one) => (one === 1 ? 1 : 0)) },
    {
      keys: settings.adjustFor,
      seed: settings.seed,
      imputations: tablesFor(compared.row.length, settings),
      ahead,
    },
  )
  return () => {
    const designs = keptDesigns(begun())
    const choice = fitChoice(designs)
    const overlap = overlapOf(designs, choice)
    const days = horizonYears * daysPerYear
    const lead = choice && overlapEstimate(choice, outcome, days, { level: settings.level })
    const known = {
      ...shared,
      horizonYears,
      smallestDifference: smallest,
      overlap,
      adjustedFor: designs.adjustedFor,
      leftOut: designs.leftOut,
      missing: designs.missing,
      imputations: designs.tables.length,
      ...(choice === undefined ? {} : { choice: choiceTerms(choice), balance: balanceOf(designs, choice) }),
    } as const
    if (choice === undefined || lead === undefined) {
      return deepFreeze({
        ...bare,
        ...known,
        verdict: eventsBy(ground) < leastEvents ? 'cannot-be-known' : 'cannot-be-compared',
        reason: eventsBy(ground) < leastEvents ? 'few-events' : 'overlap',
      })
    }
    return deepFreeze({
      ...known,
      ...judgedComparison(ground, designs, choice, lead, overlap, exposure, immortalTime),
    })
  }
}

/** What is found of a comparison that has an estimate. */
function judgedComparison(
  ground: Ground,
  designs: ChoiceDesigns,
  choice: Choice,
  lead: OverlapEstimate,
  overlap: Overlap,
  exposure: ExposureAccount | undefined,
  immortalTime: ImmortalTimeTest | undefined,
): Pick<
  ComparisonResult,
  | 'verdict'
  | 'reason'
  | 'lead'
  | 'ends'
  | 'rangeLeads'
  | 'arms'
  | 'loss'
  | 'challenges'
  | 'within'
  | 'numberNeeded'
  | 'curves'
> {
  const { cohort, compared, settings, horizonYears, smallest, outcome } = ground
  const { level } = settings
  const begun = begunProvenance(ground, lead, exposure)
  const days = horizonYears * daysPerYear
  const at = (placement: Placement): Ranged =>
    overlapEstimate(choice, outcomeOf(cohort, compared, placement), days, { level })!.difference
  const ends = { found: at('found'), afterLastLook: at('after-last-look') }
  const input: ChallengeInput = {
    cohort,
    compared,
    designs,
    choice,
    outcome,
    lead,
    horizonDays: days,
    smallest,
    level,
    seed: settings.seed,
  }
  const loss = lossOf(cohort, compared, choice, outcome, lead, days, level)
  const control =
    settings.negativeControl === 'none' ? undefined : negativeControl(input, settings.negativeControl)
  const complete = completeCases(input)
  const estimates = estimateChallenges(input)
  const provenance = begun()
  const challenges = [
    ...(provenance === undefined ? [] : [provenance]),
    ...estimates,
    lossChallenge(loss, lead),
    ...(control === undefined ? [] : [control]),
    missedAndFalse(input),
    ...(complete === undefined ? [] : [complete]),
    ...contextChallenges(input),
  ]
  const { eligible, leftOut } = cohort.summary.looks
  const { verdict, reason } = verdictOf({
    leftOutShare: leftOut / eligible,
    events: eventsBy(ground),
    immortalTime,
    exposure,
    overlap,
    difference: lead.difference,
    ends,
    challenges,
  })
  const within = withinPatients(choice, outcome, days, level)
  const { tables: _tables, ...shown } = lead
  const { estimate: _estimate, ...lossShown } = loss
  return {
    verdict,
    reason,
    lead: shown,
    ends,
    rangeLeads: Math.abs(ends.found.estimate - ends.afterLastLook.estimate) > smallest,
    arms: armsOf(ground, choice, lead),
    loss: lossShown,
    challenges,
    ...(within === undefined ? {} : { within }),
    ...(verdict === 'lower' || verdict === 'higher' ? { numberNeeded: numberNeededOf(lead.difference) } : {}),
    curves: curvesOf(ground, choice),
  }
}

/** Months between the points of a curve, and the longest that is drawn. */
const monthsOfCurve = { step: 1, most: 96 } as const

/** Weighted risk of both groups month by month, averaged over the completed tables. */
function curvesOf({ outcome, settings }: Ground, choice: Choice): readonly CurveOfGroup[] {
  const { compared } = choice.designs
  const columns = {
    time: takenRows(outcome.timeDays, choice.kept),
    status: takenCodes(outcome.status, choice.kept),
    entry: takenRows(outcome.entryDays, choice.kept),
  }
  const inGroup = takenCodes(compared.inGroup, choice.kept)
  const order = timeOrder(columns)
  return ([1, 0] as const).map((arm) => {
    const weighted = choice.scores.map(({ weight }) =>
      weightedCurve(columns, weight, (row) => inGroup[row] === arm, order),
    )
    const points = []
    for (let month = 0; month <= monthsOfCurve.most; month += monthsOfCurve.step) {
      const days = (month / 12) * daysPerYear
      const atRisk = countAtRisk(columns, inGroup, arm, Math.max(days, 0.5))
      if (atRisk < settings.leastAtRisk) break
      const risk = weighted.reduce((sum, curve) => sum + riskAt(curve, days), 0) / weighted.length
      points.push({ years: month / 12, risk, atRisk })
    }
    return { side: arm === 1 ? 'group' : 'against', points }
  })
}

/**
 * The estimate with what is charted as repeated but not documented counted as single: a guard of its own, which a direction
 * has to pass, and no contradiction of the estimate.
 */
function begunProvenance(
  { cohort, compared, settings, horizonYears, ahead }: Ground,
  lead: OverlapEstimate,
  exposure: ExposureAccount | undefined,
): () => Challenge | undefined {
  if (exposure === undefined || exposure.documented === exposure.charted) return () => undefined
  const moved = undocumentedAsSingle(cohort, compared.groups)
  // Nothing is left to be counted otherwise where no compared restoration moves.
  if (moved.side.every((one, row) => one === compared.groups.side[row])) return () => undefined
  const other = comparedRows(cohort, moved)
  if (other === undefined) return () => ({ code: 'undocumented-as-single', effect: 'weakens' })
  const times = outcomeOf(cohort, other, 'midpoint')
  const begun = begunDesigns(
    cohort,
    other,
    { ...times, eventObserved: times.status.map((one) => (one === 1 ? 1 : 0)) },
    {
      keys: settings.adjustFor,
      seed: settings.seed,
      imputations: Math.min(5, settings.imputations),
      ahead,
    },
  )
  return () => {
    // A single estimate: a table is gone before the next is made.
    const choice = wholeChoice(begun())
    const estimate =
      choice && overlapEstimate(choice, times, horizonYears * daysPerYear, { level: settings.level })
    if (estimate === undefined) return { code: 'undocumented-as-single', effect: 'weakens' }
    const side = sideOf(lead.difference)
    const effect = side !== 0 && sideOf(estimate.difference) !== side ? 'weakens' : 'agrees'
    return { code: 'undocumented-as-single', effect, ...estimate.difference }
  }
}

/** Events of both groups by the horizon. */
function eventsBy({ compared, outcome, horizonYears }: Ground): number {
  const { group, against } = bySide(
    compared,
    (i) =>
      outcome.status[i] === restorationStatus.endpoint && outcome.timeDays[i]! <= horizonYears * daysPerYear,
  )
  return group + against
}

/** Times of the rows compared, each event placed. */
export function outcomeOf(cohort: Cohort, compared: ComparedRows, placement: Placement): Outcome {
  const placed = placedTimes(cohort, placement)
  return {
    timeDays: takenRows(placed.timeDays, compared.row),
    status: takenCodes(placed.status, compared.row),
    entryDays: takenRows(placed.entryDays, compared.row),
  }
}

function bySide(
  { row, inGroup }: ComparedRows,
  counts: (i: number) => boolean,
): { readonly group: number; readonly against: number } {
  const sums = [0, 0]
  for (let i = 0; i < row.length; i++) if (counts(i)) sums[inGroup[i]!]! += 1
  return { group: sums[1]!, against: sums[0]! }
}

/** The planned horizon, or the longest shorter one at which both groups have enough at risk. */
function usableHorizon(
  compared: ComparedRows,
  outcome: Outcome,
  { horizonYears, leastAtRisk }: ComparisonSettings,
): number | undefined {
  return [horizonYears, ...shorterYears.filter((one) => one < horizonYears)].find((years) => {
    const end = years * daysPerYear
    const { group, against } = bySide(
      compared,
      (i) => outcome.timeDays[i]! >= end && outcome.entryDays[i]! < end,
    )
    return Math.min(group, against) >= leastAtRisk
  })
}

function armsOf(
  { settings, outcome, horizonYears }: Ground,
  choice: Choice,
  lead: OverlapEstimate,
): readonly ArmsAt[] {
  const years = [...new Set([...settings.horizonsYears, horizonYears])].sort((one, two) => one - two)
  return years.flatMap((one) => {
    // Both groups have restorations, since the leading estimate has.
    const estimate =
      one === horizonYears
        ? lead
        : overlapEstimate(choice, outcome, one * daysPerYear, { level: settings.level })!
    const { group, against, difference, atRisk } = estimate
    if (Math.min(atRisk.group, atRisk.against) < settings.leastAtRisk) return []
    return [{ years: one, group, against, difference, atRisk }]
  })
}

/** Early events against time before the first visit, by group. */
function immortalTimeOf(cohort: Cohort, { row, inGroup }: ComparedRows): ImmortalTimeTest {
  const sides = [0, 1].map(() => ({ earlyEvents: 0, lateEvents: 0, timeBefore: 0, timeAfter: 0 }))
  row.forEach((one, i) => {
    const side = sides[inGroup[i]!]!
    const end = cohort.timeDays[one]!
    const entry = cohort.entryDays[one]!
    const first = Number.isNaN(cohort.firstLookDays[one]!) ? end : Math.min(end, cohort.firstLookDays[one]!)
    const before = Math.max(0, Math.max(first, entry) - entry)
    side.timeBefore += before
    side.timeAfter += Math.max(0, end - entry - before)
    if (cohort.status[one] !== restorationStatus.endpoint) return
    if (cohort.earlyEvent[one] === 1) side.earlyEvents += 1
    else side.lateEvents += 1
  })
  return immortalTimeTest(sides[1]!, sides[0]!)
}
