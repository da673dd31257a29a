export {
  type CumulativeIncidence,
  type CumulativeIncidenceOptions,
  cumulativeIncidence,
  cumulativeIncidenceByGroup,
  type IncidenceCurve,
  type IncidenceRow,
} from './curves/competingRisks.js'
export * from './curves/cumulativeHazard.js'
export type { CurveOptions } from './curves/curveOptions.js'
export type { EntryStep } from './curves/delayedEntry.js'
export * from './curves/followUp.js'
export type { IncidenceVariance } from './curves/incidenceColumns.js'
export * from './curves/incidenceContrast.js'
export * from './curves/lifeTable.js'
export * from './curves/recurrent.js'
export {
  compareRestrictedMeans,
  type RestrictedMean,
  type RestrictedMeanComparison,
  type RestrictedMeanContrast,
  type RestrictedMeanOptions,
  restrictedMeanSurvivalTime,
} from './curves/restrictedMean.js'
export {
  compareRisksAt,
  type RiskAtTime,
  type RiskAtTimesOptions,
  type RiskComparison,
  type RiskDifferenceAtTime,
  risksAt,
} from './curves/riskAtTimes.js'
export * from './curves/smoothedHazard.js'
export {
  kaplanMeier,
  kaplanMeierByGroup,
  type SurvivalCurve,
  type SurvivalRow,
} from './curves/survival.js'
export {
  curveCutTime,
  type SurvivalAtOptions,
  type SurvivalAtTime,
  survivalAt,
} from './curves/survivalAt.js'
export type { IntervalScale } from './curves/survivalInterval.js'
export * from './curves/survivalQuantiles.js'
export * from './curves/survivalsAt.js'
export * from './curves/timeLost.js'
export * from './groupTests/comparison.js'
export * from './groupTests/grayTest.js'
export * from './groupTests/permutationTest.js'
export * from './hazardModels/concordance.js'
export type { PairCounts } from './hazardModels/concordancePairs.js'
export * from './hazardModels/cox.js'
export * from './hazardModels/coxContrasts.js'
export {
  type BootstrappedHazardRatio,
  bootstrapCox,
  type CoxReplicator,
  type CoxReplicatorOptions,
  coxReplicator,
} from './hazardModels/coxReplicator.js'
export { type CoxResiduals, coxResiduals } from './hazardModels/coxResiduals.js'
export {
  type FewClusters,
  type RobustScoreOptions,
  robustScoreTest,
} from './hazardModels/coxTests.js'
export {
  type FineGrayFit,
  type FineGrayOptions,
  fineGrayRegression,
} from './hazardModels/fineGray.js'
export type { CensoringTies } from './hazardModels/fineGrayDesign.js'
export type { FineGrayTies } from './hazardModels/fineGrayLikelihood.js'
export {
  type FirthFit,
  type FirthOptions,
  firthCoxRegression,
  type PenalisedHazardRatio,
} from './hazardModels/firth.js'
export * from './hazardModels/frailty.js'
export type { FrailtyVariance } from './hazardModels/frailtyVariance.js'
export {
  type HazardStep,
  type PredictionProfile,
  predictedHazard,
  type StratumHazard,
} from './hazardModels/predictedHazard.js'
export * from './hazardModels/proportionalHazards.js'
export * from './hazardModels/recurrentModels.js'
export { type ChangedRows, splitAtChange } from './hazardModels/timeDependent.js'
export type { RowOptions, TimesAtRisk } from './hazardModels/timesAtRisk.js'
export type { TimeTransform } from './hazardModels/timeTransform.js'
export {
  type CompletedTable,
  type ImputationColumn,
  type ImputationOptions,
  type ImputedTables,
  imputeChained,
} from './imputation/chainedEquations.js'
export * from './imputation/rubinsRules.js'
export {
  type IntervalCensoredEstimate,
  type IntervalCensoredOptions,
  intervalCensoredSurvival,
  type MassInterval,
  type SurvivalBounds,
  survivalBounds,
} from './intervalCensored/intervalCensored.js'
export * from './intervalCensored/intervalCensoredIncidence.js'
export type { IntervalTimes } from './intervalCensored/intervalTimes.js'
export { type ClusterAgreement, clusterAgreement } from './kernel/clustering.js'
export type { CodeColumn } from './kernel/codes.js'
export { type AnalysisOfVariance, oneWayAnalysisOfVariance } from './means/analysisOfVariance.js'
export * from './means/effectSizes.js'
export * from './means/equivalence.js'
export * from './means/manyMeans.js'
export {
  type MeanContrast,
  type MeanOptions,
  meanDifference,
  pairedMeanDifference,
  type SummaryFigures,
  summaryFigures,
} from './means/means.js'
export * from './means/ranks.js'
export { type ColumnSummary, summariseColumn } from './means/summary.js'
export * from './means/varianceRatio.js'
export * from './meta/index.js'
export * from './monitoring/index.js'
export {
  restrictedCubicSpline,
  splineCovariates,
  splineKnots,
} from './numeric/splines.js'
export * from './planning/index.js'
export * from './proportions/clusteredComparison.js'
export {
  type ClusteredEstimate,
  type ClusterOptions,
  clusteredProportion,
} from './proportions/clusteredProportion.js'
export * from './proportions/contingency.js'
export {
  type EventTime,
  type PooledDifferenceVariance,
  type PooledOptions,
  type ProportionStratum,
  pooledOddsRatio,
  pooledRateRatio,
  pooledRiskDifference,
  pooledRiskRatio,
  type RateStratum,
} from './proportions/mantelHaenszel.js'
export * from './proportions/oddsRatio.js'
export * from './proportions/pairedAndTrend.js'
export type { ProportionMethod } from './proportions/proportionLimits.js'
export * from './proportions/proportions.js'
export * from './proportions/stratifiedTests.js'
export {
  type ContrastNames,
  type ContrastOptions,
  type DifferenceMethod,
  type EventCount,
  type RatioMethod,
  riskDifference,
  riskRatio,
} from './proportions/twoProportions.js'
export * from './rates/changeOverTime.js'
export * from './rates/clusteredRate.js'
export * from './rates/clusteredRateRatio.js'
export type { ExposureBand } from './rates/exposureBands.js'
export * from './rates/immortalTime.js'
export {
  type RateContrastOptions,
  type RateRatioMethod,
  type RateTest,
  rateDifference,
  rateRatio,
  rateTest,
} from './rates/rateComparison.js'
export type { RateMethod } from './rates/rateLimits.js'
export { type RateOptions, rate, rateInterval } from './rates/rates.js'
export type { RegressionCoefficient } from './regression/coefficients.js'
export * from './regression/conditionalLogistic.js'
export type { CountOptions } from './regression/counts.js'
export {
  type CovariateColumn,
  type Covariates,
  type DesignColumn,
  type DesignOptions,
  treatmentContrasts,
} from './regression/design.js'
export type { WorkingCorrelation } from './regression/equationSolver.js'
export * from './regression/estimatingEquations.js'
export * from './regression/firthLogistic.js'
export type { SmallSampleFactor } from './regression/fitVariance.js'
export type {
  GeneralisedLinearFit,
  GeneralisedLinearOptions,
} from './regression/generalisedLinear.js'
export * from './regression/linear.js'
export * from './regression/logistic.js'
export * from './regression/mixed.js'
export * from './regression/negativeBinomial.js'
export {
  type LifetimeDistribution,
  type ParametricFit,
  type ParametricOptions,
  parametricRegression,
} from './regression/parametric.js'
export * from './regression/parametricSurvival.js'
export * from './regression/poisson.js'
export * from './regression/predictedRisk.js'
export { type BootstrapSummary, percentileInterval, type ResamplingOptions } from './resampling/resampling.js'
export * from './sensitivity/index.js'
export * from './weighting/index.js'
