import { type Warning, warning } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireZeroOne } from '../numeric/columns.js'
import type { Covariates } from './design.js'
import { binomialFamily } from './family.js'
import {
  describeFit,
  type GeneralisedLinearFit,
  type GeneralisedLinearOptions,
  prepareModel,
} from './generalisedLinear.js'
import { fitReweighted } from './reweighting.js'

/**
 * Estimates log odds ratios of an event by maximum likelihood.
 *
 * @param eventObserved 1 where the event was observed, 0 where it was not; no missing values
 * @param covariates columns of one length with the response; texts are categories, compared with their first level
 * @param options clusters, variance, smallSample, weights, offset, intercept, interactions, baselines, level; see
 *   {@link GeneralisedLinearOptions} for their defaults
 * @returns coefficients in log odds, with odds ratios; under separation the coefficients that have no finite
 *   estimate are tagged and named in a warning
 * @throws NumericalError `not-zero-one`, `unequal-length`, `not-finite`, `constant-covariate`,
 *   `collinear-covariate`, `single-level`, `missing-level`, `no-rows`
 * @see McCullagh and Nelder (1989), chapter 4; Huber (1967) and Liang and Zeger (1986) for the robust variance
 * @example logisticRegression([1, 0, 0, 1, 1, 0], { late: [0, 0, 0, 1, 1, 1] }).coefficients[1].ratio // => 4
 */
export const logisticRegression = checked(
  'logisticRegression',
  (
    eventObserved: NumberColumn,
    covariates: Covariates,
    options: GeneralisedLinearOptions = {},
  ): GeneralisedLinearFit => {
    requireZeroOne('eventObserved', eventObserved)
    const prepared = prepareModel(eventObserved, covariates, binomialFamily, options)
    const fit = fitReweighted(prepared.problem)
    const kind = {
      method: methodOf('logistic-regression', 'maximum-likelihood'),
      reference: 'logistic',
      extraParameters: 0,
      warnings: sparseWarnings(eventObserved, prepared.design.names.length),
    }
    return describeFit(prepared, fit, kind, options)
  },
)

/** Fewer than five of the rarer outcome for each covariate (Vittinghoff and McCulloch 2007). */
function sparseWarnings(eventObserved: NumberColumn, covariates: number): readonly Warning[] {
  let events = 0
  for (let row = 0; row < eventObserved.length; row++) events += eventObserved[row]!
  const rarer = Math.min(events, eventObserved.length - events)
  if (rarer === 0) {
    return [warning('same-outcome', { events, rows: eventObserved.length })]
  }
  if (covariates === 0 || rarer >= 5 * covariates) return []
  return [warning('few-outcomes-per-covariate', { rarer, covariates })]
}
