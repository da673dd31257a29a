import { formatNumber } from '../../core/format.js'
import type { Ranged } from '../../questions/comparison/estimate.js'
import { knownTruths } from '../../studies/practices/knownTruths.js'
import type { Scenario } from '../../studies/practices/scenario.js'
import { scenarios } from '../../studies/practices/scenarios.js'
import { riskAt, trueDifference } from '../../studies/practices/truth.js'
import { seedOfPractice } from '../../studies/run.js'
import { type KnownAnswer, knownAnswer } from './knownPractices.js'
import type { SimulationStudy, StudyRun } from './study.js'

/** How often each thing came among the practices of one scenario. */
export interface VerdictTally {
  readonly practices: number
  readonly lower: number
  readonly higher: number
  readonly open: number
  readonly cannotBeKnown: number
  readonly cannotBeCompared: number
  /** Directions other than the one that may be claimed. */
  readonly wrong: number
  readonly right: number
  /** Intervals of the estimate that exclude zero on the true side, or on any where there is no effect: before any guard. */
  readonly interval: number
  /** The same with the true probability of the choice, and of the hazard ratio with every crown's true hazard in the model. */
  readonly trueChoice: number
  readonly trueModel: number
  readonly contradicted: number
  /** Intervals of the difference that hold the truth, and how many there are. */
  readonly held: number
  readonly judged: number
  /** Risks whose interval, or printed range, holds the truth, and how many there are. */
  readonly riskHeld: number
  readonly riskJudged: number
}

function sideOf({ lower, upper }: Ranged): -1 | 0 | 1 {
  return upper < 0 ? -1 : lower > 0 ? 1 : 0
}

/** Counts what came of the practices of one scenario. */
export function verdictTally(scenario: Scenario, answers: readonly KnownAnswer[]): VerdictTally {
  const count = (is: (one: KnownAnswer) => boolean): number => answers.filter(is).length
  const truth = knownTruths[scenario.name]!
  const { treatmentHazardRatio: ratio } = scenario.traits
  const sides = ratio === 1 ? [-1, 1] : [Math.sign(Math.log(ratio))]
  const excludes = (one: Ranged | undefined): boolean => one !== undefined && sides.includes(sideOf(one))
  const differences = answers.flatMap(({ verdict, difference, years }) => {
    const is = verdict.startsWith('cannot') ? undefined : trueDifference(truth, years ?? 3)
    return is === undefined || difference === undefined ? [] : [{ is, difference }]
  })
  const risks = answers.flatMap(({ risk, riskRange, riskYears }) => {
    const is = riskAt(truth.overall, riskYears ?? 3)
    return is === undefined || risk === undefined ? [] : [{ is, risk, range: riskRange ?? risk }]
  })
  const claims = (verdict: string): boolean => verdict === 'lower' || verdict === 'higher'
  return {
    practices: answers.length,
    lower: count(({ verdict }) => verdict === 'lower'),
    higher: count(({ verdict }) => verdict === 'higher'),
    open: count(({ verdict }) => verdict === 'open'),
    cannotBeKnown: count(({ verdict }) => verdict === 'cannot-be-known'),
    cannotBeCompared: count(({ verdict }) => verdict === 'cannot-be-compared'),
    wrong: count(({ verdict }) => claims(verdict) && verdict !== scenario.mayClaim),
    right: count(({ verdict }) => verdict === scenario.mayClaim),
    interval: count(({ difference }) => excludes(difference)),
    trueChoice: count(({ oracle }) => excludes(oracle?.difference)),
    trueModel: count(
      ({ oracle }) =>
        oracle?.hazard !== undefined &&
        oracle.hazard.pValue < 0.05 &&
        sides.includes(Math.sign(oracle.hazard.logRatio)),
    ),
    contradicted: count(({ contradicts }) => contradicts.length > 0),
    held: differences.filter(({ is, difference: { lower, upper } }) => lower <= is && is <= upper).length,
    judged: differences.length,
    riskHeld: risks.filter(
      ({ is, risk, range }) =>
        (risk.lower <= is && is <= risk.upper) || (range.lower <= is && is <= range.upper),
    ).length,
    riskJudged: risks.length,
  }
}

/** Head of the table of a study. */
export const verdictHead = [
  '| scenario | practices | lower | higher | open | cannot be known | cannot be compared | before guards | true choice | true model | contradicted | held | risk held |',
  '|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|',
] as const

/** One scenario as a row of the table. */
export function verdictRow(name: string, one: VerdictTally): string {
  const share = (part: number, of: number): string =>
    of === 0 ? '–' : `${formatNumber((100 * part) / of, 0)} %`
  const cells = [
    name,
    one.practices,
    one.lower,
    one.higher,
    one.open,
    one.cannotBeKnown,
    one.cannotBeCompared,
    one.interval,
    one.trueChoice,
    one.trueModel,
    one.contradicted,
    share(one.held, one.judged),
    share(one.riskHeld, one.riskJudged),
  ]
  return `| ${cells.join(' | ')} |`
}

/** The verdicts on practices with a known truth, beside what an all-knowing reader could say of the same records. */
export const knownVerdictsStudy: SimulationStudy = {
  name: 'known-verdicts',
  question:
    'What is claimed of practices with a known truth, and what could be by who knew the choice or the hazards?',
  page: 'docs/verification/comparison.md',
  run: async ({ replicates = 40, onProgress }: StudyRun) => {
    const rows: string[] = [...verdictHead]
    for (const scenario of scenarios) {
      const answers: KnownAnswer[] = []
      for (let index = 0; index < replicates; index++) {
        onProgress(scenario.name, index / replicates)
        answers.push(await knownAnswer(scenario.traits, seedOfPractice(21, index)))
      }
      rows.push(verdictRow(scenario.name, verdictTally(scenario, answers)))
    }
    return rows.join('\n')
  },
}
