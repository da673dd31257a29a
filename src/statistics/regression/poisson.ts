import { methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import type { NumberColumn } from '../numeric/columns.js'
import { type CountOptions, exposureOffset, noEventWarnings, requireCounts } from './counts.js'
import type { Covariates } from './design.js'
import { poissonFamily } from './family.js'
import { describeFit, type GeneralisedLinearFit, prepareModel } from './generalisedLinear.js'
import { fitReweighted } from './reweighting.js'

/**
 * Estimates log rate ratios of counts by maximum likelihood under the Poisson distribution.
 *
 * @param counts whole numbers, zero or more; 0 and 1 with `exposure` give a model of constant rates
 * @param covariates columns of one length with the counts; texts are categories, compared with their first level
 * @param options exposure, offset, clusters, variance (`over-dispersed` for the quasi-Poisson interval, Student's t
 *   on the residual degrees of freedom), smallSample, weights, intercept, interactions, baselines, level; see
 *   {@link GeneralisedLinearOptions} for their defaults
 * @returns coefficients in log rates, with rate ratios; under separation (a group without events) the coefficients
 *   that have no finite estimate are tagged and named in a warning
 * @throws NumericalError `not-a-count`, `not-positive`, `unequal-length`, `not-finite`, `constant-covariate`,
 *   `collinear-covariate`, `single-level`, `missing-level`, `no-rows`
 * @see McCullagh and Nelder (1989), chapter 6; Wedderburn (1974) for over-dispersion
 * @example poissonRegression([2, 4], { late: [0, 1] }, { exposure: [100, 50] }).coefficients[1].ratio // => 4
 */
export const poissonRegression = checked(
  'poissonRegression',
  (counts: NumberColumn, covariates: Covariates, options: CountOptions = {}): GeneralisedLinearFit => {
    requireCounts('counts', counts)
    const full = { ...options, ...exposureOffset(counts, options) }
    const prepared = prepareModel(counts, covariates, poissonFamily, full)
    const kind = {
      method: methodOf('poisson-regression', 'maximum-likelihood'),
      reference: 'poisson',
      extraParameters: 0,
      warnings: noEventWarnings(counts),
    }
    return describeFit(prepared, fitReweighted(prepared.problem), kind, full)
  },
)
