import { notEstimable, type Quantity, type TestResult, warning } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { choleskyFactor, solveFactored } from '../numeric/matrix.js'
import { type Covariates, isCategory } from '../regression/design.js'
import type { CoxDesign } from './coxDesign.js'
import { prepareCox } from './coxDesign.js'
import { type CoxCore, fitCore } from './coxFit.js'
import { partialLikelihood } from './coxLikelihood.js'
import type { CoxOptions } from './coxOptions.js'
import { chiSquareTest, type TestFrame } from './coxTests.js'
import type { TimesAtRisk } from './timesAtRisk.js'
import { type TimeTransform, transformedTimes } from './timeTransform.js'

/** One covariate's test of proportional hazards. */
export interface NamedTest extends TestResult {
  readonly name: string
}

/** Tests of proportional hazards. */
export interface ProportionalHazardsTest {
  readonly transform: TimeTransform
  /** One test with one degree of freedom per column of the design. */
  readonly covariates: readonly NamedTest[]
  /** One test per category with more than one contrast, all its contrasts together. */
  readonly categories: readonly NamedTest[]
  /** All columns together. */
  readonly global: TestResult
}

/** Options of the test of proportional hazards. */
export interface ProportionalHazardsOptions extends CoxOptions {
  /** Function of time with which a log hazard ratio might change; default `product-limit`. */
  readonly transform?: TimeTransform
}

/**
 * Tests whether hazard ratios change with time: the score test of an interaction of each covariate with a function of
 * time (Grambsch and Therneau 1994, as a score test with the information of each event time).
 *
 * @param options.transform `product-limit` (default: one less the product-limit estimate just before), `rank`,
 *   `identity` or `log`; the rest as
 *   `coxRegression`, but ties `exact` are taken as `efron`. Rows of one cluster count as independent here, with a warning
 * @returns chi-square tests; `not-estimable` where a covariate has no estimate or events are too few
 * @throws NumericalError as `coxRegression`, and `log-of-zero` where an event at time 0 meets `log`
 * @example proportionalHazardsTest({ time: [1, 2, 3, 4, 5, 6], event: [1, 1, 1, 1, 1, 0] }, { x: [1, 0, 1, 0, 0, 1] }).global.degreesOfFreedom // => 1
 */
export const proportionalHazardsTest = checked(
  'proportionalHazardsTest',
  (
    times: TimesAtRisk,
    covariates: Covariates,
    options: ProportionalHazardsOptions = {},
  ): ProportionalHazardsTest => {
    const { transform = 'product-limit' } = options
    const ties = options.ties === 'breslow' ? 'breslow' : 'efron'
    const design = prepareCox(times, covariates, options, { clusters: options.cluster })
    const core = fitCore(design, ties)
    const parts = interactionParts(core, ties, transformedTimes(design, transform))
    const repeated = options.cluster !== undefined
    const frame: TestFrame = {
      n: design.rows.n,
      events: design.rows.events,
      clusters: design.rows.n,
      warnings: repeated ? [warning('test-takes-rows-as-independent')] : [],
      reference: 'proportional-hazards',
    }
    const method = methodOf('score-test', `time-by-${transform}`)
    const tested = (columns: readonly number[]): TestResult =>
      chiSquareTest(statisticOf(core, parts, columns), columns.length, method, frame)
    return deepFreeze({
      transform,
      covariates: design.names.map((name, j) => ({ name, ...tested([j]) })),
      categories: Object.entries(covariates)
        .filter(([, column]) => isCategory(column))
        .map(([name]) => ({ name, columns: columnsOfCategory(design, name) }))
        .filter(({ columns }) => columns.length > 1)
        .map(({ name, columns }) => ({ name, ...tested(columns) })),
      global: tested(design.names.map((_, j) => j)),
    })
  },
)

/** Score of the interactions with time, and information of main effects, of both, and of the interactions. */
interface InteractionParts {
  readonly score: Float64Array
  readonly main: Float64Array
  readonly cross: Float64Array
  readonly interaction: Float64Array
}

/** Score and information at the fit, event time by event time, with each one's function of time. */
function interactionParts(
  core: CoxCore,
  ties: 'efron' | 'breslow',
  transformed: Float64Array,
): InteractionParts {
  const { size } = core.design
  const score = new Float64Array(size)
  const main = new Float64Array(size * size)
  const cross = new Float64Array(size * size)
  const interaction = new Float64Array(size * size)
  partialLikelihood(core.design, { ties }, (k, gradient, information) => {
    const g = transformed[k]!
    for (let a = 0; a < size; a++) {
      score[a]! += g * gradient[a]!
      for (let b = 0; b < size; b++) {
        const value = information[a >= b ? (a * (a + 1)) / 2 + b : (b * (b + 1)) / 2 + a]!
        main[a * size + b]! += value
        cross[a * size + b]! += g * value
        interaction[a * size + b]! += g * g * value
      }
    }
  })(core.coefficients)
  return { score, main, cross, interaction }
}

/** Score statistic of the interactions of some columns with time, main effects of all columns kept at their fit. */
function statisticOf(core: CoxCore, parts: InteractionParts, asked: readonly number[]): Quantity {
  const columns = asked.map((column) => core.fitted.indexOf(column))
  if (columns.length === 0 || columns.some((column) => column < 0 || core.monotone[column])) {
    return notEstimable('covariate-without-log-ratio')
  }
  const { size } = core.design
  const width = size + columns.length
  const information = new Float64Array(width * width)
  const score = new Float64Array(width)
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < size; b++) information[a * width + b] = parts.main[a * size + b]!
    columns.forEach((column, i) => {
      const value = parts.cross[a * size + column]!
      information[a * width + size + i] = value
      information[(size + i) * width + a] = value
    })
  }
  columns.forEach((a, i) => {
    score[size + i] = parts.score[a]!
    columns.forEach((b, j) => {
      information[(size + i) * width + size + j] = parts.interaction[a * size + b]!
    })
  })
  const factor = choleskyFactor(information, width, 1e-10)
  if (factor.dependent.length > 0) return notEstimable('events-too-few-for-change')
  return solveFactored(factor, score).reduce((sum, one, j) => sum + one * score[j]!, 0)
}

function columnsOfCategory(design: CoxDesign, name: string): readonly number[] {
  return design.names
    .map((_, j) => j)
    .filter((j) => design.names[j]!.startsWith(`${name}=`) && !design.names[j]!.includes(':'))
}
