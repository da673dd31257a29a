import type { Cohort } from '../cohort/cohort.js'
import type { Quantity, TestResult } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { permutationTest } from '../statistics/permutationTest.js'
import type { ResamplingOptions } from '../statistics/resampling.js'
import { type Compared, comparedRows, countEvents } from './compared.js'
import { type ComparisonCore, comparisonCore, fairSetting } from './comparisonCore.js'
import type { FairSetting } from './fairSetting.js'
import type { Lead } from './leading.js'
import { type NegativeControl, negativeControl } from './negativeControl.js'
import { type NumberNeeded, numberNeeded } from './numberNeeded.js'
import { type AnalysisPlan, type Departure, defaultPlan, departures } from './planFile.js'
import { type AnalysisSettings, defaultSettings } from './settings.js'
import type { ComparisonVariant } from './variant.js'
import { bootstrappedDoublyRobust, populationsOf } from './variants/doublyRobust.js'
import { type CrudeDifference, crudeDifferences } from './variants/risk.js'
import { choiceModel } from './variants/weighted.js'
import { type WhatCouldBeWrong, whatCouldBeWrong } from './whatCouldBeWrong.js'
import type { WhoWasCompared } from './whoWasCompared.js'

export { leadingEstimate } from './comparisonCore.js'
export type { LeftOutReason as AdjustmentReason } from './knownInEnough.js'
export type { Lead, LeadReason } from './leading.js'
export type { NegativeControl } from './negativeControl.js'
export type { NumberNeeded } from './numberNeeded.js'
export type { Reading } from './reading.js'
export type { RestorationsNeeded } from './restorationsNeeded.js'
export type { AssumptionKey, ComparisonVariant, EstimandScale, VariantRole } from './variant.js'
export type { CrudeDifference } from './variants/risk.js'

/** Crude difference of risks at a horizon, with the number needed. */
export interface HorizonDifference extends CrudeDifference {
  readonly numberNeeded?: NumberNeeded
  readonly thin: boolean
}

/** Answer to "one tightening or two", with everything an honest opponent would ask for. */
export interface FairComparison {
  readonly group: string
  readonly against: string
  readonly plan: AnalysisPlan
  readonly departures: readonly Departure[]
  /** Horizon of the primary contrast, as used. */
  readonly horizonYears: number
  /** Horizon of the restricted mean; absent where too few are at risk at any. */
  readonly restrictedMeanYears?: number
  readonly lead: Lead
  readonly who: WhoWasCompared
  readonly horizons: readonly HorizonDifference[]
  /** Every way in which the groups were set against each other, one row each, the lead among them. */
  readonly variants: readonly ComparisonVariant[]
  /** Whether the adjusted hazard ratio changes with time; absent where it could not be tested. */
  readonly proportionalHazards?: TestResult
  /** Exchange of whole patients within clinic and year of delivery, with fewer than 20 events. */
  readonly permutation?: TestResult
  readonly negativeControl?: NegativeControl
  /** Change of the lead's difference when loosening is placed between looks. */
  readonly shiftBetweenLooks: Quantity
  readonly wrong: WhatCouldBeWrong
  readonly level: number
}

/** Events below which a permutation test stands beside the estimates. */
const fewForPermutation = 20

/**
 * Sets two exposure groups of the delivery day against each other in every way of the plan, lets one lead by rules that
 * were fixed before any result, and tries what could be wrong with it.
 *
 * @param cohort restorations with time at risk
 * @param settings level, horizons, least number at risk, seed, plan; default `defaultSettings` with `defaultPlan`
 * @returns undefined where one of the two groups is empty
 */
export function fairComparison(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): FairComparison | undefined {
  return withFaults(cohort, settings, comparisonCore(cohort, settings))
}

/**
 * The same with percentile limits of a patient bootstrap for the doubly robust differences: in every sample of whole
 * patients the model of the choice, the model of the outcome and the weights for censoring are estimated anew.
 *
 * @param cohort as fairComparison
 * @param settings as fairComparison; the seed of the resampling is that of the settings unless it names its own
 * @param resampling replicates 2,000, threads those of the machine
 */
export async function bootstrappedComparison(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
  resampling: ResamplingOptions = {},
): Promise<FairComparison | undefined> {
  const plan = settings.plan ?? defaultPlan
  const compared = comparedRows(cohort, { group: plan.group, against: plan.against })
  if (compared === undefined) return undefined
  const { level, horizonYears, seed } = fairSetting(compared, plan, settings)
  const choice = choiceModel(cohort, compared, plan)
  if (!('weighting' in choice)) return fairComparison(cohort, settings)
  const robust: ComparisonVariant[] = []
  for (const target of populationsOf(choice)) {
    robust.push(await bootstrappedDoublyRobust(choice, target, horizonYears, level, { seed, ...resampling }))
  }
  return withFaults(cohort, settings, comparisonCore(cohort, settings, robust))
}

/** The comparison with everything that could be wrong with it. */
function withFaults(
  cohort: Cohort,
  settings: AnalysisSettings,
  core: ComparisonCore | undefined,
): FairComparison | undefined {
  if (core === undefined) return undefined
  const { compared, setting, choice, hazard, variants, who, schedules, shift, proportionalHazards, lead } =
    core
  const leadKey = lead.variant
  const wrong = whatCouldBeWrong({ cohort, compared, setting, choice, hazard, schedules, leadKey, variants })
  const control = negativeControl(leadKey, cohort, setting)
  const permutation = permuted(cohort, compared, settings)
  return deepFreeze({
    ...compared.names,
    plan: setting.plan,
    departures: allDepartures(cohort, setting, settings),
    horizonYears: setting.horizonYears,
    ...(setting.tauYears === undefined ? {} : { restrictedMeanYears: setting.tauYears }),
    lead,
    who,
    horizons: horizonDifferences(compared, settings),
    variants: [...variants, ...wrong.variants, ...(control?.variants ?? [])],
    ...(proportionalHazards === undefined ? {} : { proportionalHazards }),
    ...(permutation === undefined ? {} : { permutation }),
    ...(control === undefined ? {} : { negativeControl: control }),
    shiftBetweenLooks: shift,
    wrong,
    level: setting.level,
  })
}

function permuted(cohort: Cohort, compared: Compared, settings: AnalysisSettings): TestResult | undefined {
  const events = countEvents(compared)
  if (events === 0 || events >= fewForPermutation) return undefined
  const { rows, inGroup } = compared
  return permutationTest(rows.timeDays, rows.event, inGroup, rows.patient, {
    entry: rows.entryDays,
    strata: Array.from(rows.row, (row) => `${cohort.clinic.codes[row]}|${cohort.deliveryYear[row]}`),
    seed: settings.seed,
  })
}

function horizonDifferences(
  compared: Compared,
  { horizonsYears, level, leastAtRisk }: AnalysisSettings,
): readonly HorizonDifference[] {
  return crudeDifferences(compared, horizonsYears, level).map((one) => {
    const needed = numberNeeded(one.difference)
    return {
      ...one,
      thin: Math.min(...one.atRisk) < leastAtRisk,
      ...(needed === undefined ? {} : { numberNeeded: needed }),
    }
  })
}

function allDepartures(
  cohort: Cohort,
  { plan, horizonYears }: FairSetting,
  { level, horizonsYears }: AnalysisSettings,
): readonly Departure[] {
  const planned = plan.primary.horizonYears
  return [
    ...departures(plan, { definition: cohort.definition, level, horizonsYears }),
    ...(horizonYears === planned
      ? []
      : [{ field: 'primary.horizonYears', planned: String(planned), used: String(horizonYears) }]),
  ]
}
