import type { RiskSet } from '../kernel/riskSet.js'
import type { InfluenceProcess } from './influence.js'
import { cellEvents, type ProductLimitColumns, productLimitColumns } from './productLimit.js'

/** Variance estimators of the cumulative incidence. */
export type IncidenceVariance = 'greenwood' | 'aalen' | 'robust'

/** Cumulative incidence of one cause in one stratum, one entry per cell. */
export interface IncidenceColumns {
  readonly incidence: Float64Array
  /** Survival free of every cause. */
  readonly free: ProductLimitColumns
  readonly cause: number
}

/** Aalen–Johansen estimate: events of the cause, over those at risk, times survival free of all before. */
export function incidenceColumns(
  risk: RiskSet,
  stratum: number,
  cause: number,
  ending: readonly number[],
): IncidenceColumns {
  const from = risk.start[stratum]!
  const free = productLimitColumns(risk, stratum, ending)
  const incidence = new Float64Array(free.survival.length)
  let sum = 0
  for (let at = 0; at < incidence.length; at++) {
    const events = cellEvents(risk, from + at, [cause]).weight
    if (events > 0) sum += (free.survivalBefore[at]! * events) / risk.atRisk[from + at]!
    incidence[at] = sum
  }
  return { incidence, free, cause }
}

/**
 * Greenwood's type of variance: multinomial increments of all causes carried forward (Andersen, Borgan, Gill and
 * Keiding 1993, section IV.4). Written in running sums, since each later time weighs each earlier one by how much
 * incidence has grown between them.
 */
export function greenwoodIncidenceVariance(
  risk: RiskSet,
  stratum: number,
  columns: IncidenceColumns,
  ending: readonly number[],
): Float64Array {
  const from = risk.start[stratum]!
  const { incidence, free } = columns
  const variance = new Float64Array(incidence.length)
  const own = new QuadraticSum()
  for (let at = 0; at < incidence.length; at++) {
    const atRisk = risk.atRisk[from + at]!
    const all = cellEvents(risk, from + at, ending)
    const events = cellEvents(risk, from + at, [columns.cause]).weight
    const before = free.survivalBefore[at]!
    // (d/n(n−d))·x² − 2·(S d_k/n²)·x + S² d_k(n − d_k)/n³, with x the growth of incidence since
    own.add(
      all.all || all.weight === 0 ? 0 : all.weight / (atRisk * (atRisk - all.weight)),
      (-before * events) / (atRisk * atRisk),
      (before * before * events * (atRisk - events)) / (atRisk * atRisk * atRisk),
      incidence[at]!,
    )
    variance[at] = own.at(incidence[at]!)
  }
  return variance
}

/** Aalen's (1978) variance by the delta method, with the correction for ties of Gray (1988), own and other causes apart. */
export function aalenIncidenceVariance(
  risk: RiskSet,
  stratum: number,
  columns: IncidenceColumns,
  ending: readonly number[],
): Float64Array {
  const from = risk.start[stratum]!
  const { incidence, free, cause } = columns
  const others = ending.filter((one) => one !== cause)
  const variance = new Float64Array(incidence.length)
  const sum = new QuadraticSum()
  for (let at = 0; at < incidence.length; at++) {
    const atRisk = risk.atRisk[from + at]!
    const after = free.survival[at]!
    const unit = (events: number): number => {
      const tied = events > 1 ? 1 - (events - 1) / (atRisk - 1) : 1
      return (free.survivalBefore[at]! ** 2 * tied * events) / (atRisk * atRisk)
    }
    const own = unit(cellEvents(risk, from + at, [cause]).weight)
    const other = unit(cellEvents(risk, from + at, others).weight)
    // own events move it by 1 − x/S, others by −x/S; where S has reached zero x stays zero
    const scale = after > 0 ? 1 / after : 0
    sum.add((own + other) * scale * scale, -own * scale, own, incidence[at]!)
    variance[at] = sum.at(incidence[at]!)
  }
  return variance
}

/** Running sum of a·x² + 2·b·x + c, x being how far the incidence has grown since each term was added. */
class QuadraticSum {
  #a = 0
  #aF = 0
  #aFF = 0
  #b = 0
  #bF = 0
  #c = 0

  add(a: number, b: number, c: number, incidence: number): void {
    this.#a += a
    this.#aF += a * incidence
    this.#aFF += a * incidence * incidence
    this.#b += b
    this.#bF += b * incidence
    this.#c += c
  }

  at(incidence: number): number {
    const squared = this.#a * incidence * incidence - 2 * this.#aF * incidence + this.#aFF
    return Math.max(0, squared + 2 * (this.#b * incidence - this.#bF) + this.#c)
  }
}

/**
 * How rows move the cumulative incidence: through survival free of all causes, and through the share that the cause
 * takes of those at risk. Also serves counts of a cause that does not end follow-up: `ending` then leaves it out.
 */
export function incidenceInfluence(
  risk: RiskSet,
  stratum: number,
  columns: IncidenceColumns,
  ending: readonly number[],
): InfluenceProcess {
  const from = risk.start[stratum]!
  const { incidence, free, cause } = columns
  const cells = incidence.length
  const hazard = new Float64Array(cells)
  const carried = new Float64Array(cells)
  const leaves = new Float64Array(cells)
  const leavesCarried = new Float64Array(cells)
  const ownCarried = new Float64Array(cells)
  let sum = 0
  let sumCarried = 0
  for (let at = 0; at < cells; at++) {
    const atRisk = risk.atRisk[from + at]!
    const { weight, all } = cellEvents(risk, from + at, ending)
    if (!all && weight > 0) {
      const term = weight / (atRisk * (atRisk - weight))
      sum += term
      sumCarried += incidence[at]! * term
      leaves[at] = -1 / (atRisk - weight)
      leavesCarried[at] = incidence[at]! / (atRisk - weight)
    }
    const events = cellEvents(risk, from + at, [cause]).weight
    sumCarried += (free.survivalBefore[at]! * events) / (atRisk * atRisk)
    ownCarried[at] = free.survivalBefore[at]! / atRisk
    hazard[at] = sum
    carried[at] = -sumCarried
  }
  const none = new Float64Array(cells)
  const jump: Float64Array[][] = [[]]
  for (let k = 1; k <= risk.causes; k++) {
    const ends = ending.includes(k)
    const own = k === cause
    const second = leavesCarried.map((value, at) => (ends ? value : 0) + (own ? ownCarried[at]! : 0))
    jump[k] = [ends ? leaves : none, second]
  }
  return { cumulative: [hazard, carried], loading: [incidence, new Float64Array(cells).fill(1)], jump }
}
