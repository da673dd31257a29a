import type { Cohort } from '../../cohort/cohort.js'
import type { CohortDefinition, EndpointName } from '../../cohort/definition.js'
import { placedTimes } from '../../cohort/placement.js'
import { possibleFollowUp } from '../../cohort/possibleFollowUp.js'
import { CohortError } from '../../core/errors.js'
import { randomStream } from '../../core/random.js'
import { normalQuantile } from '../../statistics/numeric/distributions.js'
import { type Choice, type ChoiceDesigns, type ComparedRows, choiceAmong } from './choice.js'
import {
  type UnmeasuredConfounding,
  unmeasuredConfounding,
  type VisitsByGroup,
  visitsByGroup,
} from './context.js'
import { doublyRobust } from './doublyRobust.js'
import { type Outcome, type OverlapEstimate, overlapEstimate, pairedShift, type Ranged } from './estimate.js'
import { measuredRows } from './groups.js'
import type { Loss } from './loss.js'

/** What a challenge does to the lead. */
export type Effect = 'agrees' | 'weakens' | 'contradicts' | 'context'

/** Another estimate of the lead's quantity. */
export type EstimateCode =
  | 'ticks-only'
  | 'last-contact'
  | 'measured-only'
  | 'same-years'
  | 'equal-follow-up'
  | 'doubly-robust'
  | 'operator-trends'

/** What was tried against the lead. */
export type ChallengeCode =
  | EstimateCode
  | 'undocumented-as-single'
  | 'loss'
  | 'negative-control'
  | 'misclassification'
  | 'complete-cases'
  | 'visits-by-group'
  | 'unmeasured-confounding'

/** What is tried against the estimate of every practice, as far as its records allow, in the order in which a plan names it. */
export const triedAgainst: readonly ChallengeCode[] = Object.freeze([
  'same-years',
  'operator-trends',
  'doubly-robust',
  'equal-follow-up',
  'last-contact',
  'ticks-only',
  'measured-only',
  'undocumented-as-single',
  'complete-cases',
  'misclassification',
  'loss',
  'negative-control',
  'visits-by-group',
  'unmeasured-confounding',
])

/** One challenge: a code, what it does, and its figures on the lead's estimand. */
export interface Challenge {
  readonly code: ChallengeCode
  readonly effect: Effect
  readonly estimate?: number
  readonly lower?: number
  readonly upper?: number
  /** It minus the lead, with the interval of the pair. */
  readonly shift?: Ranged
  /** Events behind it, where they are others than the lead's. */
  readonly events?: number
  /** Why it has no say: too few to say anything. */
  readonly silent?: 'too-few'
  /** Figures of another kind than the lead's, of the challenges that are context and nothing else. */
  readonly visits?: VisitsByGroup
  readonly confounding?: UnmeasuredConfounding
}

/** What every challenge needs. */
export interface ChallengeInput {
  readonly cohort: Cohort
  readonly compared: ComparedRows
  readonly designs: ChoiceDesigns
  readonly choice: Choice
  readonly outcome: Outcome
  readonly lead: OverlapEstimate
  readonly horizonDays: number
  readonly smallest: number
  readonly level: number
  readonly seed: number
}

/** Fewest events from which another estimate, or a negative control, may speak. */
const enoughToSpeak = { estimate: 10, control: 20 } as const

/** Outcome of the rows compared as another definition of the cohort has it; undefined where it has none. */
export function redefinedOutcome(
  cohort: Cohort,
  compared: ComparedRows,
  changes: Partial<CohortDefinition>,
): Outcome | undefined {
  let other: Cohort
  try {
    other = cohort.redefined(changes)
  } catch (thrown) {
    if (thrown instanceof CohortError) return undefined
    throw thrown
  }
  const placed = placedTimes(other, 'midpoint')
  const at = new Map<number, number>()
  other.recordRow.forEach((record, i) => {
    at.set(record, i)
  })
  const n = compared.row.length
  const outcome = {
    timeDays: new Float64Array(n),
    status: new Uint8Array(n),
    entryDays: new Float64Array(n),
    present: new Uint8Array(n),
  }
  compared.row.forEach((row, i) => {
    const found = at.get(cohort.recordRow[row]!)
    if (found === undefined) return
    outcome.timeDays[i] = placed.timeDays[found]!
    outcome.status[i] = placed.status[found]!
    outcome.entryDays[i] = placed.entryDays[found]!
    outcome.present[i] = 1
  })
  return outcome
}

/** The estimates that are the lead under another reading of the records or the choice. */
export function estimateChallenges(input: ChallengeInput): readonly Challenge[] {
  const { cohort, compared, designs, outcome, horizonDays, level } = input
  const challenges: Challenge[] = []
  const enter = (code: EstimateCode, estimate: OverlapEstimate | undefined): void => {
    if (estimate !== undefined) challenges.push(judged(code, estimate, input))
  }
  for (const [code, changes] of [
    ['ticks-only', { looks: 'ticks' }],
    ['last-contact', { riskEndsAt: 'last contact' }],
  ] as const) {
    const other = redefinedOutcome(cohort, compared, changes)
    if (other === undefined || sameOutcome(other, outcome)) continue
    enter(code, overlapEstimate(input.choice, other, horizonDays, { level }))
  }
  const subset = (code: EstimateCode, rows: Int32Array, ownTrend = false): void => {
    if (!ownTrend && rows.length === compared.row.length) return
    const choice = choiceAmong(designs, rows, ownTrend, input.choice)
    const estimate = choice && overlapEstimate(choice, outcome, horizonDays, { level })
    if (estimate !== undefined && Math.min(estimate.atRisk.group, estimate.atRisk.against) >= 10) {
      enter(code, estimate)
    }
  }
  if (compared.groups.by === 'chart') {
    const measured = measuredRows(cohort)
    subset(
      'measured-only',
      Int32Array.from(compared.row.keys()).filter((i) => measured[compared.row[i]!] === 1),
    )
  }
  subset('same-years', sharedYears(designs))
  const possible = possibleFollowUp(cohort)
  subset(
    'equal-follow-up',
    Int32Array.from(compared.row.keys()).filter((i) => possible[compared.row[i]!]! >= horizonDays),
  )
  const operators = new Set(Array.from(input.choice.kept, (i) => designs.operator[i]!)).size
  if (operators > 1 && compared.row.length >= 40 * operators) {
    subset('operator-trends', Int32Array.from(compared.row.keys()), true)
  }
  enter('doubly-robust', doublyRobust(input.choice, outcome, horizonDays, level, input.lead))
  return challenges
}

function sameOutcome(one: Outcome, other: Outcome): boolean {
  for (let i = 0; i < one.timeDays.length; i++) {
    if (one.present?.[i] === 0) return false
    if (one.timeDays[i] !== other.timeDays[i] || one.status[i] !== other.status[i]) return false
  }
  return true
}

/** Rows delivered between the first and the last twentieth of both groups. */
function sharedYears({ compared, years }: ChoiceDesigns): Int32Array {
  const ends = [0, 1].map((arm) => {
    const own = Float64Array.from(years.filter((one, i) => compared.inGroup[i] === arm && !Number.isNaN(one)))
    own.sort()
    return [own[Math.floor(0.05 * (own.length - 1))]!, own[Math.ceil(0.95 * (own.length - 1))]!] as const
  })
  const from = Math.max(ends[0]![0], ends[1]![0])
  const to = Math.min(ends[0]![1], ends[1]![1])
  return Int32Array.from(compared.row.keys()).filter((i) => !(years[i]! < from) && !(years[i]! > to))
}

/**
 * An estimate contradicts where the interval of its distance from the lead excludes zero, it lies towards or past zero,
 * and farther than the smallest difference that matters. It weakens where its own interval holds zero and the lead's
 * does not.
 */
export function judged(
  code: EstimateCode,
  estimate: OverlapEstimate,
  input: Pick<ChallengeInput, 'lead' | 'level' | 'smallest'>,
): Challenge {
  const { lead, level, smallest } = input
  const shift = pairedShift(lead, estimate, level)
  const figures = { ...estimate.difference, shift }
  if (estimate.patientsWithEvent < enoughToSpeak.estimate) {
    return { code, effect: 'context', ...figures, silent: 'too-few' }
  }
  const towards = lead.difference.estimate < 0 ? shift.estimate > 0 : shift.estimate < 0
  const excludes = shift.lower > 0 || shift.upper < 0
  if (excludes && towards && Math.abs(shift.estimate) > smallest) {
    return { code, effect: 'contradicts', ...figures }
  }
  const weakens = sideOf(lead.difference) !== 0 && sideOf(estimate.difference) !== sideOf(lead.difference)
  return { code, effect: weakens ? 'weakens' : 'agrees', ...figures }
}

/** −1 where an interval lies below zero, 1 above, 0 where it holds zero. */
export function sideOf({ lower, upper }: Pick<Ranged, 'lower' | 'upper'>): -1 | 0 | 1 {
  return upper < 0 ? -1 : lower > 0 ? 1 : 0
}

/**
 * One-sided level at which loss is held to be faster in the favoured group: at 0.05 it is seen too seldom, at more too many
 * honest claims fall (docs/verification/comparison.md).
 */
const fasterLoss = 0.1

/** What the loss of the favoured group does to the lead. */
export function lossChallenge(loss: Loss, lead: OverlapEstimate): Challenge {
  if (loss.estimate === undefined || loss.pValue === undefined) {
    return { code: 'loss', effect: 'context', silent: 'too-few' }
  }
  const { difference } = loss.estimate
  const faster = loss.pValue < fasterLoss
  const holds = sideOf(difference) !== sideOf(lead.difference)
  const effect = !faster ? 'agrees' : sideOf(lead.difference) !== 0 && holds ? 'contradicts' : 'weakens'
  return { code: 'loss', effect, ...difference }
}

/** The same comparison of an endpoint that the groups should hardly change: it speaks of unequal looking. */
export function negativeControl(input: ChallengeInput, endpoint: EndpointName): Challenge | undefined {
  const { cohort, compared, choice, horizonDays, level, lead } = input
  if (endpoint === cohort.definition.endpoint) return undefined
  const outcome = redefinedOutcome(cohort, compared, { endpoint })
  if (outcome === undefined) return undefined
  const estimate = overlapEstimate(choice, outcome, horizonDays, { level })
  if (estimate === undefined) return undefined
  const events = estimate.events.group + estimate.events.against
  if (events < enoughToSpeak.control) {
    return { code: 'negative-control', effect: 'context', events, silent: 'too-few', ...estimate.difference }
  }
  const side = sideOf(estimate.difference)
  const contradicts = side !== 0 && side === Math.sign(lead.difference.estimate)
  return {
    code: 'negative-control',
    effect: contradicts ? 'contradicts' : 'agrees',
    events,
    ...estimate.difference,
  }
}

/** Complete cases: those with every value known, by what they know; context, never a contradiction. */
export function completeCases(input: ChallengeInput): Challenge | undefined {
  const { designs, choice: near, outcome, horizonDays, level } = input
  if (designs.missing.length === 0) return undefined
  const rows = Int32Array.from(designs.complete.keys()).filter((i) => designs.complete[i] === 1)
  const choice = choiceAmong({ ...designs, tables: designs.tables.slice(0, 1) }, rows, false, near)
  const estimate = choice && overlapEstimate(choice, outcome, horizonDays, { level })
  return estimate && { code: 'complete-cases', effect: 'context', ...estimate.difference }
}

/** Draws of the probabilities that a loose screw is found and that a tight one is called loose. */
const misclassification = {
  draws: 2000,
  /** Share of loose screws found; uniform, each group its own. Common practice, no source. */
  sensitivity: { from: 0.85, to: 1 },
  /** Share of tight screws called tight; uniform, each group its own. Common practice, no source. */
  specificity: { from: 0.99, to: 1 },
} as const

/** Risks corrected for missed and false findings drawn at random, with the sampling error of the lead. */
export function missedAndFalse({ lead, level, seed }: ChallengeInput): Challenge {
  const random = randomStream(seed, 901)
  const differences: number[] = []
  const z = normalQuantile(1 - (1 - level) / 2)
  const errorOf = ({ lower, upper }: Ranged): number => (upper - lower) / (2 * z)
  const drawn = (arm: Ranged): number => {
    const { sensitivity, specificity } = misclassification
    const found = sensitivity.from + (sensitivity.to - sensitivity.from) * random.uniform()
    const tight = specificity.from + (specificity.to - specificity.from) * random.uniform()
    const sampled = arm.estimate + errorOf(arm) * random.normal()
    return Math.min(1, Math.max(0, (sampled - (1 - tight)) / (found + tight - 1)))
  }
  for (let draw = 0; draw < misclassification.draws; draw++)
    differences.push(drawn(lead.group) - drawn(lead.against))
  differences.sort((left, right) => left - right)
  const at = (share: number): number => differences[Math.round(share * (differences.length - 1))]!
  const ranged = { estimate: at(0.5), lower: at((1 - level) / 2), upper: at(1 - (1 - level) / 2) }
  const weakens = sideOf(lead.difference) !== 0 && sideOf(ranged) !== sideOf(lead.difference)
  return { code: 'misclassification', effect: weakens ? 'weakens' : 'agrees', ...ranged }
}

/** What says how things stand, and contradicts nothing. */
export function contextChallenges(input: ChallengeInput): readonly Challenge[] {
  const { cohort, compared, designs, outcome, lead, horizonDays, level } = input
  const visits = visitsByGroup(cohort, compared, level)
  const confounding = unmeasuredConfounding(designs, outcome, lead, horizonDays)
  return [
    ...(visits === undefined ? [] : [{ code: 'visits-by-group', effect: 'context', visits } as const]),
    ...(confounding === undefined
      ? []
      : [{ code: 'unmeasured-confounding', effect: 'context', confounding } as const]),
  ]
}
