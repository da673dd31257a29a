import type { CheckedIntervals } from '../intervalTimes.js'
import { choleskyFactor } from '../numeric/matrix.js'
import type { LikelihoodPoint } from '../numeric/optimise.js'
import { fillIntervalTerms, type IntervalTerms, type LifetimeFamily } from './lifetimeFamily.js'
import { addOuterProduct, mirrorUpper, type StandardisedDesign } from './standardise.js'

/** Log-likelihood of an accelerated failure time model; parameters are coefficients and then, unless fixed, log scale. */
export interface ParametricLikelihood {
  evaluate(parameters: Float64Array): LikelihoodPoint
  /** Scores of every row, row-major, weights included. */
  scores(parameters: Float64Array): Float64Array
}

/** The likelihood of checked intervals, ends taken as logarithms of time (Kalbfleisch and Prentice 2002, chapter 3). */
export function parametricLikelihood(
  rows: CheckedIntervals,
  design: StandardisedDesign,
  family: LifetimeFamily,
  scaleFixed: boolean,
): ParametricLikelihood {
  const from = rows.lower.map((time) => Math.log(time))
  const to = rows.upper.map((time) => Math.log(time))
  const size = design.width + (scaleFixed ? 0 : 1)
  const pass = (parameters: Float64Array, visit: RowVisitor): void =>
    walkRows(rows, design, family, scaleFixed, from, to, parameters, visit)
  return {
    evaluate(parameters) {
      let value = 0
      const gradient = new Float64Array(size)
      const curvature = new Float64Array(size * size)
      const outer = new Float64Array(size * size)
      const row = new Float64Array(size)
      pass(parameters, (part) => {
        value += part.weight * part.value
        fillScore(row, design, part, scaleFixed)
        for (let j = 0; j < size; j++) gradient[j]! += part.weight * row[j]!
        addOuterProduct(outer, row, 0, size, part.weight)
        addCurvature(curvature, design, part, scaleFixed, size)
      })
      const information = mirrorUpper(curvature, size)
      // Far from the maximum the likelihood may not be concave; the outer products then point uphill.
      const definite = choleskyFactor(information, size).dependent.length === 0
      return {
        value: Number.isFinite(value) ? value : Number.NEGATIVE_INFINITY,
        gradient,
        information: definite ? information : mirrorUpper(outer, size),
      }
    },
    scores(parameters) {
      const scores = new Float64Array(rows.rows * size)
      const row = new Float64Array(size)
      pass(parameters, (part) => {
        fillScore(row, design, part, scaleFixed)
        for (let j = 0; j < size; j++) scores[part.row * size + j] = part.weight * row[j]!
      })
      return scores
    },
  }
}

/** One row: its likelihood, and derivatives in the linear predictor and the log scale. */
interface RowPart {
  row: number
  weight: number
  value: number
  predictor: number
  logScale: number
  predictorPredictor: number
  predictorLogScale: number
  logScaleLogScale: number
}

type RowVisitor = (part: RowPart) => void

function walkRows(
  rows: CheckedIntervals,
  design: StandardisedDesign,
  family: LifetimeFamily,
  scaleFixed: boolean,
  from: Float64Array,
  to: Float64Array,
  parameters: Float64Array,
  visit: RowVisitor,
): void {
  const { width, values } = design
  const scale = scaleFixed ? 1 : Math.exp(parameters[width]!)
  const terms: IntervalTerms = { value: 0, lower: 0, upper: 0, lowerLower: 0, upperUpper: 0, lowerUpper: 0 }
  const part: RowPart = {
    row: 0,
    weight: 1,
    value: 0,
    predictor: 0,
    logScale: 0,
    predictorPredictor: 0,
    predictorLogScale: 0,
    logScaleLogScale: 0,
  }
  for (let row = 0; row < rows.rows; row++) {
    part.weight = rows.weight === undefined ? 1 : rows.weight[row]!
    if (part.weight === 0) continue
    let predictor = 0
    for (let j = 0; j < width; j++) predictor += parameters[j]! * values[row * width + j]!
    const known = from[row] === to[row]
    const low = (from[row]! - predictor) / scale
    const high = known ? low : (to[row]! - predictor) / scale
    fillIntervalTerms(family, low, high, terms)
    part.row = row
    part.value = terms.value - (known ? Math.log(scale) + from[row]! : 0)
    fillRowPart(part, terms, low, high, scale, known)
    visit(part)
  }
}

/** Chain rule from the ends w = (log t − predictor) / scale. Infinite ends carry no derivative. */
function fillRowPart(
  part: RowPart,
  terms: IntervalTerms,
  low: number,
  high: number,
  scale: number,
  known: boolean,
): void {
  const a = Number.isFinite(low) ? low : 0
  const b = Number.isFinite(high) ? high : 0
  const slope = a * terms.lower + b * terms.upper
  const second = terms.lowerLower + 2 * terms.lowerUpper + terms.upperUpper
  const mixed = a * (terms.lowerLower + terms.lowerUpper) + b * (terms.upperUpper + terms.lowerUpper)
  part.predictor = -(terms.lower + terms.upper) / scale
  part.logScale = -slope - (known ? 1 : 0)
  part.predictorPredictor = second / (scale * scale)
  part.predictorLogScale = (mixed + terms.lower + terms.upper) / scale
  part.logScaleLogScale =
    a * a * terms.lowerLower + 2 * a * b * terms.lowerUpper + b * b * terms.upperUpper + slope
}

function fillScore(
  score: Float64Array,
  design: StandardisedDesign,
  part: RowPart,
  scaleFixed: boolean,
): void {
  const { width, values } = design
  for (let j = 0; j < width; j++) score[j] = part.predictor * values[part.row * width + j]!
  if (!scaleFixed) score[width] = part.logScale
}

/** Takes the second derivatives of one row from the upper triangle of the information. */
function addCurvature(
  information: Float64Array,
  design: StandardisedDesign,
  part: RowPart,
  scaleFixed: boolean,
  size: number,
): void {
  const { width, values } = design
  const start = part.row * width
  for (let i = 0; i < width; i++) {
    const scaled = -part.weight * part.predictorPredictor * values[start + i]!
    for (let j = i; j < width; j++) information[i * size + j]! += scaled * values[start + j]!
    if (!scaleFixed)
      information[i * size + width]! -= part.weight * part.predictorLogScale * values[start + i]!
  }
  if (!scaleFixed) information[width * size + width]! -= part.weight * part.logScaleLogScale
}
