import type { CoxDesign } from './coxDesign.js'

/** Number of sums kept per risk set: of the risk, of risk times covariates, of risk times their products. */
export function sumCount(size: number, order: 0 | 1 | 2): number {
  return 1 + (order > 0 ? size : 0) + (order > 1 ? (size * (size + 1)) / 2 : 0)
}

/** Position of the product of covariates a ≥ b among the sums. */
export function productPosition(size: number, a: number, b: number): number {
  return 1 + size + (a * (a + 1)) / 2 + b
}

/**
 * Fills `risk` with weight · exp(linear predictor − shift) of every place, and returns the shift, the largest linear
 * predictor, so that nothing overflows.
 */
export function fillRisk(
  design: CoxDesign,
  coefficients: Float64Array,
  predictor: Float64Array,
  risk: Float64Array,
  weight: Float64Array | undefined,
): number {
  const { size, x, offset } = design
  const places = predictor.length
  let shift = Number.NEGATIVE_INFINITY
  for (let place = 0, at = 0; place < places; place++) {
    let sum = offset === undefined ? 0 : offset[place]!
    for (let j = 0; j < size; j++, at++) sum += coefficients[j]! * x[at]!
    predictor[place] = sum
    if (sum > shift) shift = sum
  }
  if (weight === undefined)
    for (let place = 0; place < places; place++) risk[place] = Math.exp(predictor[place]! - shift)
  else
    for (let place = 0; place < places; place++)
      risk[place] = weight[place]! * Math.exp(predictor[place]! - shift)
  return shift
}

/** Adds one place to the sums, or takes it away with a negative risk. */
function addPlace(
  sums: Float64Array,
  x: Float64Array,
  start: number,
  size: number,
  risk: number,
  order: number,
): void {
  sums[0]! += risk
  if (order === 0) return
  let at = 1 + size
  for (let a = 0; a < size; a++) {
    const scaled = risk * x[start + a]!
    sums[1 + a]! += scaled
    if (order === 1) continue
    for (let b = 0; b <= a; b++) sums[at++]! += scaled * x[start + b]!
  }
}

/**
 * Walks the event times of every stratum from the last to the first and hands `visit` the sums over the risk set and
 * over those who have the event, of risk, risk · x and risk · x xᵀ (lower triangle). The arrays are reused: copy what
 * is kept.
 */
export function walkRiskSets(
  design: CoxDesign,
  x: Float64Array,
  size: number,
  risk: Float64Array,
  order: 0 | 1 | 2,
  visit: (eventTime: number, atRisk: Float64Array, withEvent: Float64Array) => void,
): void {
  const { eventTime, stratumOfEventTime, bucketStart, eventEnd, entry, entryStart } = design.order
  const atRisk = new Float64Array(sumCount(size, order))
  const withEvent = new Float64Array(atRisk.length)
  const last = eventTime.length - 1
  let placesAtRisk = 0
  for (let k = last; k >= 0; k--) {
    if (k < last) {
      if (stratumOfEventTime[k] !== stratumOfEventTime[k + 1]) placesAtRisk = 0
      else {
        for (let i = entryStart[k + 1]!; i < entryStart[k + 2]!; i++) {
          addPlace(atRisk, x, entry[i]! * size, size, -risk[entry[i]!]!, order)
          placesAtRisk--
        }
      }
      // An empty risk set starts from a clean zero, so that rounding left by entries does not pile up.
      if (placesAtRisk === 0) atRisk.fill(0)
    }
    withEvent.fill(0)
    const from = bucketStart[k]!
    const events = eventEnd[k]!
    const to = bucketStart[k + 1]!
    for (let place = from; place < events; place++)
      addPlace(withEvent, x, place * size, size, risk[place]!, order)
    for (let place = events; place < to; place++) addPlace(atRisk, x, place * size, size, risk[place]!, order)
    for (let i = 0; i < atRisk.length; i++) atRisk[i]! += withEvent[i]!
    placesAtRisk += to - from
    visit(k, atRisk, withEvent)
  }
}
