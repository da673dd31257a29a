import { clusteredIntervalsStudy } from './clusteredIntervals.js'
import { demoCoverageStudy } from './demoCoverage.js'
import { fairComparisonStudy } from './fairComparison.js'
import type { SimulationStudy } from './study.js'

/** Every simulation study, in the order in which they run. A new study adds its file and a line here. */
export const simulationStudies: readonly SimulationStudy[] = Object.freeze([
  demoCoverageStudy,
  clusteredIntervalsStudy,
  fairComparisonStudy,
])
