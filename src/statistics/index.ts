export { type AnalysisOfVariance, oneWayAnalysisOfVariance } from './analysisOfVariance.js'
export * from './changeOverTime.js'
export * from './clusteredComparison.js'
export {
  type ClusteredEstimate,
  type ClusterOptions,
  clusteredProportion,
} from './clusteredProportion.js'
export * from './clusteredRate.js'
export * from './clusteredRateRatio.js'
export { type ClusterAgreement, clusterAgreement } from './clustering.js'
export * from './comparison.js'
export {
  type CumulativeIncidence,
  type CumulativeIncidenceOptions,
  cumulativeIncidence,
  cumulativeIncidenceByGroup,
  type IncidenceCurve,
  type IncidenceRow,
} from './competingRisks.js'
export * from './contingency.js'
export * from './cumulativeHazard.js'
export type { CurveOptions } from './curveOptions.js'
export type { EntryStep } from './delayedEntry.js'
export * from './effectSizes.js'
export * from './equivalence.js'
export type { ExposureBand } from './exposureBands.js'
export * from './followUp.js'
export * from './grayTest.js'
export * from './immortalTime.js'
export {
  type CompletedTable,
  type ImputationColumn,
  type ImputationOptions,
  type ImputedTables,
  imputeChained,
} from './imputation.js'
export type { IncidenceVariance } from './incidenceColumns.js'
export * from './incidenceContrast.js'
export {
  type IntervalCensoredEstimate,
  type IntervalCensoredOptions,
  intervalCensoredSurvival,
  type MassInterval,
  type SurvivalBounds,
  survivalBounds,
} from './intervalCensored.js'
export * from './intervalCensoredIncidence.js'
export type { IntervalTimes } from './intervalTimes.js'
export type { CodeColumn } from './kernel/codes.js'
export * from './lifeTable.js'
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
} from './mantelHaenszel.js'
export * from './manyMeans.js'
export {
  type MeanContrast,
  type MeanOptions,
  meanDifference,
  pairedMeanDifference,
  type SummaryFigures,
  summaryFigures,
} from './means.js'
export * from './metaAnalysis.js'
export * from './monitoring.js'
export {
  restrictedCubicSpline,
  splineCovariates,
  splineKnots,
} from './numeric/splines.js'
export * from './oddsRatio.js'
export * from './pairedAndTrend.js'
export * from './permutationTest.js'
export * from './planning.js'
export type { ProportionMethod } from './proportionLimits.js'
export * from './proportions.js'
export * from './ranks.js'
export {
  type RateContrastOptions,
  type RateRatioMethod,
  type RateTest,
  rateDifference,
  rateRatio,
  rateTest,
} from './rateComparison.js'
export type { RateMethod } from './rateLimits.js'
export { type RateOptions, rate, rateInterval } from './rates.js'
export * from './recurrent.js'
export type { RegressionCoefficient } from './regression/coefficients.js'
export * from './regression/concordance.js'
export type { PairCounts } from './regression/concordancePairs.js'
export * from './regression/conditionalLogistic.js'
export type { CountOptions } from './regression/counts.js'
export * from './regression/cox.js'
export * from './regression/coxContrasts.js'
export {
  type BootstrappedHazardRatio,
  bootstrapCox,
  type CoxReplicator,
  type CoxReplicatorOptions,
  coxReplicator,
} from './regression/coxReplicator.js'
export { type CoxResiduals, coxResiduals } from './regression/coxResiduals.js'
export {
  type FewClusters,
  type RobustScoreOptions,
  robustScoreTest,
} from './regression/coxTests.js'
export {
  type CovariateColumn,
  type Covariates,
  type DesignColumn,
  type DesignOptions,
  treatmentContrasts,
} from './regression/design.js'
export type { WorkingCorrelation } from './regression/equationSolver.js'
export * from './regression/estimatingEquations.js'
export {
  type FineGrayFit,
  type FineGrayOptions,
  fineGrayRegression,
} from './regression/fineGray.js'
export type { CensoringTies } from './regression/fineGrayDesign.js'
export type { FineGrayTies } from './regression/fineGrayLikelihood.js'
export {
  type FirthFit,
  type FirthOptions,
  firthCoxRegression,
  type PenalisedHazardRatio,
} from './regression/firth.js'
export * from './regression/firthLogistic.js'
export type { SmallSampleFactor } from './regression/fitVariance.js'
export * from './regression/frailty.js'
export type { FrailtyVariance } from './regression/frailtyVariance.js'
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
export {
  type HazardStep,
  type PredictionProfile,
  predictedHazard,
  type StratumHazard,
} from './regression/predictedHazard.js'
export * from './regression/predictedRisk.js'
export * from './regression/proportionalHazards.js'
export * from './regression/recurrentModels.js'
export { type ChangedRows, splitAtChange } from './regression/timeDependent.js'
export type { RowOptions, TimesAtRisk } from './regression/timesAtRisk.js'
export type { TimeTransform } from './regression/timeTransform.js'
export { type BootstrapSummary, percentileInterval, type ResamplingOptions } from './resampling.js'
export {
  compareRestrictedMeans,
  type RestrictedMean,
  type RestrictedMeanComparison,
  type RestrictedMeanContrast,
  type RestrictedMeanOptions,
  restrictedMeanSurvivalTime,
} from './restrictedMean.js'
export {
  compareRisksAt,
  type RiskAtTime,
  type RiskAtTimesOptions,
  type RiskComparison,
  type RiskDifferenceAtTime,
  risksAt,
} from './riskAtTimes.js'
export * from './rubinsRules.js'
export * from './sensitivity.js'
export * from './smoothedHazard.js'
export * from './stratifiedTests.js'
export { type ColumnSummary, summariseColumn } from './summary.js'
export {
  kaplanMeier,
  kaplanMeierByGroup,
  type SurvivalCurve,
  type SurvivalRow,
} from './survival.js'
export {
  curveCutTime,
  type SurvivalAtOptions,
  type SurvivalAtTime,
  survivalAt,
} from './survivalAt.js'
export type { IntervalScale } from './survivalInterval.js'
export * from './survivalQuantiles.js'
export * from './survivalsAt.js'
export * from './timeLost.js'
export {
  type ContrastNames,
  type ContrastOptions,
  type DifferenceMethod,
  type EventCount,
  type RatioMethod,
  riskDifference,
  riskRatio,
} from './twoProportions.js'
export * from './varianceRatio.js'
export * from './weighting.js'
