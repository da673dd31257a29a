export * from './core/calendar.js'
export * from './core/errors.js'
export * from './core/estimate.js'
export * from './core/format.js'
export * from './core/random.js'
export * from './records/columns.js'
export * from './records/dataset.js'
export * from './statistics/metaAnalysis.js'
export * from './statistics/numeric/distributions.js'
export type { ClusterColumn } from './statistics/regression/clusters.js'
export type { RegressionCoefficient } from './statistics/regression/coefficients.js'
export type { CountOptions } from './statistics/regression/counts.js'
export {
  type CovariateColumn,
  type Covariates,
  type DesignColumn,
  type DesignOptions,
  treatmentContrasts,
} from './statistics/regression/design.js'
export type { WorkingCorrelation } from './statistics/regression/equationSolver.js'
export * from './statistics/regression/estimatingEquations.js'
export type { SmallSampleFactor } from './statistics/regression/fitVariance.js'
export type {
  GeneralisedLinearFit,
  GeneralisedLinearOptions,
} from './statistics/regression/generalisedLinear.js'
export * from './statistics/regression/logistic.js'
export * from './statistics/regression/poisson.js'
