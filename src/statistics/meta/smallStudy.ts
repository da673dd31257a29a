import type { Interval } from '../../core/estimate.js'
import {
  notEstimable,
  type PlainReason,
  type Quantity,
  type TestResult,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireLevel } from '../numeric/columns.js'
import { studentTQuantile, studentTUpperTail } from '../numeric/distributions.js'
import { around } from './pooledEffect.js'
import { interceptDesign, weightedFit } from './weightedFit.js'

/** Whether small studies show other effects than large ones. */
export interface SmallStudyTest extends TestResult {
  /** Change in effect per unit of standard error. */
  readonly slope: Quantity
  readonly slopeInterval: Interval
  /** Effect extrapolated to a study without sampling error. */
  readonly limitEffect: Quantity
  readonly level: number
}

/**
 * Egger's test (1997): the effects regressed on their standard errors with inverse-variance weights and a scale
 * estimated from the residuals; t with k − 2 degrees of freedom.
 *
 * A small P value says that small studies differ from large ones, for whatever cause; it does not show that studies
 * are missing. Fewer than three studies, or equal standard errors: not estimable. Below ten studies it has little
 * power, and a warning says so.
 *
 * @param effects one effect per study
 * @param variances their squared standard errors, above 0
 * @param options.level default 0.95
 * @throws NumericalError `no-studies`, `unequal-length`, `not-finite`, `variance-not-positive`
 * @example smallStudyTest([0.1, 0.3, 0.2, 0.8], [0.01, 0.04, 0.09, 0.16]).statistic // => 2.3947
 */
export const smallStudyTest = checked(
  'smallStudyTest',
  (
    effects: NumberColumn,
    variances: NumberColumn,
    options: { readonly level?: number } = {},
  ): SmallStudyTest => {
    const { level = 0.95 } = options
    requireLevel(level)
    const base = interceptDesign(effects, variances)
    const { k } = base
    const warnings: Warning[] = k < 10 ? [warning('few-studies-for-test', { studies: k })] : []
    const fields = {
      method: methodOf('regression-of-effect-on-standard-error-egger'),
      n: k,
      events: 0,
      clusters: k,
      level,
      warnings: Object.freeze(warnings),
      reference: 'small-study',
    }
    const absent = (reason: PlainReason): SmallStudyTest => {
      const none = notEstimable(reason)
      const slopeInterval = Object.freeze({ lower: none, upper: none })
      const answers = {
        statistic: none,
        degreesOfFreedom: none,
        pValue: none,
        slope: none,
        limitEffect: none,
      }
      return Object.freeze({ ...answers, slopeInterval, ...fields })
    }
    if (k < 3) return absent('fewer-than-three-studies')
    const design = new Float64Array(2 * k)
    for (let i = 0; i < k; i++) {
      design[2 * i] = 1
      design[2 * i + 1] = Math.sqrt(base.variances[i]!)
    }
    const fit = weightedFit({ ...base, p: 2, design }, 0)
    if (fit.factor.dependent.length > 0) return absent('studies-of-one-precision')
    const degreesOfFreedom = k - 2
    const scale = fit.q / degreesOfFreedom
    const slope = fit.coefficients[1]!
    const standardError = Math.sqrt(scale * fit.covariance[3]!)
    if (!(standardError > 0)) return absent('effects-on-a-line')
    const statistic = slope / standardError
    return Object.freeze({
      statistic,
      degreesOfFreedom,
      pValue: 2 * studentTUpperTail(Math.abs(statistic), degreesOfFreedom),
      slope,
      slopeInterval: around(slope, studentTQuantile((1 + level) / 2, degreesOfFreedom) * standardError),
      limitEffect: fit.coefficients[0]!,
      ...fields,
    })
  },
)
