import {
  notEstimable,
  type PlainReason,
  type Quantity,
  quantityOf,
  type TestResult,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, codesOf } from '../kernel/codes.js'
import { chiSquareUpperTail, fUpperTail } from '../numeric/distributions.js'
import { choleskyFactor, solveFactored } from '../numeric/matrix.js'
import type { Covariates, DesignOptions } from '../regression/design.js'
import { type CoxDesign, prepareCox } from './coxDesign.js'
import { estimableDesign } from './coxFit.js'
import type { Ties } from './coxLikelihood.js'
import { type ClusterCodes, clusterScores, outerProducts } from './coxRobust.js'
import type { RowOptions, TimesAtRisk } from './timesAtRisk.js'

/** Which reference distribution a cluster-robust answer takes where clusters are fewer than 30. */
export type FewClusters = 'student-t' | 'normal'

/** Clusters below which Student's t (F for several covariates) stands in for the normal (chi-square). */
export const fewClustersBelow = 30

/** Sizes and notes that every test of a fit carries. */
export interface TestFrame {
  readonly n: number
  readonly events: number
  readonly clusters: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** Clusters of rows with positive weight. */
export function clusterCodes(
  cluster: CodeColumn,
  weight: Float64Array | undefined,
): ClusterCodes & { readonly present: number } {
  const { codes, levels } = codesOf('cluster', cluster)
  if (weight === undefined) return { codes, count: levels.length, present: levels.length }
  const seen = new Uint8Array(levels.length)
  for (let row = 0; row < codes.length; row++) if (weight[row]! > 0) seen[codes[row]!] = 1
  return { codes, count: levels.length, present: seen.reduce((sum, one) => sum + one, 0) }
}

/** Denominator degrees of freedom of a robust answer, undefined where the normal stands. */
export function clusterDegreesOfFreedom(clusters: number, fewClusters: FewClusters): number | undefined {
  return fewClusters === 'student-t' && clusters < fewClustersBelow ? clusters - 1 : undefined
}

/** What a robust answer from few clusters says of itself. */
export function fewClustersWarning(clusters: number): Warning {
  return warning('few-clusters-in-tests', { clusters, degreesOfFreedom: clusters - 1 })
}

/** A chi-square statistic as a test; refers to F where denominator degrees of freedom are given. */
export function chiSquareTest(
  statistic: Quantity,
  degreesOfFreedom: number,
  method: MethodName,
  frame: TestFrame,
  denominator?: number,
): TestResult {
  const pValue =
    typeof statistic !== 'number'
      ? statistic
      : denominator === undefined
        ? chiSquareUpperTail(statistic, degreesOfFreedom)
        : fUpperTail(statistic / degreesOfFreedom, degreesOfFreedom, denominator)
  return deepFreeze({ statistic, degreesOfFreedom, pValue, method, ...frame })
}

/** Quadratic form uᵀ A⁻¹ u, or the reason why there is none. */
export function inverseQuadraticForm(
  matrix: Float64Array,
  vector: Float64Array,
  reason: PlainReason,
): Quantity {
  const factor = choleskyFactor(matrix, vector.length, 1e-10)
  if (vector.length === 0 || factor.dependent.length > 0) return notEstimable(reason)
  const solved = solveFactored(factor, vector)
  return quantityOf(
    solved.reduce((sum, one, j) => sum + one * vector[j]!, 0),
    reason,
  )
}

/** Robust score statistic of all covariates at zero. */
export function robustScoreStatistic(
  design: CoxDesign,
  ties: Ties,
  clusters: ClusterCodes | undefined,
): Quantity {
  if (design.size === 0) return notEstimable('no-covariate-varies-at-risk')
  const zero = new Float64Array(design.size)
  const scores = clusterScores(design, { ties: ties === 'breslow' ? 'breslow' : 'efron' }, zero, clusters)
  const total = new Float64Array(design.size)
  for (let i = 0; i < scores.length; i++) total[i % design.size]! += scores[i]!
  return inverseQuadraticForm(outerProducts(scores, design.size), total, 'clusters-too-few-for-scores')
}

const scoreTestMethod: MethodName = methodOf('score-test-of-the-cox-model-with-variance-summed-over-clusters')

/** Options of the robust score test. */
export interface RobustScoreOptions extends RowOptions, DesignOptions {
  /** Default `efron`. */
  readonly ties?: 'efron' | 'breslow'
  /** Reference below 30 clusters; default `student-t`: F with clusters − 1 denominator degrees of freedom. */
  readonly fewClusters?: FewClusters
}

/**
 * Tests whether hazards differ by the covariates, with the variance of the score summed over clusters (Lin and Wei
 * 1989; Lee, Wei and Amato 1992). With one group as the only covariate it is the two-curve test for clustered data:
 * the log-rank test whose variance allows for likeness within clusters.
 *
 * @param times time at risk and event (0 or 1) of every row
 * @param covariates columns by name; texts are categories
 * @param cluster label of the cluster of every row
 * @param options strata, weights, offset, interactions and baselines; ties default `efron`; fewClusters default
 *   `student-t`
 * @returns chi-square statistic with one degree of freedom per covariate; `not-estimable` with fewer than 2 clusters
 *   or where no covariate varies within a risk set
 * @throws NumericalError as `coxRegression`
 * @example robustScoreTest({ time: [1, 2, 3, 4], event: [1, 1, 1, 0] }, { x: [1, 0, 1, 0] }, [1, 2, 3, 4]).statistic // => 1.1228
 */
export const robustScoreTest = checked(
  'robustScoreTest',
  (
    times: TimesAtRisk,
    covariates: Covariates,
    cluster: CodeColumn,
    options: RobustScoreOptions = {},
  ): TestResult => {
    const { ties = 'efron', fewClusters = 'student-t' } = options
    const design = prepareCox(times, covariates, options, { clusters: cluster })
    const coded = clusterCodes(cluster, design.rows.weight)
    const atZero = estimableDesign(design, ties)
    const statistic =
      coded.present < 2 ? notEstimable('one-cluster') : robustScoreStatistic(atZero, ties, coded)
    const denominator = clusterDegreesOfFreedom(coded.present, fewClusters)
    return chiSquareTest(
      statistic,
      atZero.size,
      scoreTestMethod,
      {
        n: design.rows.n,
        events: design.rows.events,
        clusters: coded.present,
        warnings: denominator === undefined ? [] : [fewClustersWarning(coded.present)],
        reference: 'patient-robust-cox',
      },
      denominator,
    )
  },
)
