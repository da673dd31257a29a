import { deepFreeze } from '../core/plain.js'
import type { SheetName } from '../vocabulary/fields.js'
import { type ExpectedMistake, mistakeMaker, type SheetRows } from './mistakes.js'
import { drawPatientRecords, oneSheetRow, type TableRow } from './patientRecords.js'
import { checkedSettings, type DemoSettings } from './settings.js'
import { demoSheets } from './tables.js'
import { type DemoTruth, type TruthTally, truthTally } from './truth.js'

/** A generated study group: the rows of every sheet as they are written to files, and the truth behind them. */
export interface GeneratedData {
  readonly settings: DemoSettings
  readonly restorations: readonly TableRow[]
  readonly tightenings: readonly TableRow[]
  readonly visits: readonly TableRow[]
  readonly oneSheet: readonly TableRow[]
  readonly truth: DemoTruth
}

/**
 * Generates a study group: the same settings give the same rows on any machine, and a larger group of the same seed
 * begins with the patients of the smaller one. Pure.
 *
 * @param settings from `demoSettings`
 * @throws UsageError `demo-settings` where a setting makes no sense
 * @example generateStudyGroup(demoSettings({ patients: 3, seed: 1 })).truth.repeatedAgainstSingle.conditionalHazardRatio // => 0.55
 */
export function generateStudyGroup(settings: DemoSettings): GeneratedData {
  const all = emptyRows()
  const tally = truthTally(settings.scenario)
  for (const rows of generatePatients(settings, tally)) {
    for (const sheet of demoSheets) all[sheet].push(...rows[sheet])
  }
  return deepFreeze({
    settings,
    restorations: all.restorations,
    tightenings: all.tightenings,
    visits: all.visits,
    oneSheet: all.one_sheet,
    truth: tally.truth(settings),
  })
}

/** Generates a study group patient by patient, mistakes included, so that a group of any size can be written. */
export function* generatePatients(settings: DemoSettings, tally: TruthTally): Generator<SheetRows> {
  const { seed, patients, mistakesPer1000Patients, scenario } = checkedSettings(settings)
  const mistakes = mistakeMaker(seed, mistakesPer1000Patients / 1000)
  const nextRow: Record<SheetName, number> = { restorations: 2, tightenings: 2, visits: 2, one_sheet: 2 }
  for (let number = 1; number <= patients; number++) {
    const records = drawPatientRecords(scenario, seed, number)
    tally.add(records)
    const rows: SheetRows = {
      restorations: records.map((one) => one.restoration),
      tightenings: records.flatMap((one) => one.tightenings),
      visits: records.flatMap((one) => one.visits.map((visit) => ({ ...visit }))),
      one_sheet: records.map(oneSheetRow),
    }
    const made = mistakes.pass(rows, number).map(
      ({ kind, sheet, index, outcome }): ExpectedMistake => ({
        kind,
        sheet,
        row: nextRow[sheet] + index,
        outcome,
      }),
    )
    tally.addMistakes(made)
    for (const sheet of demoSheets) nextRow[sheet] += rows[sheet].length
    yield rows
  }
}

function emptyRows(): SheetRows {
  return { restorations: [], tightenings: [], visits: [], one_sheet: [] }
}
