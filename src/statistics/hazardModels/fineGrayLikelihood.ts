import type { LikelihoodPoint } from '../numeric/optimise.js'
import { addOuterProduct, mirrorUpper } from '../regression/standardise.js'
import type { FineGrayDesign } from './fineGrayDesign.js'

/** Tied events of interest: all against one risk set (Breslow), or leaving it one by one on average (Efron). */
export type FineGrayTies = 'breslow' | 'efron'

/** Sums over the weighted risk set at a coefficient vector, one entry (or one row of `size`) per cell. */
export interface FineGraySums {
  /** exp(linear predictor) of each row, times its case weight. */
  readonly risk: Float64Array
  /** Sums over competing events before the cell of risk over the probability of being uncensored. */
  readonly carried: Float64Array
  readonly carriedX: Float64Array
  /** Increment of the baseline subdistribution hazard, and of hazard times mean covariate. */
  readonly hazard: Float64Array
  readonly hazardMean: Float64Array
  /** The same as the tied events themselves are exposed to it (less, under Efron). */
  readonly eventHazard: Float64Array
  readonly eventHazardMean: Float64Array
  /** Mean covariate that an event of the cell is set against. */
  readonly mean: Float64Array
  readonly logLikelihood: number
  /** Sum of outer products of the mean covariates, upper triangle. */
  readonly meanProducts: Float64Array
}

/** Log partial likelihood of the subdistribution hazard (Fine and Gray 1999) at scaled coefficients. */
export function fineGrayLikelihood(
  design: FineGrayDesign,
  ties: FineGrayTies,
): (coefficients: Float64Array) => LikelihoodPoint {
  return (coefficients) => {
    const sums = fineGraySums(design, ties, coefficients)
    const { size, x, outcome } = design
    const expected = expectedEvents(design, sums)
    const gradient = new Float64Array(size)
    const information = new Float64Array(size * size)
    for (let place = 0; place < design.rows; place++) {
      const left = (outcome[place] === 1 ? (design.weight?.[place] ?? 1) : 0) - expected[place]!
      for (let j = 0; j < size; j++) gradient[j]! += left * x[place * size + j]!
      addOuterProduct(information, x, place * size, size, expected[place]!)
    }
    for (let at = 0; at < information.length; at++) information[at]! -= sums.meanProducts[at]!
    return { value: sums.logLikelihood, gradient, information: mirrorUpper(information, size) }
  }
}

/** Events that each row could expect: its risk over the hazard it was exposed to, weighted after a competing event. */
function expectedEvents(design: FineGrayDesign, sums: FineGraySums): Float64Array {
  const { cells, cell, outcome, uncensoredBefore } = design
  const before = new Float64Array(cells + 1)
  const weightedBefore = new Float64Array(cells + 1)
  for (let c = 0; c < cells; c++) {
    before[c + 1] = before[c]! + sums.hazard[c]!
    weightedBefore[c + 1] = weightedBefore[c]! + uncensoredBefore[c]! * sums.hazard[c]!
  }
  const expected = new Float64Array(design.rows)
  for (let place = 0; place < design.rows; place++) {
    const c = cell[place]!
    let exposure = before[c + 1]!
    if (outcome[place] === 1) exposure = before[c]! + sums.eventHazard[c]!
    if (design.entryCell !== undefined) exposure -= before[design.entryCell[place]!]!
    if (outcome[place] === 2)
      exposure += (weightedBefore[cells]! - weightedBefore[c + 1]!) / uncensoredBefore[c]!
    expected[place] = sums.risk[place]! * exposure
  }
  return expected
}

/** Sums over the weighted risk sets, in one pass from each end of time. */
export function fineGraySums(
  design: FineGrayDesign,
  ties: FineGrayTies,
  coefficients: Float64Array,
): FineGraySums {
  const { rows, size, cells } = design
  const { risk, shift, predictorOfEvents } = risksOf(design, coefficients)
  const perCell = (): Float64Array => new Float64Array(cells * size)
  const sums = {
    risk,
    carried: new Float64Array(cells),
    carriedX: perCell(),
    hazard: new Float64Array(cells),
    hazardMean: perCell(),
    eventHazard: new Float64Array(cells),
    eventHazardMean: perCell(),
    mean: perCell(),
    logLikelihood: predictorOfEvents,
    meanProducts: new Float64Array(size * size),
  }
  carryCompeting(design, sums)
  const totals = { total: 0, totalX: new Float64Array(size) }
  let place = rows - 1
  for (let c = cells - 1; c >= 0; c--) {
    let tied = 0
    const tiedX = new Float64Array(design.events[c]! > 0 ? size : 0)
    for (; place >= design.offset[c]!; place--) {
      const own = risk[place]!
      totals.total += own
      const isEvent = design.outcome[place] === 1
      if (isEvent) tied += own
      for (let j = 0; j < size; j++) {
        const value = own * design.x[place * size + j]!
        totals.totalX[j]! += value
        if (isEvent) tiedX[j]! += value
      }
    }
    if (design.entering !== undefined) leaveBeforeEntry(design, risk, c + 1, totals)
    if (design.events[c]! > 0) {
      sums.logLikelihood -= addEventCell(design, ties, sums, c, { ...totals, tied, tiedX }, shift)
    }
  }
  return sums
}

/** Takes off the rows that are at risk only from a cell on. */
function leaveBeforeEntry(
  { entering, size, x }: FineGrayDesign,
  risk: Float64Array,
  cell: number,
  totals: { total: number; readonly totalX: Float64Array },
): void {
  if (entering === undefined || cell + 1 >= entering.offset.length) return
  for (let at = entering.offset[cell]!; at < entering.offset[cell + 1]!; at++) {
    const place = entering.order[at]!
    totals.total -= risk[place]!
    for (let j = 0; j < size; j++) totals.totalX[j]! -= risk[place]! * x[place * size + j]!
  }
}

function risksOf(
  design: FineGrayDesign,
  coefficients: Float64Array,
): { readonly risk: Float64Array; readonly shift: number; readonly predictorOfEvents: number } {
  const { rows, size, x, outcome, weight } = design
  const risk = new Float64Array(rows)
  let shift = Number.NEGATIVE_INFINITY
  let predictorOfEvents = 0
  for (let place = 0; place < rows; place++) {
    let predictor = 0
    for (let j = 0; j < size; j++) predictor += coefficients[j]! * x[place * size + j]!
    risk[place] = predictor
    if (predictor > shift) shift = predictor
    if (outcome[place] === 1) predictorOfEvents += (weight?.[place] ?? 1) * predictor
  }
  for (let place = 0; place < rows; place++) {
    risk[place] = (weight?.[place] ?? 1) * Math.exp(risk[place]! - shift)
  }
  return { risk, shift, predictorOfEvents }
}

/** Competing events stay in later risk sets, with the weight of still being uncensored. */
function carryCompeting(
  design: FineGrayDesign,
  sums: { readonly risk: Float64Array; readonly carried: Float64Array; readonly carriedX: Float64Array },
): void {
  const { cells, size, offset, outcome, x, uncensoredBefore } = design
  let total = 0
  const totalX = new Float64Array(size)
  for (let c = 0; c < cells; c++) {
    sums.carried[c] = total
    sums.carriedX.set(totalX, c * size)
    for (let place = offset[c]!; place < offset[c + 1]!; place++) {
      if (outcome[place] !== 2) continue
      const own = sums.risk[place]! / uncensoredBefore[c]!
      total += own
      for (let j = 0; j < size; j++) totalX[j]! += own * x[place * size + j]!
    }
  }
}

interface RiskTotals {
  readonly total: number
  readonly totalX: Float64Array
  readonly tied: number
  readonly tiedX: Float64Array
}

/** Adds the tied events of one cell; gives the sum of the logarithms of their risk sets. */
function addEventCell(
  design: FineGrayDesign,
  ties: FineGrayTies,
  sums: Omit<FineGraySums, 'logLikelihood'>,
  c: number,
  { total, totalX, tied, tiedX }: RiskTotals,
  shift: number,
): number {
  const { size } = design
  const events = design.events[c]!
  const weight = design.uncensoredBefore[c]!
  const parts = ties === 'efron' ? events : 1
  const each = events / parts
  const mean = new Float64Array(size)
  let logarithms = 0
  for (let k = 0; k < parts; k++) {
    const gone = k / events
    const whole = total + weight * sums.carried[c]! - gone * tied
    const hazard = each / whole
    logarithms += each * (Math.log(whole) + shift)
    sums.hazard[c]! += hazard
    sums.eventHazard[c]! += (1 - gone) * hazard
    for (let j = 0; j < size; j++) {
      const own = (totalX[j]! + weight * sums.carriedX[c * size + j]! - gone * tiedX[j]!) / whole
      mean[j] = own
      sums.mean[c * size + j]! += own / parts
      sums.hazardMean[c * size + j]! += hazard * own
      sums.eventHazardMean[c * size + j]! += (1 - gone) * hazard * own
    }
    addOuterProduct(sums.meanProducts, mean, 0, size, each)
  }
  return logarithms
}
