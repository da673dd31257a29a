import type { RandomStream } from '../core/random.js'
import type { Codes } from './kernel/codes.js'

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
export function permutationPools(
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
export function drawPools(
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
