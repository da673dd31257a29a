/** Watching over time: the entrance to the files of monitoring/. */
export {
  type BetweenEventsOptions,
  type CasesBetweenChart,
  casesBetweenChart,
  type DaysBetweenChart,
  daysBetweenChart,
} from './betweenEvents.js'
export {
  type CumulativeChart,
  type CumulativeChartOptions,
  type CumulativeChartRow,
  riskAdjustedChart,
} from './cumulativeChart.js'
export {
  type DeviceAgreement,
  type DeviceAgreementOptions,
  deviceAgreement,
} from './deviceAgreement.js'
export { type EwmaChart, type EwmaOptions, type EwmaRow, ewmaChart } from './ewma.js'
export { type ExactRunLengthOptions, exactRunLength, type ScoreStep } from './exactRunLength.js'
export {
  type FunnelOptions,
  type FunnelPlot,
  type FunnelPosition,
  type FunnelUnit,
  funnelPlot,
  type OverDispersionRule,
} from './funnel.js'
export {
  type FunnelFamily,
  type FunnelLimitOptions,
  type FunnelLimits,
  funnelLimits,
} from './funnelLimits.js'
export {
  limitForRunLength,
  type RunLengthOptions,
  type SimulatedRunLength,
  simulatedRunLength,
} from './simulatedRunLength.js'
