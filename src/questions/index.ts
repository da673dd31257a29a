export { type ClinicFunnel, clinicFunnel, type FunnelClinic } from './clinicFunnel/answer.js'
export { funnelChart } from './clinicFunnel/chart.js'
export {
  type ArmsAt,
  type ComparisonResult,
  type ComparisonSettings,
  compare,
  compareTightenings,
  defaultComparison,
  type Verdict,
  type VerdictReason,
} from './comparison/answer.js'
export type { Challenge, ChallengeCode, Effect } from './comparison/challenges.js'
export { curvesChart, forestChart as challengesChart } from './comparison/chart.js'
export {
  type GroupHazard,
  type HazardOverTime,
  type HazardPoint,
  hazardOverTime,
  type SpanRate,
} from './hazardOverTime/answer.js'
export { hazardChart } from './hazardOverTime/chart.js'
export { type LifeTableResult, lifeTableByYear } from './lifeTable/answer.js'
export {
  type LiteratureHorizon,
  type LiteratureResult,
  literature,
  type ShownFigure,
} from './literature/answer.js'
export { literatureChart } from './literature/chart.js'
export * from './literature/publishedFigures.js'
export {
  type NeededOptions,
  type NeededResult,
  type NeededScenario,
  whatIsNeeded,
} from './needed/answer.js'
export { neededChart } from './needed/chart.js'
export {
  type ClinicChange,
  type ComparedPeriods,
  type PeriodSide,
  type ProtocolChangeResult,
  protocolChange,
  type QuarterOfDelivery,
} from './protocolChange/answer.js'
export { runChart } from './protocolChange/chart.js'
export { type RemovalTorqueResult, removalTorque } from './removalTorque/answer.js'
export { type GroupRepeats, type RepeatsResult, repeats } from './repeats/answer.js'
export { repeatsChart } from './repeats/chart.js'
export {
  mostInSmallSeries,
  type RestorationTimeline,
  type SmallSeries,
  smallSeries,
} from './series/answer.js'
export { seriesPlot } from './series/chart.js'
export {
  type DeviceTorque,
  type TorqueResult,
  torqueAdherence,
  type WithinTolerance,
} from './torque/answer.js'
export { torqueChart } from './torque/chart.js'
export {
  type WaitCurve,
  type WaitCurvePoint,
  type WaitGroup,
  type WaitPlace,
  type WaitResult,
  waitTime,
} from './wait/answer.js'
export { waitChart } from './wait/chart.js'
export { type WatchOptions, type WatchResult, watchPractice } from './watching/answer.js'
export { cumulativeFigure as watchChart, driftFigure as deviceChart } from './watching/chart.js'
