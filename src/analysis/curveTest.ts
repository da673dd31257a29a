import type { TestResult } from '../core/estimate.js'
import { logRank } from '../statistics/comparison.js'
import { robustScoreTest } from '../statistics/regression/coxTests.js'
import { type CohortRows, countPatients, timesAtRisk } from './cohortRows.js'
import type { AnalysisSettings } from './settings.js'

/**
 * Test of two curves. Where no patient repeats, the log-rank test; where patients repeat, the score test of the Cox
 * model with the variance summed over patients.
 */
export function curveTest(rows: CohortRows, inGroup: Uint8Array, settings: AnalysisSettings): TestResult {
  if (countPatients(rows) === rows.n) {
    return logRank(rows.timeDays, rows.event, inGroup, { entry: rows.entryDays, level: settings.level })
  }
  return robustScoreTest(timesAtRisk(rows), { group: inGroup }, rows.patient)
}
