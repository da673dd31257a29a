import type { Cohort } from '../../cohort/cohort.js'
import type { TestResult } from '../../core/estimate.js'
import { logRank } from '../../statistics/groupTests/comparison.js'
import { permutationTest } from '../../statistics/groupTests/permutationTest.js'
import { robustScoreTest } from '../../statistics/hazardModels/coxTests.js'
import type { AnalysisSettings } from '../plan/settings.js'
import { type CohortRows, countPatients, timesAtRisk } from './cohortRows.js'

/** Fewest events from which the score test is taken at its nominal size where patients repeat. */
const enoughEvents = 20

/**
 * Test of two curves. Where no patient repeats, the log-rank test; where patients repeat, the score test of the Cox
 * model with the variance summed over patients, or with fewer than 20 events the permutation of whole patients within
 * strata of clinic and year of delivery.
 */
export function curveTest(
  cohort: Cohort,
  rows: CohortRows,
  inGroup: Uint8Array,
  settings: AnalysisSettings,
): TestResult {
  if (countPatients(rows) === rows.n) {
    return logRank(rows.timeDays, rows.event, inGroup, { entry: rows.entryDays, level: settings.level })
  }
  const events = rows.event.reduce((sum, one) => sum + one, 0)
  if (events >= enoughEvents) return robustScoreTest(timesAtRisk(rows), { group: inGroup }, rows.patient)
  return permutationTest(rows.timeDays, rows.event, inGroup, rows.patient, {
    entry: rows.entryDays,
    strata: Array.from(rows.row, (row) => `${cohort.clinic.codes[row]}|${cohort.deliveryYear[row]}`),
    seed: settings.seed,
  })
}
