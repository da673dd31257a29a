import type { StudiedAnswer } from './answer.js'
import type { AuditOutcome } from './auditor.js'
import type { ClaimRule, Scenario } from './practices/scenario.js'
import { riskAt, type Truth, trueDifference } from './practices/truth.js'

/** How often something held among how many. */
export interface Share {
  readonly of: number
  readonly held: number
}

/** Mean error and its Monte Carlo standard error. */
export interface Bias {
  readonly n: number
  readonly mean: number
  readonly standardError: number
}

/** What the audits of many practices of one scenario came to. */
export interface Tally {
  readonly scenario: string
  readonly practices: number
  readonly failed: Readonly<Record<string, number>>
  readonly verdicts: Readonly<Record<string, number>>
  readonly wrongDirections: number
  readonly rightDirections: number
  readonly howOften: Readonly<Record<string, number>>
  /** Whether the interval of the risk holds the truth at the horizon that the answer names. */
  readonly riskCovered: Share
  /** Whether the interval or the range between looks does. */
  readonly riskOrRangeCovered: Share
  readonly riskBias: Bias
  readonly differenceCovered: Share
  readonly differenceBias: Bias
  readonly contradictions: Readonly<Record<string, number>>
  readonly anyContradiction: Share
  readonly meanNeverChecked: number
}

/** Counts verdicts, coverage, bias and contradictions over the audits of one scenario. */
export function tallyOf(scenario: Scenario, truth: Truth, outcomes: readonly AuditOutcome[]): Tally {
  const answers = outcomes.flatMap((outcome) => (outcome.kind === 'answered' ? [outcome.answer] : []))
  const failures = outcomes.flatMap((outcome) => (outcome.kind === 'failed' ? [outcome.why] : []))
  const verdicts = answers.map((answer) => answer.comparison?.verdict ?? 'no comparison')
  const contradicting = answers.map(contradictionsOf)
  const risks = answers.flatMap((answer) => riskAgainstTruth(answer, truth))
  const differences = answers.flatMap((answer) => differenceAgainstTruth(answer, truth))
  return {
    scenario: scenario.name,
    practices: outcomes.length,
    failed: countsOf(failures),
    verdicts: countsOf(verdicts),
    wrongDirections: verdicts.filter((verdict) => isWrong(verdict, scenario.mayClaim)).length,
    rightDirections: verdicts.filter((verdict) => verdict === scenario.mayClaim).length,
    howOften: countsOf(answers.map((answer) => answer.howOften?.verdict ?? 'absent')),
    riskCovered: shareOf(risks.map((one) => one.inInterval)),
    riskOrRangeCovered: shareOf(risks.map((one) => one.inInterval || one.inRange)),
    riskBias: biasOf(risks.map((one) => one.error)),
    differenceCovered: shareOf(differences.map((one) => one.inInterval)),
    differenceBias: biasOf(differences.map((one) => one.error)),
    contradictions: countsOf(contradicting.flat()),
    anyContradiction: shareOf(contradicting.map((codes) => codes.length > 0)),
    meanNeverChecked: mean(
      answers.map(({ restorations }) => restorations.neverChecked / Math.max(1, restorations.eligible)),
    ),
  }
}

function isWrong(verdict: string, mayClaim: ClaimRule): boolean {
  return (verdict === 'lower' || verdict === 'higher') && verdict !== mayClaim
}

function contradictionsOf(answer: StudiedAnswer): readonly string[] {
  const codes = (answer.comparison?.objections ?? [])
    .filter((objection) => objection.effect === 'contradicts')
    .map((objection) => objection.code)
  return [...new Set(codes)]
}

interface Against {
  readonly inInterval: boolean
  readonly inRange: boolean
  readonly error: number
}

function riskAgainstTruth(answer: StudiedAnswer, truth: Truth): readonly Against[] {
  const { howOften } = answer
  if (howOften?.verdict !== 'estimate' || howOften.risk?.estimate === undefined) return []
  const { estimate, lower = 0, upper } = howOften.risk
  const truthHere = riskAt(truth.overall, howOften.years ?? 3)
  if (truthHere === undefined) return []
  const range = howOften.betweenLooks
  return [
    {
      inInterval: lower <= truthHere && truthHere <= upper,
      inRange: range !== undefined && range.lower <= truthHere && truthHere <= range.upper,
      error: estimate - truthHere,
    },
  ]
}

function differenceAgainstTruth(answer: StudiedAnswer, truth: Truth): readonly Against[] {
  const { comparison } = answer
  if (comparison?.difference === undefined) return []
  const truthHere = trueDifference(truth, comparison.years ?? 3)
  if (truthHere === undefined) return []
  const { estimate, lower, upper } = comparison.difference
  return [
    { inInterval: lower <= truthHere && truthHere <= upper, inRange: false, error: estimate - truthHere },
  ]
}

function countsOf(names: readonly string[]): Readonly<Record<string, number>> {
  const counts: Record<string, number> = {}
  for (const name of names) counts[name] = (counts[name] ?? 0) + 1
  return counts
}

function shareOf(facts: readonly boolean[]): Share {
  return { of: facts.length, held: facts.filter((fact) => fact).length }
}

function biasOf(errors: readonly number[]): Bias {
  const n = errors.length
  const centre = mean(errors)
  const squares = errors.reduce((sum, error) => sum + (error - centre) ** 2, 0)
  return { n, mean: centre, standardError: n < 2 ? 0 : Math.sqrt(squares / (n - 1) / n) }
}

function mean(values: readonly number[]): number {
  return values.length === 0 ? 0 : values.reduce((sum, value) => sum + value, 0) / values.length
}

/** Header of the table that `tallyRow` fills. */
export const tallyHeader = [
  'scenario',
  'practices',
  'lower / higher / open / not compared / not known',
  'wrong',
  'right',
  'risk covered, %',
  'or by range, %',
  'risk bias, points',
  'difference covered, %',
  'difference bias, points',
  'contradicted, %',
  'by',
  'failed',
] as const

/** One row of the printed table. */
export function tallyRow(tally: Tally): readonly string[] {
  const order = ['lower', 'higher', 'open', 'cannot-be-compared', 'cannot-be-known']
  return [
    tally.scenario,
    String(tally.practices),
    order.map((verdict) => tally.verdicts[verdict] ?? 0).join(' / '),
    String(tally.wrongDirections),
    String(tally.rightDirections),
    percent(tally.riskCovered),
    percent(tally.riskOrRangeCovered),
    points(tally.riskBias),
    percent(tally.differenceCovered),
    points(tally.differenceBias),
    percent(tally.anyContradiction),
    named(tally.contradictions),
    named(tally.failed),
  ]
}

function percent({ of, held }: Share): string {
  return of === 0 ? '' : `${((100 * held) / of).toFixed(0)} (${held}/${of})`
}

function points({ n, mean: centre, standardError }: Bias): string {
  return n === 0 ? '' : `${(100 * centre).toFixed(2)} ± ${(100 * standardError).toFixed(2)}`
}

function named(counts: Readonly<Record<string, number>>): string {
  return Object.entries(counts)
    .map(([name, count]) => `${name} ${count}`)
    .join('; ')
}
