import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { buildCohort, type Cohort } from '../../cohort/cohort.js'
import { exposureGroups } from '../../cohort/definition.js'
import { restorationStatus } from '../../cohort/selection.js'
import { type Estimate, isNumber } from '../../core/estimate.js'
import { scenarioDay } from '../../demo/patient.js'
import { type DemoSettings, demoSettings } from '../../demo/settings.js'
import { writeDemo } from '../../demo/writeDemo.js'
import { labelAt } from '../../records/columns.js'
import { readRecords } from '../../records/read/readDataset.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import type { CoxFit } from '../../statistics/hazardModels/coxResult.js'
import {
  type IntervalPerformance,
  intervalPerformance,
  type SimulatedInterval,
} from './intervalPerformance.js'
import type { SimulationStudy, StudyRun } from './study.js'

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

/** Sizes and seeds of the study; the plan page states them. */
export interface DemoCoveragePlan {
  readonly replicates: number
  readonly firstReplicateSeed: number
  readonly truthGroups: number
  readonly truthRestorations: number
  readonly firstTruthSeed: number
}

/** The plan as it stands in docs/verification/demo-coverage.md. */
const demoCoveragePlan: DemoCoveragePlan = Object.freeze({
  replicates: 500,
  firstReplicateSeed: 1001,
  truthGroups: 10,
  truthRestorations: 80_000,
  firstTruthSeed: 900_001,
})

/** What the study found. */
export interface DemoCoverage {
  /** Large-sample limit of the estimator: the marginal log hazard ratio. */
  readonly truth: ComparisonFit
  readonly conditionalLogHazardRatio: number
  readonly robust: IntervalPerformance
  readonly naive: IntervalPerformance
  /** Groups without an estimate. */
  readonly notEstimable: number
  readonly meanEvents: number
  readonly meanRows: number
}

/** Coverage of the patient-robust interval over demo groups of other seeds. */
export const demoCoverageStudy: SimulationStudy = Object.freeze({
  name: 'demo-coverage',
  question:
    'Does the 95% interval of the patient-robust Cox regression cover the marginal truth of the demo data?',
  page: 'docs/verification/demo-coverage.md',
  run: async (settings: StudyRun) => {
    const replicates = settings.replicates ?? demoCoveragePlan.replicates
    const found = await runDemoCoverage({ ...demoCoveragePlan, replicates }, settings.onProgress)
    return coverageTable(found)
  },
})

/** Runs the study: the truth by large groups, then the replicates. */
export async function runDemoCoverage(
  plan: DemoCoveragePlan,
  onProgress: StudyRun['onProgress'] = () => {},
): Promise<DemoCoverage> {
  const truth = await largeSampleLimit(plan, onProgress)
  const fits: ComparisonFit[] = []
  for (let replicate = 0; replicate < plan.replicates; replicate++) {
    const rows = await demoComparison(demoSettings({ seed: plan.firstReplicateSeed + replicate }))
    const fit = fitComparison(rows)
    if (fit !== undefined) fits.push(fit)
    onProgress('groups', (replicate + 1) / plan.replicates)
  }
  const mean = (value: (fit: ComparisonFit) => number): number =>
    fits.reduce((sum, fit) => sum + value(fit), 0) / fits.length
  const { single, repeated_in_window } = demoSettings().scenario.hazardRatios.tightening
  return Object.freeze({
    truth,
    conditionalLogHazardRatio: Math.log(repeated_in_window / single),
    robust: intervalPerformance(
      truth.robust.estimate,
      fits.map((fit) => fit.robust),
    ),
    naive: intervalPerformance(
      truth.robust.estimate,
      fits.map((fit) => fit.naive),
    ),
    notEstimable: plan.replicates - fits.length,
    meanEvents: mean((fit) => fit.events),
    meanRows: mean((fit) => fit.rows),
  })
}

async function largeSampleLimit(
  plan: DemoCoveragePlan,
  onProgress: StudyRun['onProgress'],
): Promise<ComparisonFit> {
  const groups: ComparisonRows[] = []
  for (let group = 0; group < plan.truthGroups; group++) {
    const seed = plan.firstTruthSeed + group
    groups.push(await demoComparison(demoSettings({ seed, restorations: plan.truthRestorations })))
    onProgress('truth', (group + 1) / plan.truthGroups)
  }
  const fit = fitComparison(joinedRows(groups))
  if (fit === undefined)
    throw new RangeError('the large groups gave no estimate, so there is no truth to cover')
  return fit
}

/** The result as two Markdown tables, as they stand in the page. */
export function coverageTable(found: DemoCoverage): string {
  const { truth } = found
  const ratio = (logRatio: number): string => Math.exp(logRatio).toFixed(3)
  const number = (value: number): string => value.toFixed(4)
  const line = (what: string, value: (one: IntervalPerformance) => string): string =>
    `| ${what} | ${value(found.robust)} | ${value(found.naive)} |`
  return [
    '| truth | log hazard ratio | hazard ratio |',
    '|---|---|---|',
    `| conditional, as put in | ${number(found.conditionalLogHazardRatio)} | ${ratio(found.conditionalLogHazardRatio)} |`,
    `| marginal, the large-sample limit (${truth.rows} restorations compared, ${truth.events} events) | ${number(truth.robust.estimate)} (standard error ${number(truth.robust.standardError)}) | ${ratio(truth.robust.estimate)} |`,
    '',
    `${found.robust.replicates} groups with an estimate, ${found.notEstimable} without; on average ${found.meanRows.toFixed(0)} restorations compared and ${found.meanEvents.toFixed(1)} events.`,
    '',
    '| | patient-robust | naive |',
    '|---|---|---|',
    line(
      'coverage of the 95% interval',
      (one) => `${percent(shareOf(one.coverage))} (Monte Carlo error ${percent(one.coverageError)})`,
    ),
    line('Wilson interval of the coverage', (one) => limitsOf(one.coverage)),
    line(
      'intervals wholly above, wholly below the truth',
      (one) => `${percent(one.above)}, ${percent(one.below)}`,
    ),
    line(
      'bias of the log hazard ratio',
      (one) => `${number(one.bias)} (Monte Carlo error ${number(one.biasError)})`,
    ),
    line('standard deviation of the estimates', (one) => number(one.empiricalError)),
    line('standard error reported (root mean square)', (one) => number(one.reportedError)),
    '',
  ].join('\n')
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)}%`
}

function shareOf(coverage: Estimate): number {
  return isNumber(coverage.estimate) ? coverage.estimate : 0
}

function limitsOf(coverage: Estimate): string {
  const { lower, upper } = coverage.interval
  return isNumber(lower) && isNumber(upper) ? `${percent(lower)} to ${percent(upper)}` : 'none'
}
