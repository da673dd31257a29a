import { UsageError } from '../../core/errors.js'
import { notEstimable, type TestResult, type Warning, warning } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, codesOf } from '../kernel/codes.js'
import { type RiskSet, riskSet } from '../kernel/riskSet.js'
import { type NumberColumn, requireSameLength } from '../numeric/columns.js'
import { chiSquareUpperTail } from '../numeric/distributions.js'
import { scoreChiSquare } from './weightedLogRank.js'

/**
 * Scores of Gray's (1988) test and their covariance, summed over strata. Within a stratum, h is the number at risk over
 * survival free of every cause, R is h times one less the incidence; the score weighs each group's events against its
 * share of R, the covariance follows the group's own and competing events through the pooled incidence, with the
 * correction for ties of the paper.
 */
class GrayScores {
  readonly score: Float64Array
  /** Row-major, groups × groups. */
  readonly covariance: Float64Array
  readonly #groups: number

  constructor(groups: number) {
    this.#groups = groups
    this.score = new Float64Array(groups)
    this.covariance = new Float64Array(groups * groups)
  }

  addStratum(risk: RiskSet, stratum: number, cause: number, rho: number): void {
    const state = new StratumState(this.#groups)
    for (let cell = risk.start[stratum]!; cell < risk.start[stratum + 1]!; cell++) {
      if (!state.readCell(risk, cell, cause)) continue
      state.addScores(rho, this.score)
      state.addOwnEvents(this.covariance)
      state.addCompetingEvents(this.covariance)
      state.endCell()
    }
    state.addCarried(this.covariance)
  }
}

/** Running quantities of one stratum. */
class StratumState {
  readonly #groups: number
  readonly #atRisk: Float64Array
  readonly #own: Float64Array
  readonly #other: Float64Array
  /** Survival free of every cause before and after the cell. */
  readonly #freeBefore: Float64Array
  readonly #free: Float64Array
  readonly #incidence: Float64Array
  readonly #incidenceAfter: Float64Array
  /** How the score of group i answers to events of group k at the cell, and summed since the start. */
  readonly #answer: Float64Array
  readonly #answerSum: Float64Array
  readonly #spread: Float64Array
  readonly #cross: Float64Array
  #ownEvents = 0
  #pooled = 0
  #pooledAfter = 0
  #h = 0

  constructor(groups: number) {
    const column = (): Float64Array => new Float64Array(groups)
    this.#groups = groups
    this.#atRisk = column()
    this.#own = column()
    this.#other = column()
    this.#freeBefore = column().fill(1)
    this.#free = column().fill(1)
    this.#incidence = column()
    this.#incidenceAfter = column()
    this.#answer = new Float64Array(groups * groups)
    this.#answerSum = new Float64Array(groups * groups)
    this.#spread = column()
    this.#cross = new Float64Array(groups * groups)
  }

  /** Reads the counts of a cell; false where nobody had an event. */
  readCell(risk: RiskSet, cell: number, cause: number): boolean {
    const { groups, cells, causes } = risk
    let events = 0
    this.#ownEvents = 0
    for (let g = 0; g < groups; g++) {
      this.#atRisk[g] = risk.atRisk[g * cells + cell]!
      let any = 0
      for (let k = 0; k < causes; k++) any += risk.events[(k * groups + g) * cells + cell]!
      const own = cause <= causes ? risk.events[((cause - 1) * groups + g) * cells + cell]! : 0
      this.#own[g] = own
      this.#other[g] = any - own
      this.#ownEvents += own
      events += any
    }
    if (events === 0) return false
    this.#h = 0
    for (let g = 0; g < groups; g++) {
      const atRisk = this.#atRisk[g]!
      if (atRisk === 0) continue
      const before = this.#freeBefore[g]!
      this.#free[g] = (before * (atRisk - this.#own[g]! - this.#other[g]!)) / atRisk
      this.#incidenceAfter[g] = this.#incidence[g]! + (before * this.#own[g]!) / atRisk
      this.#h += atRisk / before
    }
    this.#pooledAfter = this.#pooled + this.#ownEvents / this.#h
    return true
  }

  addScores(rho: number, score: Float64Array): void {
    const weight = (1 - this.#pooled) ** rho
    const groups = this.#groups
    const growth = this.#ownEvents / (this.#h * (1 - this.#pooled))
    let whole = 0
    for (let g = 0; g < groups; g++) whole += this.#share(g)
    for (let i = 0; i < groups; i++) {
      if (this.#ownEvents > 0) {
        score[i]! += weight * (this.#own[i]! - (this.#ownEvents * this.#share(i)) / whole)
      }
      const hi = this.#atRisk[i]! / this.#freeBefore[i]!
      for (let k = 0; k < groups; k++) {
        const hk = this.#atRisk[k]! / this.#freeBefore[k]!
        const present = this.#atRisk[i]! > 0 && this.#atRisk[k]! > 0
        const answer = present ? weight * hi * ((i === k ? 1 : 0) - hk / this.#h) : 0
        this.#answer[i * groups + k] = answer
        if (answer !== 0 && growth > 0) this.#answerSum[i * groups + k]! += answer * growth
      }
    }
  }

  /** R of a group: those at risk over survival, times one less its incidence. */
  #share(g: number): number {
    if (this.#atRisk[g] === 0) return 0
    return (this.#atRisk[g]! * (1 - this.#incidence[g]!)) / this.#freeBefore[g]!
  }

  addOwnEvents(covariance: Float64Array): void {
    if (this.#ownEvents === 0) return
    for (let k = 0; k < this.#groups; k++) {
      const atRisk = this.#atRisk[k]!
      if (atRisk === 0) continue
      const before = this.#freeBefore[k]!
      const free = this.#free[k]!
      const part = free > 0 ? 1 - (1 - this.#pooledAfter) / free : 1
      const tied = this.#ownEvents > 1 ? 1 - (this.#ownEvents - 1) / (this.#h * before - 1) : 1
      const variance = (tied * before * this.#ownEvents) / (this.#h * atRisk)
      this.#addEvents(k, part, variance, 1, covariance)
    }
  }

  addCompetingEvents(covariance: Float64Array): void {
    for (let k = 0; k < this.#groups; k++) {
      const atRisk = this.#atRisk[k]!
      const events = this.#other[k]!
      const free = this.#free[k]!
      if (events === 0 || !(free > 0)) continue
      const tied = events > 1 ? 1 - (events - 1) / (atRisk - 1) : 1
      const variance = (tied * this.#freeBefore[k]! ** 2 * events) / (atRisk * atRisk)
      this.#addEvents(k, (1 - this.#pooledAfter) / free, variance, 0, covariance)
    }
  }

  /** Adds a martingale increment of group k: directly, and through what it will do to later incidence. */
  #addEvents(k: number, part: number, variance: number, direct: number, covariance: Float64Array): void {
    const groups = this.#groups
    this.#spread[k]! += part * part * variance
    const answerOf = (i: number): number =>
      direct * this.#answer[i * groups + k]! - part * this.#answerSum[i * groups + k]!
    for (let i = 0; i < groups; i++) {
      const own = answerOf(i)
      this.#cross[i * groups + k]! += own * part * variance
      for (let j = 0; j < groups; j++) covariance[i * groups + j]! += own * answerOf(j) * variance
    }
  }

  endCell(): void {
    this.#pooled = this.#pooledAfter
    this.#freeBefore.set(this.#free)
    this.#incidence.set(this.#incidenceAfter)
  }

  /** What the increments did to all later times, known only at the end. */
  addCarried(covariance: Float64Array): void {
    const groups = this.#groups
    for (let i = 0; i < groups; i++) {
      for (let j = 0; j < groups; j++) {
        for (let k = 0; k < groups; k++) {
          const ci = this.#answerSum[i * groups + k]!
          const cj = this.#answerSum[j * groups + k]!
          covariance[i * groups + j]! +=
            ci * cj * this.#spread[k]! + ci * this.#cross[j * groups + k]! + cj * this.#cross[i * groups + k]!
        }
      }
    }
  }
}

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
    const absent = notEstimable('no-event-of-cause-with-two-groups')
    const counted = groups.labels.map((label, g) => countsOf(label, g, groups.codes, risk.cause, ofInterest))
    return deepFreeze({
      cause: ofInterest,
      statistic: rank > 0 ? statistic : absent,
      degreesOfFreedom: rank,
      pValue: rank > 0 ? chiSquareUpperTail(statistic, rank) : absent,
      method: methodOf('gray-s-test', ...(strata === undefined ? [] : methodOf('stratified'))),
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
  return [warning('patients-repeat')]
}

function noSuchPower(rho: number): UsageError {
  return new UsageError({
    code: 'rho-not-finite',
    problem: `rho is ${rho}.`,
    expected: 'a finite power, such as 0 or 1.',
    mend: 'leave rho out for the unweighted test.',
  })
}
