import { NumericalError, UsageError } from '../../core/errors.js'
import {
  type Contrast,
  noInterval,
  notEstimable,
  type Quantity,
  type TestResult,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodTerm, methodOf, term } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, type Codes, codesOf } from '../kernel/codes.js'
import { riskSet } from '../kernel/riskSet.js'
import { type NumberColumn, requireLevel, requireSameLength } from '../numeric/columns.js'
import { chiSquareUpperTail, normalUpperQuantile, normalUpperTail } from '../numeric/distributions.js'
import { matrixRows, quadraticForm } from '../numeric/matrix.js'
import { type LogRankSums, type LogRankWeighting, logRankSums, scoreChiSquare } from './weightedLogRank.js'

export type { LogRankWeighting } from './weightedLogRank.js'

/** Options of the log-rank family. */
export interface LogRankTestOptions {
  /** Delayed entry. Default: none. */
  readonly entry?: NumberColumn | undefined
  /** How often each row stands, whole numbers. Default: once. */
  readonly weights?: NumberColumn | undefined
  /** Strata: groups are compared within them only. Default: one. */
  readonly strata?: CodeColumn | undefined
  /** Weighting of the event times. Default: 'log-rank'. */
  readonly weighting?: LogRankWeighting | undefined
  /** One score per group in the order of the sorted labels, for a trend test. Default: no trend test. */
  readonly scores?: readonly number[] | undefined
  /** Patient of each row: only to warn where patients repeat. Default: none. */
  readonly cluster?: CodeColumn | undefined
  /** Confidence level of the one-step hazard ratio. Default: 0.95. */
  readonly level?: number | undefined
}

/** Events of one group against those expected if the groups shared one hazard. */
export interface LogRankGroup {
  readonly group: string
  readonly n: number
  readonly observed: number
  readonly expected: number
  /** Observed minus expected, weighted by event time. */
  readonly weightedDifference: number
}

/** What the log-rank family answers. */
export interface LogRankResult extends TestResult {
  readonly groups: readonly LogRankGroup[]
  /** Covariance of the weighted differences. */
  readonly covariance: readonly (readonly number[])[]
  /** Difference of the first group over its standard error; two groups only. */
  readonly standardizedDifference: Quantity
  /** Sum over groups of (O − E)²/E, the paper-and-pencil form; smaller than the statistic. */
  readonly sumOverExpected: Quantity
  /** One-step hazard ratio exp((O − E)/V) of the first group against the second; unweighted test of two groups only. */
  readonly oneStepHazardRatio: Contrast | undefined
  /** Trend over the scores; undefined where none were given. */
  readonly trend: LogRankTrend | undefined
}

/** Trend of the hazard over scores of the groups (Tarone 1975). */
export interface LogRankTrend {
  readonly scores: readonly number[]
  readonly standardized: Quantity
  readonly statistic: Quantity
  readonly pValue: Quantity
}

/**
 * Log-rank test and its weighted relatives for two or more groups (Mantel 1966; weights as named in
 * `LogRankWeighting`), stratified on request: differences and covariances are summed over strata.
 *
 * The covariance is hypergeometric, exact for tied events; pooled curves in the weights are those of each stratum. It
 * takes rows as independent: where patients repeat, use the patient-robust score test or `permutationTest`.
 *
 * @param time follow-up, zero or more
 * @param event 1 where the event ended the follow-up, 0 where it was censored
 * @param group whole-number codes or texts
 * @param options delayed entry, frequencies, strata, weighting, scores
 * @returns chi-square statistic with its P value; not estimable where no event time has two groups at risk
 * @throws NumericalError as `kaplanMeier`, or for frequencies that are not whole; UsageError for scores that do not
 * match the groups
 *
 * @example logRank([1, 2, 3, 4], [1, 1, 1, 1], ['a', 'a', 'b', 'b']).statistic // => 2.882
 */
export const logRank = checked(
  'logRank',
  (
    time: NumberColumn,
    event: NumberColumn,
    group: CodeColumn,
    options: LogRankTestOptions = {},
  ): LogRankResult => {
    const { entry, weights: frequency, strata, weighting = 'log-rank', level = 0.95 } = options
    requireSameLength({ time, event, group, entry, frequency, strata, cluster: options.cluster })
    requireLevel(level)
    if (frequency !== undefined) requireWhole(frequency)
    const groups = codesOf('group', group)
    const stratum = strata === undefined ? undefined : codesOf('strata', strata)
    const risk = riskSet(time, event, { entry, weights: frequency, group: groups, stratum, causes: 1 })
    const sums = logRankSums(risk, weighting)
    const n = groupSizes(groups, frequency)
    const { statistic, rank } = scoreChiSquare(sums.difference, sums.covariance)
    const absent = notEstimable('no-event-time-with-two-groups')
    const tested = rank > 0
    const warnings = testWarnings(options.cluster, time.length)
    return deepFreeze({
      statistic: tested ? statistic : absent,
      degreesOfFreedom: rank,
      pValue: tested ? chiSquareUpperTail(statistic, rank) : absent,
      method: methodOf(weightingName(weighting), ...(strata === undefined ? [] : methodOf('stratified'))),
      n: n.reduce((sum, count) => sum + count, 0),
      events: sums.observed.reduce((sum, count) => sum + count, 0),
      clusters: options.cluster === undefined ? time.length : codesOf('cluster', options.cluster).count,
      warnings,
      reference: 'log-rank',
      groups: groups.labels.map((label, g) => ({
        group: label,
        n: n[g]!,
        observed: sums.observed[g]!,
        expected: sums.expected[g]!,
        weightedDifference: sums.difference[g]!,
      })),
      covariance: matrixRows(sums.covariance, groups.count),
      standardizedDifference: standardized(sums),
      sumOverExpected: sumOverExpected(sums),
      oneStepHazardRatio:
        weighting === 'log-rank' && groups.count === 2
          ? oneStep(sums, groups, n, level, warnings)
          : undefined,
      trend: options.scores === undefined ? undefined : trend(sums, options.scores),
    })
  },
)

function standardized(sums: LogRankSums): Quantity {
  const variance = sums.covariance[0]!
  if (sums.difference.length !== 2) return notEstimable('not-two-groups')
  return variance > 0
    ? sums.difference[0]! / Math.sqrt(variance)
    : notEstimable('no-event-time-with-two-groups')
}

function sumOverExpected(sums: LogRankSums): Quantity {
  let sum = 0
  for (let g = 0; g < sums.observed.length; g++) {
    const expected = sums.expected[g]!
    if (expected > 0) sum += (sums.observed[g]! - expected) ** 2 / expected
  }
  return sum
}

/** Peto's one-step estimate (Yusuf et al. 1985). */
function oneStep(
  sums: LogRankSums,
  groups: Codes,
  n: readonly number[],
  level: number,
  warnings: readonly Warning[],
): Contrast {
  const variance = sums.covariance[0]!
  const common = {
    comparator: { group: groups.labels[0]!, against: groups.labels[1]! },
    level,
    method: methodOf('one-step-hazard-ratio-from-the-log-rank-test'),
    n: n[0]! + n[1]!,
    events: sums.observed[0]! + sums.observed[1]!,
    clusters: n[0]! + n[1]!,
    warnings,
    reference: 'log-rank',
  }
  if (!(variance > 0)) {
    const reason = 'no-event-time-with-two-groups'
    return { ...common, estimate: notEstimable(reason), interval: noInterval(reason) }
  }
  const log = sums.difference[0]! / variance
  const half = normalUpperQuantile((1 - level) / 2) / Math.sqrt(variance)
  return {
    ...common,
    estimate: Math.exp(log),
    interval: { lower: Math.exp(log - half), upper: Math.exp(log + half) },
    standardError: { value: 1 / Math.sqrt(variance), scale: 'log hazard ratio' },
  }
}

function trend(sums: LogRankSums, scores: readonly number[]): LogRankTrend {
  if (scores.length !== sums.difference.length || !scores.every(Number.isFinite)) {
    throw new UsageError({
      code: 'scores-do-not-match',
      problem: `${scores.length} scores were given for ${sums.difference.length} groups.`,
      expected: 'one finite score per group, in the order of the sorted labels.',
      mend: 'give as many scores as there are groups.',
    })
  }
  const variance = quadraticForm(sums.covariance, scores)
  const largest = Math.max(...scores.map((score) => score * score))
  const whole = sums.covariance.reduce((sum, value) => sum + Math.abs(value), 0)
  if (!(variance > 1e-12 * largest * whole)) {
    const absent = notEstimable('scores-do-not-differ')
    return { scores, standardized: absent, statistic: absent, pValue: absent }
  }
  const z = scores.reduce((sum, score, g) => sum + score * sums.difference[g]!, 0) / Math.sqrt(variance)
  return { scores, standardized: z, statistic: z * z, pValue: 2 * normalUpperTail(Math.abs(z)) }
}

function weightingName(weighting: LogRankWeighting): MethodTerm {
  if (typeof weighting === 'string') return `${weighting}-test`
  return term('fleming-harrington-test', { rho: weighting.rho, gamma: weighting.gamma })
}

function groupSizes(groups: Codes, frequency: NumberColumn | undefined): number[] {
  const sizes = new Array<number>(groups.count).fill(0)
  for (let row = 0; row < groups.codes.length; row++) sizes[groups.codes[row]!]! += frequency?.[row] ?? 1
  return sizes
}

function testWarnings(cluster: CodeColumn | undefined, rows: number): Warning[] {
  if (cluster === undefined || codesOf('cluster', cluster).count === rows) return []
  return [warning('patients-repeat')]
}

function requireWhole(frequency: NumberColumn): void {
  for (let row = 0; row < frequency.length; row++) {
    if (Number.isInteger(frequency[row]) && frequency[row]! >= 0) continue
    throw new NumericalError({
      code: 'frequency-not-whole',
      problem: `column frequency holds something other than a whole number, first in row ${row + 1}.`,
      expected: 'how often each row stands: 0, 1, 2, …',
      mend: 'for weights of other kinds use the weighted regression with its robust variance.',
    })
  }
}
