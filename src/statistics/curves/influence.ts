import type { Codes } from '../kernel/codes.js'
import { type RiskSet, rowsOfStratum } from '../kernel/riskSet.js'
import { type RowsByCell, rowsByCell } from '../kernel/riskSetCells.js'
import type { ResolvedCurveOptions } from './curveOptions.js'

/**
 * How the rows of one curve move its estimate (infinitesimal jackknife). A row of weight w that came under
 * observation after cell e and left in cell x with outcome c moves the estimate at cell t by
 *
 *   w · Σ_j loading_j(t) · [ cumulative_j(min(x, t)) − cumulative_j(e) + (x ≤ t) · jump_c,j(x) ],
 *
 * so that estimators differ in these few columns only, and sums over patients are carried along in one pass.
 */
export interface InfluenceProcess {
  /** One column per component, one entry per cell of the curve. */
  readonly cumulative: readonly Float64Array[]
  readonly loading: readonly Float64Array[]
  /** By outcome (0 censored, 1, 2, …) and component; an empty list where the outcome does not jump. */
  readonly jump: readonly (readonly Float64Array[])[]
}

/** The rows of a risk set in the order in which they come and go, with the cluster of each. */
export interface ClusteredRows {
  readonly exits: RowsByCell
  readonly entries: RowsByCell | undefined
  /** Cluster of each row; undefined where every row is its own. */
  readonly cluster: Int32Array | undefined
  /** Number of each cluster within one curve, −1 between uses. */
  readonly numbers: Int32Array
}

/** Orders the rows of a risk set once, for all its curves. */
export function clusteredRows(risk: RiskSet, cluster: Codes | undefined): ClusteredRows {
  return {
    exits: rowsByCell(risk.rowCell, risk.cells),
    entries: risk.rowEntryCell === undefined ? undefined : rowsByCell(risk.rowEntryCell, risk.cells),
    cluster: cluster?.codes,
    numbers: new Int32Array(cluster?.count ?? risk.rowCell.length).fill(-1),
  }
}

/** The same where the variance or the count of clusters needs it; undefined where every row counts by itself. */
export function rowsIfClustered(
  risk: RiskSet,
  { cluster, robust }: Pick<ResolvedCurveOptions, 'cluster' | 'robust'>,
): ClusteredRows | undefined {
  return robust || cluster !== undefined ? clusteredRows(risk, cluster) : undefined
}

/** Rows of a stratum, and its clusters: each row by itself where none are given. */
export function sizeOfStratum(
  risk: RiskSet,
  rows: ClusteredRows | undefined,
  stratum: number,
): { readonly n: number; readonly clusters: number } {
  const n = rowsOfStratum(risk, stratum)
  return { n, clusters: rows === undefined ? n : clustersOfStrata(risk, rows, [stratum]) }
}

/** How many clusters have a row in the cells of the given strata. */
export function clustersOfStrata(
  risk: RiskSet,
  rows: ClusteredRows | undefined,
  strata: readonly number[],
): number {
  if (rows === undefined) return strata.reduce((sum, stratum) => sum + rowsOfStratum(risk, stratum), 0)
  const count = strata.reduce((known, stratum) => numberClusters(risk, rows, stratum, known), 0)
  for (const stratum of strata) forgetNumbers(risk, rows, stratum)
  return count
}

/** Numbers the clusters of a stratum that have no number yet, on from those known; gives how many are known then. */
function numberClusters(risk: RiskSet, rows: ClusteredRows, stratum: number, known = 0): number {
  const { order, offset } = rows.exits
  let count = known
  for (let at = offset[risk.start[stratum]!]!; at < offset[risk.start[stratum + 1]!]!; at++) {
    const cluster = rows.cluster === undefined ? order[at]! : rows.cluster[order[at]!]!
    if (rows.numbers[cluster] === -1) rows.numbers[cluster] = count++
  }
  return count
}

function forgetNumbers(risk: RiskSet, rows: ClusteredRows, stratum: number): void {
  const { order, offset } = rows.exits
  for (let at = offset[risk.start[stratum]!]!; at < offset[risk.start[stratum + 1]!]!; at++) {
    rows.numbers[rows.cluster === undefined ? order[at]! : rows.cluster[order[at]!]!] = -1
  }
}

/**
 * Variance at every cell of a stratum: the sum over clusters of the squared sum of their rows' influences, without a
 * small-sample factor. Linear in rows and cells: each cluster is a short vector that changes when one of its rows
 * comes or goes, and the sums of its products are kept up to date.
 */
export function clusterVariances(
  risk: RiskSet,
  stratum: number,
  rows: ClusteredRows,
  process: InfluenceProcess,
): Float64Array {
  const from = risk.start[stratum]!
  const to = risk.start[stratum + 1]!
  const sums = new ProductSums(process.loading.length + 1, numberClusters(risk, rows, stratum))
  const walk = new Walk(risk, rows, process, sums)
  const { order, offset } = rows.exits
  if (rows.entries === undefined) walk.allCome(order.subarray(offset[from]!, offset[to]!))
  const variances = new Float64Array(to - from)
  const loadings = new Float64Array(process.loading.length + 1)
  for (let cell = from; cell < to; cell++) {
    const at = cell - from
    if (rows.entries !== undefined) {
      const { order: entering, offset: first } = rows.entries
      for (let k = first[cell]!; k < first[cell + 1]!; k++) walk.comes(entering[k]!, at)
    }
    for (let k = offset[cell]!; k < offset[cell + 1]!; k++) walk.goes(order[k]!, at)
    variances[at] = sums.quadraticForm(loadingsAt(process, at, loadings))
  }
  forgetNumbers(risk, rows, stratum)
  return variances
}

/** Rows coming and going, as changes of their cluster's vector. */
class Walk {
  readonly #weights: Float64Array | undefined
  readonly #causes: Uint8Array
  readonly #rows: ClusteredRows
  readonly #process: InfluenceProcess
  readonly #sums: ProductSums
  readonly #change: Float64Array

  constructor(risk: RiskSet, rows: ClusteredRows, process: InfluenceProcess, sums: ProductSums) {
    this.#weights = risk.weights
    this.#causes = risk.cause
    this.#rows = rows
    this.#process = process
    this.#sums = sums
    this.#change = new Float64Array(process.loading.length + 1)
  }

  #number(row: number): number {
    const { numbers, cluster } = this.#rows
    return numbers[cluster === undefined ? row : cluster[row]!]!
  }

  /** All rows at risk from the start, when no cumulative column has moved yet. */
  allCome(rows: Int32Array): void {
    for (let k = 0; k < rows.length; k++) {
      const row = rows[k]!
      this.#sums.begin(this.#number(row), this.#weights === undefined ? 1 : this.#weights[row]!)
    }
    this.#sums.begun()
  }

  comes(row: number, at: number): void {
    const weight = this.#weights === undefined ? 1 : this.#weights[row]!
    const { cumulative } = this.#process
    this.#change[0] = weight
    for (let j = 0; j < cumulative.length; j++) {
      this.#change[j + 1] = at === 0 ? 0 : -weight * cumulative[j]![at - 1]!
    }
    this.#sums.add(this.#number(row), this.#change)
  }

  goes(row: number, at: number): void {
    const weight = this.#weights === undefined ? 1 : this.#weights[row]!
    const { cumulative, jump } = this.#process
    const jumps = jump[this.#causes[row]!]
    this.#change[0] = -weight
    for (let j = 0; j < cumulative.length; j++) {
      const own = jumps === undefined || jumps.length === 0 ? 0 : jumps[j]![at]!
      this.#change[j + 1] = weight * (cumulative[j]![at]! + own)
    }
    this.#sums.add(this.#number(row), this.#change)
  }
}

/** Loadings at a cell, led by that of rows still at risk. */
function loadingsAt(process: InfluenceProcess, at: number, into: Float64Array): Float64Array {
  let current = 0
  for (let j = 0; j < process.loading.length; j++) {
    const loading = process.loading[j]![at]!
    into[j + 1] = loading
    current += loading * process.cumulative[j]![at]!
  }
  into[0] = current
  return into
}

/** One short vector per cluster, with the sums over clusters of the products of its parts. */
class ProductSums {
  readonly #width: number
  readonly #state: Float64Array
  readonly #products: Float64Array

  constructor(width: number, clusters: number) {
    this.#width = width
    this.#state = new Float64Array(width * clusters)
    this.#products = new Float64Array(width * width)
  }

  /** Raises the first part of a vector before anything else is there; `begun` must follow. */
  begin(cluster: number, weight: number): void {
    this.#state[cluster * this.#width]! += weight
  }

  begun(): void {
    let sum = 0
    for (let at = 0; at < this.#state.length; at += this.#width) sum += this.#state[at]! ** 2
    this.#products[0] = sum
  }

  add(cluster: number, change: Float64Array): void {
    const width = this.#width
    const state = this.#state
    const products = this.#products
    const base = cluster * width
    for (let i = 0; i < width; i++) {
      const before = state[base + i]!
      const di = change[i]!
      const after = before + di
      // parts from i on still stand as they were before the change
      products[i * width + i]! += di * (before + after)
      for (let j = i + 1; j < width; j++) {
        products[i * width + j]! += di * state[base + j]! + after * change[j]!
      }
      state[base + i] = after
    }
  }

  /** Sums that cancel to less than the rounding of their terms are zero, and never below. */
  quadraticForm(h: Float64Array): number {
    const width = this.#width
    let sum = 0
    let size = 0
    for (let i = 0; i < width; i++) {
      for (let j = i; j < width; j++) {
        const term = (i === j ? 1 : 2) * h[i]! * h[j]! * this.#products[i * width + j]!
        sum += term
        size += Math.abs(term)
      }
    }
    return sum > 4e-15 * size ? sum : 0
  }
}
