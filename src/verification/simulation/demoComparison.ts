import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { buildCohort, type Cohort } from '../../cohort/cohort.js'
import { exposureGroups } from '../../cohort/definition.js'
import { restorationStatus } from '../../cohort/selection.js'
import { isNumber } from '../../core/estimate.js'
import { scenarioDay } from '../../demo/patient.js'
import type { DemoSettings } from '../../demo/settings.js'
import { writeDemo } from '../../demo/writeDemo.js'
import { labelAt } from '../../records/columns.js'
import { readRecords } from '../../records/read/readDataset.js'
import { coxRegression } from '../../statistics/regression/cox.js'
import type { CoxFit } from '../../statistics/regression/coxResult.js'
import type { SimulatedInterval } from './intervalPerformance.js'

/** The restorations compared, one against two tightenings, with what the comparison is adjusted for. */
export interface ComparisonRows {
  readonly start: number[]
  readonly stop: number[]
  readonly event: number[]
  readonly repeated: number[]
  readonly molar: number[]
  readonly internalConnection: number[]
  readonly externalConnection: number[]
  readonly grinds: number[]
  readonly deliveryYears: number[]
  /** Operators belong to one clinic each, so that strata of operators are strata of clinics too. */
  readonly operator: string[]
  readonly patient: number[]
}

/** Takes a generated group down the whole road: tables on disk, records, cohort, and the rows of the comparison. */
export async function demoComparison(settings: DemoSettings): Promise<ComparisonRows> {
  const scratch = await mkdtemp(join(tmpdir(), 'holdfast-simulation-'))
  try {
    const { directory } = await writeDemo(join(scratch, 'group'), settings)
    const today = scenarioDay(settings.scenario.endOfObservation)
    return comparisonRows(buildCohort(await readRecords(directory, { today })))
  } finally {
    await rm(scratch, { recursive: true, force: true })
  }
}

const single = exposureGroups.indexOf('single')
const repeatedInWindow = exposureGroups.indexOf('repeated in the window')

function comparisonRows(cohort: Cohort): ComparisonRows {
  const rows = emptyRows()
  const connection = cohort.category('connection')
  const bruxism = cohort.category('bruxism')
  const position = cohort.category('tooth_position')
  for (let row = 0; row < cohort.n; row++) {
    const exposure = cohort.exposure[row]!
    if (exposure !== single && exposure !== repeatedInWindow) continue
    const joint = labelAt(connection, row) ?? ''
    rows.start.push(cohort.entryDays[row]!)
    rows.stop.push(cohort.timeDays[row]!)
    rows.event.push(cohort.status[row] === restorationStatus.endpoint ? 1 : 0)
    rows.repeated.push(exposure === repeatedInWindow ? 1 : 0)
    rows.molar.push(Number(labelAt(position, row)?.[1] ?? 0) >= 6 ? 1 : 0)
    rows.internalConnection.push(joint.startsWith('internal') ? 1 : 0)
    rows.externalConnection.push(joint.startsWith('external') ? 1 : 0)
    rows.grinds.push(['probable', 'definite'].includes(labelAt(bruxism, row) ?? '') ? 1 : 0)
    rows.deliveryYears.push(cohort.deliveryDay[row]! / 365.25)
    rows.operator.push(labelAt(cohort.operator, row) ?? 'unknown')
    rows.patient.push(cohort.patient[row]!)
  }
  return rows
}

function emptyRows(): ComparisonRows {
  return {
    start: [],
    stop: [],
    event: [],
    repeated: [],
    molar: [],
    internalConnection: [],
    externalConnection: [],
    grinds: [],
    deliveryYears: [],
    operator: [],
    patient: [],
  }
}

/** Rows of several groups as one group, patients kept apart. */
export function joinedRows(groups: readonly ComparisonRows[]): ComparisonRows {
  const all = emptyRows()
  let firstPatient = 0
  for (const group of groups) {
    let last = 0
    for (let row = 0; row < group.stop.length; row++) {
      for (const name of Object.keys(all) as (keyof ComparisonRows)[]) {
        if (name !== 'patient') (all[name] as unknown[]).push(group[name][row])
      }
      all.patient.push(firstPatient + group.patient[row]!)
      last = Math.max(last, group.patient[row]!)
    }
    firstPatient += last + 1
  }
  return all
}

/** Log hazard ratio of repeated against single tightening with its patient-robust and its naive interval. */
export interface ComparisonFit {
  readonly robust: SimulatedInterval
  readonly naive: SimulatedInterval
  readonly events: number
  readonly rows: number
}

/** The estimator of the study: Cox regression adjusted for the generator's confounders, stratified by operator. */
export function fitComparison(rows: ComparisonRows): ComparisonFit | undefined {
  const { start, stop, event, operator, patient, ...covariates } = rows
  const times = { start, stop, event }
  const robust = ratioOf(coxRegression(times, covariates, { strata: operator, cluster: patient }))
  const naive = ratioOf(coxRegression(times, covariates, { strata: operator }))
  if (robust === undefined || naive === undefined) return undefined
  const events = event.reduce((sum, one) => sum + one, 0)
  return { robust, naive, events, rows: stop.length }
}

function ratioOf(fit: CoxFit): SimulatedInterval | undefined {
  const repeated = fit.hazardRatios.find((one) => one.name === 'repeated')
  if (repeated === undefined || repeated.standardError === undefined) return undefined
  const { logHazardRatio, interval, standardError } = repeated
  if (!isNumber(logHazardRatio) || !isNumber(interval.lower) || !isNumber(interval.upper)) return undefined
  return {
    estimate: logHazardRatio,
    standardError: standardError.value,
    lower: Math.log(interval.lower),
    upper: Math.log(interval.upper),
  }
}
