/** Watching over time: the entrance to the files of monitoring/. */
export {
  type BetweenEventsOptions,
  type CasesBetweenChart,
  casesBetweenChart,
  type DaysBetweenChart,
  daysBetweenChart,
} from './monitoring/betweenEvents.js'
export {
  type CumulativeChart,
  type CumulativeChartOptions,
  type CumulativeChartRow,
  riskAdjustedChart,
} from './monitoring/cumulativeChart.js'
export {
  type DeviceAgreement,
  type DeviceAgreementOptions,
  deviceAgreement,
} from './monitoring/deviceAgreement.js'
export { type EwmaChart, type EwmaOptions, type EwmaRow, ewmaChart } from './monitoring/ewma.js'
export { type ExactRunLengthOptions, exactRunLength, type ScoreStep } from './monitoring/exactRunLength.js'
export {
  type FunnelOptions,
  type FunnelPlot,
  type FunnelPosition,
  type FunnelUnit,
  funnelPlot,
  type OverDispersionRule,
} from './monitoring/funnel.js'
export {
  type FunnelFamily,
  type FunnelLimitOptions,
  type FunnelLimits,
  funnelLimits,
} from './monitoring/funnelLimits.js'
export {
  limitForRunLength,
  type RunLengthOptions,
  type SimulatedRunLength,
  simulatedRunLength,
} from './monitoring/simulatedRunLength.js'
