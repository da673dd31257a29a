import { UsageError } from '../core/errors.js'
import { notEstimable, type TestResult, type Warning, warning } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { GrayScores } from './grayScores.js'
import { checked } from './kernel/checked.js'
import { type CodeColumn, codesOf } from './kernel/codes.js'
import { type NumberColumn, requireSameLength } from './numeric/columns.js'
import { chiSquareUpperTail } from './numeric/distributions.js'
import { riskSet } from './riskSet.js'
import { scoreChiSquare } from './weightedLogRank.js'

/** Options of Gray's test. */
export interface GrayTestOptions {
  /** Cause whose cumulative incidence is compared; every other above 0 competes. Default: 1. */
  readonly cause?: number | undefined
  /** Strata: groups are compared within them only. Default: one. */
  readonly strata?: CodeColumn | undefined
  /** Power of one less the pooled incidence that weights the event times. Default: 0. */
  readonly rho?: number | undefined
  /** Patient of each row: only to warn where patients repeat. Default: none. */
  readonly cluster?: CodeColumn | undefined
}

/** One group in Gray's test. */
export interface GrayTestGroup {
  readonly group: string
  readonly n: number
  readonly events: number
  readonly competingEvents: number
  /** Events beyond those expected if the groups shared one cumulative incidence, weighted by event time. */
  readonly score: number
}

/** What Gray's test answers. */
export interface GrayTestResult extends TestResult {
  readonly cause: number
  readonly groups: readonly GrayTestGroup[]
}

/**
 * Tests whether groups share the cumulative incidence of a cause where others compete (Gray 1988), stratified on
 * request. It takes rows as independent.
 *
 * @param time follow-up, zero or more; late entry is not provided for
 * @param cause 0 where censored, otherwise the number of the cause that ended the follow-up
 * @param group whole-number codes or texts
 * @param options cause (1), strata, rho (0)
 * @returns chi-square statistic on one less than the number of groups; not estimable without events of the cause
 * while two groups are at risk
 * @throws NumericalError as `cumulativeIncidence`; UsageError for a rho that is not finite
 *
 * @example grayTest([1, 2, 3, 4, 5, 6], [1, 2, 1, 1, 0, 1], [0, 1, 0, 1, 0, 1]).degreesOfFreedom // => 1
 */
export const grayTest = checked(
  'grayTest',
  (
    time: NumberColumn,
    cause: NumberColumn,
    group: CodeColumn,
    options: GrayTestOptions = {},
  ): GrayTestResult => {
    const { cause: ofInterest = 1, strata, rho = 0, cluster } = options
    requireSameLength({ time, cause, group, strata, cluster })
    if (!Number.isFinite(rho)) throw noSuchPower(rho)
    const groups = codesOf('group', group)
    const stratum = strata === undefined ? undefined : codesOf('strata', strata)
    const risk = riskSet(time, cause, { group: groups, stratum })
    const total = new GrayScores(groups.count)
    for (let s = 0; s < risk.strata; s++) total.addStratum(risk, s, ofInterest, rho)
    const { statistic, rank } = scoreChiSquare(total.score, total.covariance)
    const absent = notEstimable('no event of the cause while two groups are at risk')
    const counted = groups.labels.map((label, g) => countsOf(label, g, groups.codes, risk.cause, ofInterest))
    return deepFreeze({
      cause: ofInterest,
      statistic: rank > 0 ? statistic : absent,
      degreesOfFreedom: rank,
      pValue: rank > 0 ? chiSquareUpperTail(statistic, rank) : absent,
      method: `Gray's test${strata === undefined ? '' : ', stratified'}`,
      n: time.length,
      events: counted.reduce((sum, one) => sum + one.events, 0),
      clusters: cluster === undefined ? time.length : codesOf('cluster', cluster).count,
      warnings: repeatWarnings(cluster, time.length),
      reference: 'gray-test',
      groups: counted.map((one, g) => ({ ...one, score: total.score[g]! })),
    })
  },
)

function countsOf(
  group: string,
  code: number,
  codes: Int32Array,
  cause: Uint8Array,
  ofInterest: number,
): Omit<GrayTestGroup, 'score'> {
  let n = 0
  let events = 0
  let competingEvents = 0
  for (let row = 0; row < codes.length; row++) {
    if (codes[row] !== code) continue
    n++
    if (cause[row] === ofInterest) events++
    else if (cause[row] !== 0) competingEvents++
  }
  return { group, n, events, competingEvents }
}

function repeatWarnings(cluster: CodeColumn | undefined, rows: number): Warning[] {
  if (cluster === undefined || codesOf('cluster', cluster).count === rows) return []
  return [
    warning(
      'patients-repeat',
      'Patients repeat, and this test takes their rows as independent: its P value is too small as a rule.',
    ),
  ]
}

function noSuchPower(rho: number): UsageError {
  return new UsageError({
    code: 'rho-not-finite',
    problem: `rho is ${rho}.`,
    expected: 'a finite power, such as 0 or 1.',
    mend: 'leave rho out for the unweighted test.',
  })
}
