import type { Cohort } from '../cohort/cohort.js'
import { HoldfastError } from '../core/errors.js'
import { isNumber, type Quantity, type TestResult } from '../core/estimate.js'
import { proportionalHazardsTest } from '../statistics/regression/proportionalHazards.js'
import type { Adjustment } from './adjustment.js'
import { shiftBetweenLooks } from './betweenLooks.js'
import { timesAtRisk } from './cohortRows.js'
import { type Compared, comparedRows, countEvents } from './compared.js'
import type { FairSetting } from './fairSetting.js'
import { type Lead, leadOf } from './leading.js'
import { type AnalysisPlan, defaultPlan } from './planFile.js'
import { type AnalysisSettings, defaultSettings } from './settings.js'
import type { ComparisonVariant } from './variant.js'
import { doublyRobustVariants, lateEntryShare } from './variants/doublyRobust.js'
import {
  frailtyVariant,
  hazardAdjustment,
  hazardVariants,
  isSparse,
  penalisedVariant,
} from './variants/hazard.js'
import {
  crudeRiskVariant,
  longestHorizon,
  rateRatioVariant,
  restrictedMeanVariant,
  subdistributionVariant,
} from './variants/risk.js'
import { type Choice, choiceModel, weightedVariants } from './variants/weighted.js'
import { type VisitSchedules, visitSchedules } from './visitSchedules.js'
import { type WhoWasCompared, whoWasCompared } from './whoWasCompared.js'

/** The comparison up to what leads. */
export interface ComparisonCore {
  readonly compared: Compared
  readonly setting: FairSetting
  readonly choice: Choice
  readonly hazard: Adjustment | undefined
  readonly variants: readonly ComparisonVariant[]
  readonly who: WhoWasCompared
  readonly schedules: VisitSchedules
  readonly shift: Quantity
  readonly proportionalHazards: TestResult | undefined
  readonly lead: Lead
}

/** P value of the test of proportional hazards below which a hazard ratio does not lead. */
const notProportional = 0.05

/**
 * What leads a comparison, without the search for what could be wrong with it.
 *
 * @returns undefined where one of the two groups is empty
 */
export function leadingEstimate(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): Lead | undefined {
  return comparisonCore(cohort, settings)?.lead
}

/**
 * The two groups, every way of setting them against each other, and what leads.
 *
 * @param robust doubly robust differences that were computed before, in place of those without a bootstrap
 */
export function comparisonCore(
  cohort: Cohort,
  settings: AnalysisSettings,
  robust?: readonly ComparisonVariant[],
): ComparisonCore | undefined {
  const plan = settings.plan ?? defaultPlan
  const compared = comparedRows(cohort, { group: plan.group, against: plan.against })
  if (compared === undefined) return undefined
  const setting = fairSetting(compared, plan, settings)
  const choice = choiceModel(cohort, compared, plan)
  const hazard = hazardAdjustment(cohort, compared, plan)
  const variants = mainVariants(cohort, compared, setting, choice, hazard, robust)
  const who = whoWasCompared(cohort, compared, choice, hazard)
  const schedules = visitSchedules(cohort, compared, setting.level)
  const shift = leadShift(cohort, compared, setting, choice)
  const proportionalHazards = proportionality(compared, hazard)
  const modelled = 'weighting' in choice
  const lead = leadOf({
    cohort,
    compared,
    plan,
    who,
    variants,
    population: modelled ? choice.weighting.leading : undefined,
    coefficientsOfChoice: modelled ? choice.adjustment.coefficients : 0,
    lateEntryShare: lateEntryShare(compared),
    hazardsProportional: !(
      proportionalHazards !== undefined && isBelow(proportionalHazards.pValue, notProportional)
    ),
    shiftBetweenLooks: isNumber(shift) ? shift : undefined,
    schedulesDiffer: schedules.differ,
  })
  return { compared, setting, choice, hazard, variants, who, schedules, shift, proportionalHazards, lead }
}

/** Settles what the whole comparison is computed with; the horizon of the plan, or the longest that both groups reach. */
export function fairSetting(compared: Compared, plan: AnalysisPlan, settings: AnalysisSettings): FairSetting {
  const { level, horizonsYears, leastAtRisk, seed, detail = 'standard' } = settings
  const planned = plan.primary.horizonYears
  const reached = (least: number): number | undefined =>
    longestHorizon(compared, planned, plan.horizonsYears, least)
  return {
    plan,
    level,
    horizonsYears,
    leastAtRisk,
    seed,
    horizonYears: reached(leastAtRisk) ?? reached(1) ?? planned,
    tauYears: reached(leastAtRisk),
    full: detail === 'full',
  }
}

/** Every row of the table that belongs to the comparison itself. */
function mainVariants(
  cohort: Cohort,
  compared: Compared,
  setting: FairSetting,
  choice: Choice,
  hazard: Adjustment | undefined,
  robust: readonly ComparisonVariant[] | undefined,
): readonly ComparisonVariant[] {
  const { level, horizonYears, tauYears, full } = setting
  const hazards = hazardVariants(cohort, compared, hazard, level)
  const adjusted = hazards.find(({ key }) => key === 'hazard-ratio-adjusted')
  const sparse = hazard !== undefined && adjusted !== undefined && isSparse(hazard, adjusted.contrast)
  const subdistribution = subdistributionVariant(compared, level)
  return [
    crudeRiskVariant(compared, horizonYears, level),
    ...('weighting' in choice
      ? [
          ...(robust ?? doublyRobustVariants(choice, horizonYears, level)),
          ...weightedVariants(choice, horizonYears, tauYears, level),
        ]
      : []),
    ...hazards,
    ...(hazard !== undefined && (sparse || full) ? [penalisedVariant(hazard, level)] : []),
    ...(hazard !== undefined && full && repeats(hazard.compared) ? [frailtyVariant(hazard, level)] : []),
    ...(tauYears === undefined ? [] : [restrictedMeanVariant(compared, tauYears, level)]),
    rateRatioVariant(compared, level),
    ...(subdistribution === undefined ? [] : [subdistribution]),
  ]
}

function repeats({ rows }: Compared): boolean {
  return new Set(rows.patient).size < rows.n
}

/** Change of the difference when loosening is placed between looks, under the weights that lead. */
function leadShift(
  cohort: Cohort,
  compared: Compared,
  { horizonYears, level }: FairSetting,
  choice: Choice,
): Quantity {
  if (!('weighting' in choice)) return shiftBetweenLooks(cohort, compared, horizonYears, level)
  const { weighting, adjustment } = choice
  const { weights } = weighting.leading === 'average' ? weighting.average! : weighting.overlap
  return shiftBetweenLooks(cohort, adjustment.compared, horizonYears, level, weights.weights)
}

/** Test of whether the group's hazard ratio, adjusted where it can be, changes with time. */
function proportionality(compared: Compared, hazard: Adjustment | undefined): TestResult | undefined {
  const { rows, inGroup } = hazard?.compared ?? compared
  if (countEvents(compared) === 0) return undefined
  try {
    const tests = proportionalHazardsTest(
      timesAtRisk(rows),
      { tightening: inGroup, ...hazard?.covariates },
      {
        clusters: rows.patient,
        ...(hazard?.strata === undefined ? {} : { strata: hazard.strata }),
      },
    )
    const { name: _own, ...test } = tests.covariates[0]!
    return test
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return undefined
    throw thrown
  }
}

function isBelow(quantity: Quantity, bound: number): boolean {
  return isNumber(quantity) && quantity < bound
}
