import { UsageError } from '../../core/errors.js'
import { notEstimable, type TestResult, type Warning, warning } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import { hazardColumns } from '../curves/hazardColumns.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, type Codes, codesOf, singleCode } from '../kernel/codes.js'
import { type RiskSet, riskSet } from '../kernel/riskSet.js'
import { type NumberColumn, requireSameLength } from '../numeric/columns.js'

/** Options of the permutation test. */
export interface PermutationTestOptions {
  /** Delayed entry. Default: none. */
  readonly entry?: NumberColumn | undefined
  /** Strata within which patients are exchanged and hazards compared. Default: one. */
  readonly strata?: CodeColumn | undefined
  /** Number of random exchanges. Default: 9999. */
  readonly replicates?: number | undefined
  /** Seed of the random numbers, printed with the result. Default: 1. */
  readonly seed?: number | undefined
}

/** What the permutation test answers. */
export interface PermutationTestResult extends TestResult {
  /** Events of the second group beyond those expected if the groups shared one hazard. */
  readonly score: number
  readonly groups: readonly [string, string]
  readonly replicates: number
  readonly seed: number
  /** Standard error of the P value from the number of replicates. */
  readonly monteCarloError: number
  /** Patients of one kind, exchanged whole; and patients who hold both, permuted within themselves. */
  readonly patientsExchanged: number
  readonly patientsPermutedWithin: number
  /** Patients whose labels could not change: nobody of the other kind in their strata. */
  readonly patientsFixed: number
}

/**
 * Permutation test of two hazards that keeps patients whole: within strata, the kinds of patients who hold one kind
 * only are exchanged; the labels of a patient who holds both are permuted among that patient's own rows.
 *
 * The statistic is the log-rank score (the events of one group beyond those expected), centred and scaled by its exact
 * mean and variance under these permutations; the P value is (1 + as extreme) / (1 + replicates) (Phipson and Smyth
 * 2010). Patients with rows in several strata are exchanged with patients of the same set of strata.
 *
 * @param time follow-up, zero or more
 * @param event 1 where the event ended the follow-up, 0 where it was censored
 * @param group two kinds, whole-number codes or texts
 * @param cluster patient of each row
 * @param options delayed entry, strata, replicates (9999), seed (1)
 * @returns two-sided P value; not estimable where no label can change
 * @throws NumericalError as `kaplanMeier`; UsageError where there are not two groups or no replicates
 *
 * @example permutationTest([1, 2, 3, 4], [1, 1, 1, 1], ['a', 'a', 'b', 'b'], [1, 2, 3, 4]).seed // => 1
 */
export const permutationTest = checked(
  'permutationTest',
  (
    time: NumberColumn,
    event: NumberColumn,
    group: CodeColumn,
    cluster: CodeColumn,
    options: PermutationTestOptions = {},
  ): PermutationTestResult => {
    const { entry, strata, replicates = 9999, seed = 1 } = options
    requireSameLength({ time, event, group, patient: cluster, entry, strata })
    const groups = codesOf('group', group)
    if (groups.count !== 2) throw notTwoGroups(groups.count)
    if (!Number.isInteger(replicates) || replicates < 1) throw noReplicates(replicates)
    const patients = codesOf('patient', cluster)
    const stratum = strata === undefined ? singleCode(time.length) : codesOf('strata', strata)
    const risk = riskSet(time, event, { entry, stratum, causes: 1 })
    const scores = rowScores(risk, stratum)
    const layout = permutationPools(scores, groups.codes, patients, stratum)
    const score = scores.reduce((sum, value, row) => sum + (groups.codes[row] === 1 ? value : 0), 0)
    const { mean, variance } = moments(layout.pools, layout.fixedScore)
    const deviation = Math.sqrt(variance)
    const share =
      variance > 0 ? extremeShare(layout.pools, layout.fixedScore, score, mean, replicates, seed) : 1
    const absent = notEstimable('no-label-can-change')
    return deepFreeze({
      statistic: variance > 0 ? (score - mean) / deviation : absent,
      degreesOfFreedom: notEstimable('no-degrees-of-freedom'),
      pValue: variance > 0 ? share : absent,
      method: methodOf('permutation-of-whole-patients-within-strata', 'log-rank-score'),
      n: time.length,
      events: risk.cause.reduce((sum, cause) => sum + cause, 0),
      clusters: patients.count,
      warnings: layoutWarnings(layout.fixed, patients.count),
      reference: 'permutation-test',
      score,
      groups: [groups.labels[0]!, groups.labels[1]!] as const,
      replicates,
      seed,
      monteCarloError: Math.sqrt((share * (1 - share)) / replicates),
      patientsExchanged: layout.exchanged,
      patientsPermutedWithin: layout.within,
      patientsFixed: layout.fixed,
    })
  },
)

/** Events of each row beyond those that the pooled hazard of its stratum leads to expect. */
function rowScores(risk: RiskSet, stratum: Codes): Float64Array {
  const hazards = Array.from({ length: stratum.count }, (_unused, s) => hazardColumns(risk, s, false).hazard)
  return Float64Array.from(stratum.codes, (s, row) => {
    const from = risk.start[s]!
    const hazard = hazards[s]!
    const entryCell = risk.rowEntryCell === undefined ? from : risk.rowEntryCell[row]!
    const before = entryCell > from ? hazard[entryCell - from - 1]! : 0
    return risk.cause[row]! - (hazard[risk.rowCell[row]! - from]! - before)
  })
}

/** Exact mean and variance of the score over all permutations: sums of samples drawn without replacement. */
function moments(
  pools: readonly PermutationPool[],
  fixedScore: number,
): { readonly mean: number; readonly variance: number } {
  let mean = fixedScore
  let variance = 0
  for (const { scores, drawn } of pools) {
    const size = scores.length
    const centre = scores.reduce((sum, value) => sum + value, 0) / size
    const spread = scores.reduce((sum, value) => sum + (value - centre) ** 2, 0)
    mean += drawn * centre
    variance += (drawn * (size - drawn) * spread) / (size * (size - 1))
  }
  return { mean, variance }
}

/** Share of scores at least as far from the mean, the observed one counted; rounding does not make a tie extreme or not. */
function extremeShare(
  pools: readonly PermutationPool[],
  fixedScore: number,
  score: number,
  mean: number,
  replicates: number,
  seed: number,
): number {
  const distance = Math.abs(score - mean)
  const slack = 1e-10 * (1 + distance)
  const buffers = pools.map((pool) => pool.scores.slice())
  let extreme = 1
  for (let replicate = 0; replicate < replicates; replicate++) {
    const drawn = fixedScore + drawPools(pools, buffers, randomStream(seed, replicate))
    if (Math.abs(drawn - mean) >= distance - slack) extreme++
  }
  return extreme / (replicates + 1)
}

function layoutWarnings(fixed: number, patients: number): Warning[] {
  if (fixed === 0) return []
  return [warning('patients-fixed', { fixed, patients })]
}

function notTwoGroups(count: number): UsageError {
  return new UsageError({
    code: 'not-two-groups',
    problem: `the column group holds ${count} ${count === 1 ? 'kind' : 'kinds'}.`,
    expected: 'two kinds to compare.',
    mend: 'select the rows of two groups.',
  })
}

function noReplicates(replicates: number): UsageError {
  return new UsageError({
    code: 'no-replicates',
    problem: `${replicates} replicates were asked for.`,
    expected: 'a whole number above zero, such as 9999.',
    mend: 'leave replicates out for 9999.',
  })
}

/** Scores among which labels move: some of them are drawn for the second group. */
export interface PermutationPool {
  readonly scores: Float64Array
  readonly drawn: number
}

/** All pools, with what cannot move. */
export interface PermutationLayout {
  readonly pools: readonly PermutationPool[]
  /** Score of the second group's rows whose label cannot change. */
  readonly fixedScore: number
  readonly exchanged: number
  readonly within: number
  readonly fixed: number
}

interface PatientSummary {
  readonly rows: number[]
  second: number
}

/**
 * Sorts patients into pools. Patients of one kind are pooled whole, with those of the same set of strata; a patient who
 * holds both kinds has a pool of rows for each stratum in which both occur. Scores stand in ascending order, so that
 * the order of rows does not matter.
 */
function permutationPools(
  scores: Float64Array,
  group: Int32Array,
  patients: Codes,
  stratum: Codes,
): PermutationLayout {
  const summaries = Array.from({ length: patients.count }, (): PatientSummary => ({ rows: [], second: 0 }))
  for (let row = 0; row < scores.length; row++) {
    const summary = summaries[patients.codes[row]!]!
    summary.rows.push(row)
    summary.second += group[row]!
  }
  const whole = new Map<string, Unit[]>()
  const pools: Pools = { movable: [], fixedScore: 0 }
  const counts = { exchanged: 0, within: 0, fixed: 0 }
  for (const { rows, second } of summaries) {
    if (second > 0 && second < rows.length) {
      const moved = unitsByStratum(rows, scores, group, stratum.codes).map((own) => addPool(pools, own))
      counts[moved.includes(true) ? 'within' : 'fixed']++
      continue
    }
    const key = [...new Set(rows.map((row) => stratum.codes[row]!))].sort((a, b) => a - b).join(' ')
    const unit = { score: rows.reduce((sum, row) => sum + scores[row]!, 0), second: second > 0 }
    const pool = whole.get(key)
    if (pool === undefined) whole.set(key, [unit])
    else pool.push(unit)
  }
  for (const units of whole.values()) counts[addPool(pools, units) ? 'exchanged' : 'fixed'] += units.length
  return { pools: pools.movable, fixedScore: pools.fixedScore, ...counts }
}

/** A patient, or a row of a patient who holds both kinds. */
interface Unit {
  readonly score: number
  readonly second: boolean
}

/** Rows of a patient who holds both kinds, stratum by stratum. */
function unitsByStratum(
  rows: readonly number[],
  scores: Float64Array,
  group: Int32Array,
  stratum: Int32Array,
): readonly (readonly Unit[])[] {
  const units = new Map<number, Unit[]>()
  for (const row of rows) {
    const own = units.get(stratum[row]!) ?? []
    own.push({ score: scores[row]!, second: group[row] === 1 })
    units.set(stratum[row]!, own)
  }
  return [...units.values()]
}

interface Pools {
  readonly movable: PermutationPool[]
  fixedScore: number
}

/** Adds units among which labels move; false where all are of one kind, so that none can. */
function addPool(pools: Pools, units: readonly Unit[]): boolean {
  const second = units.filter((unit) => unit.second)
  if (second.length > 0 && second.length < units.length) {
    const scores = Float64Array.from(units, (unit) => unit.score).sort()
    pools.movable.push({ scores, drawn: second.length })
    return true
  }
  for (const unit of second) pools.fixedScore += unit.score
  return false
}

/**
 * Draws new labels in every pool and gives the score of those drawn.
 *
 * @param buffers one column per pool, of its size; overwritten
 */
function drawPools(
  pools: readonly PermutationPool[],
  buffers: readonly Float64Array[],
  random: RandomStream,
): number {
  let sum = 0
  for (let p = 0; p < pools.length; p++) {
    const { scores, drawn } = pools[p]!
    const buffer = buffers[p]!
    buffer.set(scores)
    for (let at = 0; at < drawn; at++) {
      const pick = at + random.index(buffer.length - at)
      const value = buffer[pick]!
      buffer[pick] = buffer[at]!
      sum += value
    }
  }
  return sum
}
