import { UsageError } from '../../core/errors.js'
import type { CodeColumn } from '../kernel/codes.js'
import { requireLevel } from '../numeric/columns.js'
import type { DesignOptions } from '../regression/design.js'
import type { Ties } from './coxLikelihood.js'
import type { FewClusters } from './coxTests.js'
import type { RowOptions } from './timesAtRisk.js'

/** Options of a Cox regression. */
export interface CoxOptions extends RowOptions, DesignOptions {
  /** How tied event times enter the likelihood; default `efron`. */
  readonly ties?: Ties
  /** Label of the cluster of every row; with it the variance is robust. */
  readonly cluster?: CodeColumn
  /** Default `robust` where clusters or weights are given (without clusters each row is its own), else `model`. */
  readonly variance?: 'model' | 'robust'
  /** Default `wald`; `profile` inverts the likelihood-ratio test and needs the model variance. */
  readonly interval?: 'wald' | 'profile'
  /** Confidence level; default 0.95. */
  readonly level?: number
  /** Reference of robust answers below 30 clusters; default `student-t` with clusters − 1 degrees of freedom. */
  readonly fewClusters?: FewClusters
}

/** Options with their defaults. */
export type SettledCoxOptions = Required<
  Pick<CoxOptions, 'ties' | 'variance' | 'interval' | 'level' | 'fewClusters'>
> & {
  readonly cluster: CodeColumn | undefined
}

/** Fills in the defaults and refuses options that contradict each other. */
export function settledCoxOptions(options: CoxOptions): SettledCoxOptions {
  const {
    ties = 'efron',
    cluster: clusters,
    weights,
    interval = 'wald',
    level = 0.95,
    fewClusters = 'student-t',
  } = options
  requireLevel(level)
  const robustByDefault = clusters !== undefined || weights !== undefined
  const variance = options.variance ?? (robustByDefault && interval === 'wald' ? 'robust' : 'model')
  if (ties === 'exact' && (weights !== undefined || variance === 'robust')) {
    throw contradiction(
      "ties: 'exact' goes with neither weights nor robust variance",
      "use ties: 'efron', or leave weights and clusters out",
    )
  }
  if (interval === 'profile' && variance === 'robust') {
    throw contradiction(
      'profile-likelihood limits know nothing of clusters or weights',
      "use interval: 'wald' with the robust variance, or variance: 'model'",
    )
  }
  if (interval === 'profile' && clusters !== undefined && options.variance === undefined) {
    throw contradiction(
      'profile-likelihood limits take rows of one cluster for independent',
      "use interval: 'wald', or say variance: 'model'",
    )
  }
  return { ties, variance, interval, level, fewClusters, cluster: clusters }
}

function contradiction(problem: string, mend: string): UsageError {
  return new UsageError({
    code: 'contradicting-options',
    problem: `${problem}.`,
    expected: 'options that go together.',
    mend: `${mend}.`,
  })
}
