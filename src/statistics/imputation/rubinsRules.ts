import { NumericalError } from '../../core/errors.js'
import {
  type Interval,
  isNumber,
  noInterval,
  notEstimable,
  type Quantity,
  unbounded,
} from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { squaresAboutMean } from '../means/summary.js'
import { compensatedSum, requireLevel, requireSameLength } from '../numeric/columns.js'
import { studentTQuantile } from '../numeric/distributions.js'
import { twoSidedPValue } from '../regression/coefficients.js'

/** Options of pooling. */
export interface PoolingOptions {
  /** Degrees of freedom that the interval would have without missing values; default infinite. */
  readonly completeDegreesOfFreedom?: number
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/** One estimate over all completed tables. */
export interface PooledEstimate {
  readonly estimate: Quantity
  readonly standardError: Quantity
  readonly interval: Interval
  readonly statistic: Quantity
  readonly pValue: Quantity
  /** Barnard and Rubin's; unbounded where the normal distribution stands. */
  readonly degreesOfFreedom: Quantity
  /** Mean of the squared standard errors. */
  readonly withinVariance: Quantity
  /** Variance of the estimates between tables. */
  readonly betweenVariance: Quantity
  /** How much the missing values add to the variance, as a share of the variance within. */
  readonly relativeIncrease: Quantity
  /** Share of the information about the estimate that is missing. */
  readonly missingInformation: Quantity
  readonly imputations: number
  readonly level: number
  readonly method: MethodName
  readonly reference: string
}

/** A pooled estimate under its name. */
export interface PooledCoefficient extends PooledEstimate {
  readonly name: string
}

/** A fit as far as pooling needs it: every regression of the toolkit qualifies. */
export interface PoolableFit {
  readonly coefficients: readonly {
    readonly name: string
    readonly estimate: Quantity
    readonly standardError: Quantity
  }[]
}

/**
 * Pools one estimate over completed tables by Rubin's rules: mean of the estimates, variance within plus
 * (1 + 1/m) times the variance between, Student's t with Barnard and Rubin's degrees of freedom.
 *
 * @param estimates estimate from each table, on a scale on which it is about normal (log ratios, not ratios)
 * @param standardErrors its standard error from each table
 * @param options completeDegreesOfFreedom, level; see {@link PoolingOptions}
 * @throws NumericalError `one-imputation`, `unequal-length`, `level-out-of-range`, `negative-standard-error`
 * @see Rubin (1987); Barnard and Rubin (1999) Biometrika 86:948–955
 * @example poolEstimates([1, 2, 3], [1, 1, 1]).standardError // => 1.5275
 */
export const poolEstimates = checked(
  'poolEstimates',
  (
    estimates: readonly Quantity[],
    standardErrors: readonly Quantity[],
    options: PoolingOptions = {},
  ): PooledEstimate => {
    const { completeDegreesOfFreedom = Number.POSITIVE_INFINITY, level = 0.95 } = options
    requireLevel(level)
    const m = requireSameLength({ estimates, standardErrors })
    if (m < 2) throw oneImputation(m)
    const values = estimates.filter(isNumber)
    const errors = standardErrors.filter(isNumber)
    const shared = {
      imputations: m,
      level,
      method: methodOf('rubin-s-rules', 'barnard-rubin-degrees-of-freedom'),
      reference: 'multiple-imputation',
    }
    if (values.length < m || errors.length < m) {
      return deepFreeze({ ...withoutAnswer(m - Math.min(values.length, errors.length), m), ...shared })
    }
    if (errors.some((error) => !(error >= 0))) throw negativeError()
    const estimate = compensatedSum(values) / m
    const within = compensatedSum(errors.map((error) => error * error)) / m
    const between = squaresAboutMean(values) / (m - 1)
    const added = (1 + 1 / m) * between
    const total = within + added
    const degrees = barnardRubin(m, total > 0 ? added / total : 0, completeDegreesOfFreedom)
    const standardError = Math.sqrt(total)
    const half = -studentTQuantile((1 - level) / 2, degrees) * standardError
    const increase = added / within
    const statistic = standardError > 0 ? estimate / standardError : notEstimable('standard-error-zero')
    const noError = notEstimable('no-variance-within-tables')
    return deepFreeze({
      estimate,
      standardError,
      interval: { lower: estimate - half, upper: estimate + half },
      statistic,
      pValue: isNumber(statistic) ? twoSidedPValue(statistic, degrees) : statistic,
      degreesOfFreedom: Number.isFinite(degrees) ? degrees : unbounded('above'),
      withinVariance: within,
      betweenVariance: between,
      relativeIncrease: within > 0 ? increase : noError,
      missingInformation: within > 0 ? (increase + 2 / (degrees + 3)) / (increase + 1) : noError,
      ...shared,
    })
  },
)

/**
 * Pools the coefficients of one model fitted to every completed table, by name and by Rubin's rules.
 *
 * @param fits fits of the same model; a coefficient that some table cannot give is not estimable, and says why
 * @param options completeDegreesOfFreedom, level; see {@link PoolingOptions}
 * @throws NumericalError `one-imputation`, `different-models`
 * @example poolCoefficients([linearRegression([1, 3, 4], { x: [0, 1, 2] }), linearRegression([1, 3, 6], { x: [0, 1, 2] })])[1].estimate // => 2
 */
export const poolCoefficients = checked(
  'poolCoefficients',
  (fits: readonly PoolableFit[], options: PoolingOptions = {}): readonly PooledCoefficient[] => {
    const names = fits[0]?.coefficients.map((one) => one.name) ?? []
    if (fits.length < 2) throw oneImputation(fits.length)
    for (const fit of fits) {
      const same =
        fit.coefficients.length === names.length && fit.coefficients.every((one, j) => one.name === names[j])
      if (!same) throw differentModels()
    }
    return deepFreeze(
      names.map((name, j) => ({
        name,
        ...poolEstimates(
          fits.map((fit) => fit.coefficients[j]!.estimate),
          fits.map((fit) => fit.coefficients[j]!.standardError),
          options,
        ),
      })),
    )
  },
)

/** Degrees of freedom for a share of the variance that is due to missing values. */
function barnardRubin(m: number, share: number, complete: number): number {
  const old = share > 0 ? (m - 1) / (share * share) : Number.POSITIVE_INFINITY
  if (!Number.isFinite(complete)) return old
  const observed = ((complete + 1) / (complete + 3)) * complete * (1 - share)
  if (!Number.isFinite(old)) return observed
  return (old * observed) / (old + observed)
}

type Answer = Omit<PooledEstimate, 'imputations' | 'level' | 'method' | 'reference'>

function withoutAnswer(lacking: number, m: number): Answer {
  const none = notEstimable('tables-without-estimate', { lacking, tables: m })
  return {
    estimate: none,
    standardError: none,
    interval: noInterval(none),
    statistic: none,
    pValue: none,
    degreesOfFreedom: none,
    withinVariance: none,
    betweenVariance: none,
    relativeIncrease: none,
    missingInformation: none,
  }
}

function oneImputation(count: number): NumericalError {
  return new NumericalError({
    code: 'one-imputation',
    problem: `${count} completed tables were given.`,
    expected: 'at least two, for there to be a variance between them.',
    mend: 'impute more often; twenty tables are the default.',
  })
}

function differentModels(): NumericalError {
  return new NumericalError({
    code: 'different-models',
    problem: 'the fits do not have the same coefficients.',
    expected: 'one model fitted to every completed table.',
    mend: 'fit the same covariates, levels and baselines each time.',
  })
}

function negativeError(): NumericalError {
  return new NumericalError({
    code: 'negative-standard-error',
    problem: 'a standard error is negative.',
    expected: 'zero or more.',
    mend: 'give standard errors, not variances or statistics.',
  })
}
