/**
 * The front door: what a practice asks of its records, by task. Estimators for columns of numbers are in
 * `holdfast/statistics`. A name is added here only with a task that needs it and an example in its docstring
 * (docs/front-door.md); sixty are the most.
 */

// Records

export { openRecords } from './notebook/openRecords.js'
export type { RecordSet } from './records/dataset.js'
export { problemInWords } from './records/problems.js'
export { readRecords } from './records/read/readDataset.js'

// Restorations that are followed

export { buildCohort, type Cohort } from './cohort/cohort.js'
export { type CohortDefinition, defaultDefinition } from './cohort/definition.js'
export type { ExposureGroup } from './vocabulary/exposure.js'

// Questions

export { type AuditResult, auditCohort } from './questions/audit.js'
export { characteristics } from './questions/characteristics/answer.js'
export { clinicFunnel } from './questions/clinicFunnel/answer.js'
export { compare, compareTightening } from './questions/comparison/asked.js'
export { hazardOverTime } from './questions/hazardOverTime/answer.js'
export { type IncidenceResult, incidence } from './questions/incidence/answer.js'
export { lifeTableByYear } from './questions/lifeTable/answer.js'
export { literature } from './questions/literature/answer.js'
export { protocolChange } from './questions/protocolChange/answer.js'
export { removalTorque } from './questions/removalTorque/answer.js'
export { repeats } from './questions/repeats/answer.js'
export { type RetentionResult, retention } from './questions/retention/answer.js'
export { torqueAdherence } from './questions/torque/answer.js'
export { waitTime } from './questions/wait/answer.js'
export { whatElseMatters } from './questions/whatElse/answer.js'

// Planning and watching

export { inLines } from './documents/kinds/ownPage.js'
export { whatIsNeeded } from './questions/needed/answer.js'
export { parsePlan, plannedDefinition } from './questions/plan/planFile.js'
export { type AnalysisSettings, plannedSettings } from './questions/plan/settings.js'
export { watchPractice } from './questions/watching/answer.js'

// Charts

export { attritionDiagram } from './charts/attritionDiagram.js'
export { completenessChart } from './charts/completenessChart.js'
export { groupRiskChart } from './charts/groupRiskChart.js'
export { patientArray } from './charts/patientArray.js'
export type { ChartSpecification } from './charts/specification.js'
export { curvesChart, forestChart as challengesChart } from './questions/comparison/chart.js'
export { incidenceChart } from './questions/incidence/chart.js'
export { runChart } from './questions/protocolChange/chart.js'
export { retentionChart } from './questions/retention/chart.js'
export { factorChart } from './questions/whatElse/chart.js'

// Notebooks, data frames and reports

export { report } from './notebook/chosenReport.js'
export { show } from './notebook/display.js'
export { fromFrame, toFrame } from './notebook/frames.js'
export { writeReport } from './notebook/practice.js'
export { saveChart } from './notebook/saveChart.js'
export { playStudyGroup } from './notebook/studyGroup.js'

// Rows of a study group

export { poolRows, rowsByClinic } from './pooling/coordinator/poolRows.js'
export { exampleProtocol, readProtocol } from './pooling/protocol/protocol.js'
export { protocolDefinition, releaseRows } from './pooling/site/siteRows.js'

// Numbers as they are printed, and what is thrown

export { HoldfastError } from './core/errors.js'
export type { Estimate, Interval, Quantity } from './core/estimate.js'
export {
  formatCount,
  formatNumber,
  formatPercent,
  formatPoints,
  formatPValue,
  formatRate,
  formatRatio,
} from './core/format.js'
export { formatInterval } from './messages/intervals.js'
export { inWords } from './messages/speaker.js'
