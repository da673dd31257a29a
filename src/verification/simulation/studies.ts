import { clusteredIntervalsStudy } from './clusteredIntervals.js'
import { completedTablesStudy } from './completedTables.js'
import { demoCoverageStudy } from './demoCoverage.js'
import { falseAlarmsStudy } from './falseAlarms.js'
import { knownVerdictsStudy } from './knownVerdicts.js'
import { looksStudy } from './looks.js'
import { measuredConfoundingStudy } from './measuredConfounding.js'
import { missingCovariatesStudy } from './missingCovariates.js'
import { planningOwnRecordsStudy } from './planningOwnRecords.js'
import { randomEffectsStudy } from './randomEffects.js'
import type { SimulationStudy } from './study.js'
import { studyGroupStudy } from './studyGroup.js'
import { watchingStudy } from './watching.js'
import { yearTrendStudy } from './yearTrend.js'

/** Every simulation study, in the order in which they run. A new study adds its file and a line here. */
export const simulationStudies: readonly SimulationStudy[] = Object.freeze([
  demoCoverageStudy,
  looksStudy,
  knownVerdictsStudy,
  clusteredIntervalsStudy,
  measuredConfoundingStudy,
  missingCovariatesStudy,
  completedTablesStudy,
  falseAlarmsStudy,
  randomEffectsStudy,
  studyGroupStudy,
  planningOwnRecordsStudy,
  watchingStudy,
  yearTrendStudy,
])
