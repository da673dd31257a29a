export * from './analysis/audit.js'
export * from './analysis/benchTorque.js'
export { type ClinicFunnel, clinicFunnel, type FunnelClinic } from './analysis/clinicFunnel.js'
export { type AdjustedModel, adjustedModel, type ModelTerm } from './analysis/description/adjustedModel.js'
export {
  type CategoryCharacteristic,
  type Characteristics,
  characteristics,
  type NumberCharacteristic,
} from './analysis/description/characteristics.js'
export { type LifeTableResult, lifeTableByYear } from './analysis/description/lifeTableByYear.js'
export {
  mostInSmallSeries,
  type RestorationTimeline,
  type SmallSeries,
  smallSeries,
} from './analysis/description/smallSeries.js'
export {
  type AssumptionKey,
  bootstrappedComparison,
  type ComparisonVariant,
  type EstimandScale,
  type FairComparison,
  fairComparison,
  type HorizonDifference,
  type Lead,
  type LeadReason,
  leadingEstimate,
  type NegativeControl,
  type NumberNeeded,
  type Reading,
  type RestorationsNeeded,
  type VariantRole,
} from './analysis/fairComparison.js'
export {
  type GroupHazard,
  type HazardOverTime,
  type HazardPoint,
  hazardOverTime,
  type SpanRate,
} from './analysis/hazardOverTime.js'
export {
  type GroupIncidence,
  type HorizonRisk,
  type IncidenceResult,
  incidence,
} from './analysis/incidence.js'
export {
  type LiteratureHorizon,
  type LiteratureResult,
  literature,
  type ShownFigure,
} from './analysis/literature.js'
export * from './analysis/planFile.js'
export {
  defaultAssumptions,
  type PlannedStudy,
  type PlanningAssumptions,
  plannedStudy,
} from './analysis/plannedStudy.js'
export { preloadFromTorque } from './analysis/preload.js'
export {
  type ClinicChange,
  type ComparedPeriods,
  type PeriodSide,
  type ProtocolChangeResult,
  protocolChange,
  type QuarterOfDelivery,
} from './analysis/protocolChange.js'
export * from './analysis/publishedFigures.js'
export { type RemovalTorqueResult, removalTorque } from './analysis/removalTorque.js'
export { type GroupRepeats, type RepeatsResult, repeats } from './analysis/repeats.js'
export { type GroupRetention, type RetentionResult, retention } from './analysis/retention.js'
export * from './analysis/settings.js'
export * from './analysis/tighteningComparison.js'
export {
  type DeviceTorque,
  type TorqueResult,
  torqueAdherence,
  type WithinTolerance,
} from './analysis/torque.js'
export { compareReports, type TwoReports } from './analysis/twoReports.js'
export {
  type WaitCurve,
  type WaitCurvePoint,
  type WaitGroup,
  type WaitPlace,
  type WaitResult,
  waitTime,
} from './analysis/waitTime.js'
export type { WhatCouldBeWrong } from './analysis/whatCouldBeWrong.js'
export {
  type FactorRatio,
  type SiteRisk,
  type WhatElseMatters,
  type WhatElseOptions,
  whatElseMatters,
} from './analysis/whatElseMatters.js'
export type { OverlapCell, PairOfCounts, WhoWasCompared } from './analysis/whoWasCompared.js'
export { attritionDiagram } from './charts/attritionDiagram.js'
export { balancePlot } from './charts/balancePlot.js'
export { type ChartedField, completenessChart } from './charts/completenessChart.js'
export { factorChart } from './charts/factorChart.js'
export { forestChart } from './charts/forestChart.js'
export { funnelChart } from './charts/funnelChart.js'
export { hazardChart } from './charts/hazardChart.js'
export { hazardRatioChart } from './charts/hazardRatioChart.js'
export { type IncidenceChartOptions, incidenceChart } from './charts/incidenceChart.js'
export { literatureChart } from './charts/literatureChart.js'
export { type OverlapPlotOptions, overlapPlot } from './charts/overlapPlot.js'
export { marksOfHundred, type PatientArrayOptions, patientArray } from './charts/patientArray.js'
export { pooledRetentionChart } from './charts/pooledRetentionChart.js'
export { type PngOptions, renderPng, renderSvg } from './charts/render.js'
export { repeatsChart } from './charts/repeatsChart.js'
export { type CurveChartOptions, retentionChart } from './charts/retentionChart.js'
export { type RiskDifferenceChartOptions, riskDifferenceChart } from './charts/riskDifferenceChart.js'
export { runChart } from './charts/runChart.js'
export { type SeriesPlotOptions, seriesPlot } from './charts/seriesPlot.js'
export { siteFunnelChart } from './charts/siteFunnelChart.js'
export type { ChartSpecification } from './charts/specification.js'
export { type SpecificationPlotOptions, specificationPlot } from './charts/specificationPlot.js'
export type { FigureOptions, FigureSize } from './charts/theme.js'
export { torqueChart } from './charts/torqueChart.js'
export { waitChart } from './charts/waitChart.js'
export * from './cohort/cohort.js'
export * from './cohort/definition.js'
export * from './core/calendar.js'
export * from './core/errors.js'
export * from './core/estimate.js'
export * from './core/format.js'
export * from './core/random.js'
export { demoScenario } from './demo/defaultScenario.js'
export { type GeneratedData, generateStudyGroup } from './demo/generator.js'
export type { DemoScenario } from './demo/scenario.js'
export { type DemoOptions, type DemoSettings, defaultDemoSettings, demoSettings } from './demo/settings.js'
export type { DemoTruth } from './demo/truth.js'
export { type WriteDemoOptions, type WrittenDemo, writeDemo } from './demo/writeDemo.js'
export { dictionaryFields } from './notebook/dictionary.js'
export { show } from './notebook/display.js'
export { type FrameRow, type FrameSource, type FrameValue, fromFrame, toFrame } from './notebook/frames.js'
export type { FrameLike } from './notebook/frameTable.js'
export { openRecords, writeReport, writeStudyGroupReport } from './notebook/practice.js'
export { saveChart } from './notebook/saveChart.js'
export {
  poolSummaries,
  type ShareOptions,
  type StudyGroup,
  type StudySite,
  shareSummaries,
} from './notebook/studyGroup.js'
export { answerRound } from './pooling/answerRound.js'
export {
  combineSummaries,
  type PooledRate,
  type PooledResult,
  type PooledSite,
} from './pooling/combine.js'
export { answerKind, requestKind, summaryKind } from './pooling/kinds.js'
export type { PooledCurve, PooledHorizon, PooledStep } from './pooling/pooledCurves.js'
export type { PooledHazardRatio, PooledModel, Round } from './pooling/pooledModel.js'
export { poolRows } from './pooling/pooledRows.js'
export type { PooledSynthesis, SiteRatio } from './pooling/pooledSynthesis.js'
export { type AgreedProtocol, exampleProtocol, type Protocol, readProtocol } from './pooling/protocol.js'
export type { ReleaseRecord } from './pooling/releases.js'
export { readSealed } from './pooling/seal.js'
export { type SiteComparison, siteComparisons } from './pooling/siteComparison.js'
export { protocolDefinition, type SiteRows, siteRows } from './pooling/siteRows.js'
export { type MadeSummary, makeSiteSummary, type SummaryOptions } from './pooling/siteSummary.js'
export type { RoundAnswer, RoundRequest, SiteSummary } from './pooling/summarySchema.js'
export * from './records/columns.js'
export { type Correction, readCorrections } from './records/corrections.js'
export * from './records/dataset.js'
export { type DeidentifyOptions, type DeidentifyResult, deidentify } from './records/deidentify.js'
export { confirmColumnMap, type MapProposal, mapColumns, saveColumnMap } from './records/mapColumns.js'
export {
  type MergedYears,
  mergeYears,
  type WriteMergedOptions,
  writeMergedYears,
  type YearComparison,
} from './records/mergeYears.js'
export { problemInWords, RecordsRefused, rowsInWords } from './records/problems.js'
export * from './records/readDataset.js'
export { readShareable } from './records/readShareable.js'
export { type RecallEntry, type RecallList, type RecallOptions, recallList } from './records/recallList.js'
export {
  type Field,
  type FieldKind,
  fieldOf,
  type SheetName,
  sheetFields,
  tableNames,
} from './records/schema.js'
export type { Anonymity } from './records/sharing/anonymity.js'
export type { DeliveryPeriod } from './records/sharing/shareableTables.js'
export type { ColumnMap, MappedColumn, MappedSheet } from './records/understanding/columnMap.js'
export { readColumnMap } from './records/understanding/findColumnMap.js'
export { type TemplateOptions, type WrittenTemplate, writeTemplate } from './records/writeTemplate.js'
export { type AuditKind, auditKindNames } from './report/auditKindNames.js'
export { type WriteChangesOptions, writeChangeReport } from './report/changeReport.js'
export { type ListedField, proposalDocument } from './report/proposalDocument.js'
export { type WriteProposalOptions, writeProposal } from './report/proposalReport.js'
export { readAuditResults, type StoredAudit } from './report/readAuditResults.js'
export {
  type AuditReportOptions,
  auditInThreeLines,
  type WriteReportOptions,
  type WrittenReport,
  writeAuditReport,
} from './report/writeReport.js'
export { type AnalysisOfVariance, oneWayAnalysisOfVariance } from './statistics/analysisOfVariance.js'
export * from './statistics/changeOverTime.js'
export * from './statistics/clusteredComparison.js'
export {
  type ClusteredEstimate,
  type ClusterOptions,
  clusteredProportion,
} from './statistics/clusteredProportion.js'
export * from './statistics/clusteredRate.js'
export * from './statistics/clusteredRateRatio.js'
export { type ClusterAgreement, clusterAgreement } from './statistics/clustering.js'
export * from './statistics/comparison.js'
export {
  type CumulativeIncidence,
  type CumulativeIncidenceOptions,
  cumulativeIncidence,
  cumulativeIncidenceByGroup,
  type IncidenceCurve,
  type IncidenceRow,
} from './statistics/competingRisks.js'
export * from './statistics/contingency.js'
export * from './statistics/cumulativeHazard.js'
export type { CurveOptions } from './statistics/curveOptions.js'
export type { EntryStep } from './statistics/delayedEntry.js'
export * from './statistics/effectSizes.js'
export * from './statistics/equivalence.js'
export type { ExposureBand } from './statistics/exposureBands.js'
export * from './statistics/followUp.js'
export * from './statistics/grayTest.js'
export * from './statistics/imputation.js'
export type { IncidenceVariance } from './statistics/incidenceColumns.js'
export * from './statistics/incidenceContrast.js'
export {
  type IntervalCensoredEstimate,
  type IntervalCensoredOptions,
  intervalCensoredSurvival,
  type MassInterval,
  type SurvivalBounds,
  survivalBounds,
} from './statistics/intervalCensored.js'
export {
  type IntervalCensoredBootstrapInput,
  intervalCensoredBootstrapTask,
} from './statistics/intervalCensoredBootstrap.js'
export type { IntervalTimes } from './statistics/intervalTimes.js'
export * from './statistics/lifeTable.js'
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
} from './statistics/mantelHaenszel.js'
export * from './statistics/manyMeans.js'
export {
  type MeanContrast,
  type MeanOptions,
  meanDifference,
  pairedMeanDifference,
  type SummaryFigures,
  summaryFigures,
} from './statistics/means.js'
export * from './statistics/metaAnalysis.js'
export * from './statistics/monitoring.js'
export type { CodeColumn } from './statistics/numeric/codes.js'
export * from './statistics/numeric/distributions.js'
export {
  restrictedCubicSpline,
  splineCovariates,
  splineKnots,
} from './statistics/numeric/splines.js'
export {
  studentisedRangeUpperQuantile,
  studentisedRangeUpperTail,
} from './statistics/numeric/studentisedRange.js'
export * from './statistics/oddsRatio.js'
export * from './statistics/pairedAndTrend.js'
export * from './statistics/permutationTest.js'
export * from './statistics/planning.js'
export type { ProportionMethod } from './statistics/proportionLimits.js'
export * from './statistics/proportions.js'
export * from './statistics/ranks.js'
export {
  type RateContrastOptions,
  type RateRatioMethod,
  type RateTest,
  rateDifference,
  rateRatio,
  rateTest,
} from './statistics/rateComparison.js'
export type { RateMethod } from './statistics/rateLimits.js'
export { type RateOptions, rate, rateInterval } from './statistics/rates.js'
export * from './statistics/recurrent.js'
export type { ClusterColumn } from './statistics/regression/clusters.js'
export type { RegressionCoefficient } from './statistics/regression/coefficients.js'
export * from './statistics/regression/concordance.js'
export type { PairCounts } from './statistics/regression/concordancePairs.js'
export * from './statistics/regression/conditionalLogistic.js'
export type { CountOptions } from './statistics/regression/counts.js'
export * from './statistics/regression/cox.js'
export * from './statistics/regression/coxContrasts.js'
export {
  type BootstrappedHazardRatio,
  bootstrapCox,
  type CoxBootstrapInput,
  type CoxReplicator,
  type CoxReplicatorOptions,
  coxBootstrapTask,
  coxReplicator,
} from './statistics/regression/coxReplicator.js'
export { type CoxResiduals, coxResiduals } from './statistics/regression/coxResiduals.js'
export {
  type FewClusters,
  type RobustScoreOptions,
  robustScoreTest,
} from './statistics/regression/coxTests.js'
export {
  type CovariateColumn,
  type Covariates,
  type DesignColumn,
  type DesignOptions,
  treatmentContrasts,
} from './statistics/regression/design.js'
export type { WorkingCorrelation } from './statistics/regression/equationSolver.js'
export * from './statistics/regression/estimatingEquations.js'
export {
  type FineGrayFit,
  type FineGrayOptions,
  fineGrayRegression,
} from './statistics/regression/fineGray.js'
export type { CensoringTies } from './statistics/regression/fineGrayDesign.js'
export type { FineGrayTies } from './statistics/regression/fineGrayLikelihood.js'
export {
  type FirthFit,
  type FirthOptions,
  firthCoxRegression,
  type PenalisedHazardRatio,
} from './statistics/regression/firth.js'
export * from './statistics/regression/firthLogistic.js'
export type { SmallSampleFactor } from './statistics/regression/fitVariance.js'
export * from './statistics/regression/frailty.js'
export type { FrailtyVariance } from './statistics/regression/frailtyVariance.js'
export type {
  GeneralisedLinearFit,
  GeneralisedLinearOptions,
} from './statistics/regression/generalisedLinear.js'
export * from './statistics/regression/linear.js'
export * from './statistics/regression/logistic.js'
export * from './statistics/regression/mixed.js'
export * from './statistics/regression/negativeBinomial.js'
export {
  type LifetimeDistribution,
  type ParametricFit,
  type ParametricOptions,
  parametricRegression,
} from './statistics/regression/parametric.js'
export * from './statistics/regression/parametricSurvival.js'
export * from './statistics/regression/poisson.js'
export {
  type HazardStep,
  type PredictionProfile,
  predictedHazard,
  type StratumHazard,
} from './statistics/regression/predictedHazard.js'
export * from './statistics/regression/predictedRisk.js'
export * from './statistics/regression/proportionalHazards.js'
export * from './statistics/regression/recurrentModels.js'
export { type ChangedRows, splitAtChange } from './statistics/regression/timeDependent.js'
export type { RowOptions, TimesAtRisk } from './statistics/regression/timesAtRisk.js'
export type { TimeTransform } from './statistics/regression/timeTransform.js'
export * from './statistics/resampling.js'
export {
  compareRestrictedMeans,
  type RestrictedMean,
  type RestrictedMeanComparison,
  type RestrictedMeanContrast,
  type RestrictedMeanOptions,
  restrictedMeanSurvivalTime,
} from './statistics/restrictedMean.js'
export {
  compareRisksAt,
  type RiskAtTime,
  type RiskAtTimesOptions,
  type RiskComparison,
  type RiskDifferenceAtTime,
  risksAt,
} from './statistics/riskAtTimes.js'
export * from './statistics/rubinsRules.js'
export * from './statistics/sensitivity.js'
export * from './statistics/smoothedHazard.js'
export * from './statistics/stratifiedTests.js'
export { type ColumnSummary, summariseColumn } from './statistics/summary.js'
export {
  kaplanMeier,
  kaplanMeierByGroup,
  type SurvivalCurve,
  type SurvivalRow,
} from './statistics/survival.js'
export {
  curveCutTime,
  type SurvivalAtOptions,
  type SurvivalAtTime,
  survivalAt,
} from './statistics/survivalAt.js'
export type { IntervalScale } from './statistics/survivalInterval.js'
export * from './statistics/survivalQuantiles.js'
export * from './statistics/survivalsAt.js'
export * from './statistics/timeLost.js'
export {
  type ContrastNames,
  type ContrastOptions,
  type DifferenceMethod,
  type EventCount,
  type RatioMethod,
  riskDifference,
  riskRatio,
} from './statistics/twoProportions.js'
export * from './statistics/varianceRatio.js'
export * from './statistics/weighting.js'
