import type { Cohort } from '../cohort/cohort.js'
import { isNumber, type Quantity } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import type { Adjustment } from './adjustment.js'
import { type BetweenLooks, betweenLooks } from './betweenLooks.js'
import { rowsOfGroup } from './cohortRows.js'
import type { Compared } from './compared.js'
import type { FairSetting } from './fairSetting.js'
import { medianFollowUp } from './followUp.js'
import type { SensitivityKey } from './planFile.js'
import {
  type MisclassifiedLoosening,
  misclassificationVariants,
  misclassifiedLoosening,
  type UnmeasuredConfounding,
  unmeasuredConfounding,
} from './sensitivity/bias.js'
import { type CompetingEvents, competingEvents, compositeVariants } from './sensitivity/competing.js'
import {
  immortalTimeVariants,
  type LaterTightenings,
  laterTightening,
  periodVariants,
} from './sensitivity/hazards.js'
import { imputedVariants } from './sensitivity/imputedExposure.js'
import { type LostToFollowUp, lostToFollowUp } from './sensitivity/lost.js'
import {
  equalFollowUpVariants,
  lastContactVariants,
  learningVariants,
  reportedLeftOutVariants,
  unknownExposureVariants,
} from './sensitivity/otherRestorations.js'
import type { ComparisonVariant } from './variant.js'
import { censoringWeightVariants } from './variants/doublyRobust.js'
import type { Choice } from './variants/weighted.js'
import type { VisitSchedules } from './visitSchedules.js'

export type { BetweenLooks, RiskBetweenLooks } from './betweenLooks.js'
export type { MisclassifiedLoosening, UnmeasuredConfounding } from './sensitivity/bias.js'
export type { CompetingEvents } from './sensitivity/competing.js'
export type { LaterTightenings } from './sensitivity/hazards.js'
export type { LostToFollowUp } from './sensitivity/lost.js'
export type { VisitSchedules } from './visitSchedules.js'

/** Answer to "what could be wrong with this comparison". */
export interface WhatCouldBeWrong {
  readonly betweenLooks: BetweenLooks
  readonly schedules: VisitSchedules
  readonly competing: CompetingEvents
  /** Median follow-up in years by group, reverse product-limit. */
  readonly medianFollowUpYears: { readonly group: Quantity; readonly against: Quantity }
  readonly later?: LaterTightenings
  readonly lost?: LostToFollowUp
  readonly misclassification?: readonly MisclassifiedLoosening[]
  readonly unmeasured?: UnmeasuredConfounding
  /** Restorations of unknown exposure, which no group holds. */
  readonly unknownExposure: number
  /** The lead under other assumptions, and analyses that are wrong on purpose where the plan asks for them. */
  readonly variants: readonly ComparisonVariant[]
}

/** What the search for faults starts from. */
export interface WrongInput {
  readonly cohort: Cohort
  readonly compared: Compared
  readonly setting: FairSetting
  readonly hazard: Adjustment | undefined
  readonly schedules: VisitSchedules
  readonly choice: Choice
  /** Key of the variant that leads. */
  readonly leadKey: string
  /** Variants of the comparison itself. */
  readonly variants: readonly ComparisonVariant[]
}

/** Tries what could be wrong, as far as the plan's list of sensitivity analyses asks for it. */
export function whatCouldBeWrong(input: WrongInput): WhatCouldBeWrong {
  const { cohort, compared, setting } = input
  const { level, horizonYears, horizonsYears } = setting
  const asked = (key: SensitivityKey): boolean => setting.plan.sensitivity.includes(key)
  const follow = medianFollowUps(cohort, compared, level)
  const later = input.hazard === undefined ? undefined : laterTightening(cohort, input.hazard, level)
  const misclassified = asked('misclassification') ? misclassifiedLoosening(compared, level) : undefined
  const ratio = ['hazard-ratio-adjusted', 'hazard-ratio-penalised', 'hazard-ratio-crude']
    .map((key) => input.variants.find((one) => one.key === key))
    .find((one) => one !== undefined && isNumber(one.contrast.estimate))
  const unmeasured =
    ratio === undefined || !asked('unmeasured-confounding')
      ? undefined
      : unmeasuredConfounding(ratio, compared)
  const unknown = rowsOfGroup(cohort, 'unknown').n
  return deepFreeze({
    betweenLooks: betweenLooks(cohort, compared, horizonsYears, level),
    schedules: input.schedules,
    competing: competingEvents(cohort, compared, horizonYears, level),
    medianFollowUpYears: follow,
    ...(later === undefined || !asked('later-tightening') ? {} : { later: later.later }),
    ...(asked('lost-to-follow-up') ? { lost: lostToFollowUp(cohort, compared, horizonYears, level) } : {}),
    ...(misclassified === undefined ? {} : { misclassification: misclassified }),
    ...(unmeasured === undefined ? {} : { unmeasured }),
    unknownExposure: unknown,
    variants: [
      ...restorationVariants(input, asked, follow),
      ...(later === undefined || !asked('later-tightening') ? [] : later.variants),
      ...(asked('period-categories') && input.hazard !== undefined
        ? periodVariants(cohort, input.hazard, level)
        : []),
      ...(asked('lost-to-follow-up') && 'weighting' in input.choice
        ? censoringWeightVariants(input.choice, horizonYears, level)
        : []),
      ...compositeVariants(compared, horizonYears, level),
      ...(misclassified === undefined
        ? []
        : misclassificationVariants(compared, misclassified, crudeContrast(input))),
      ...(asked('multiple-imputation') ? imputedVariants(cohort, compared, setting) : []),
      ...(asked('immortal-time') ? immortalTimeVariants(cohort, compared, level) : []),
    ],
  })
}

/** The lead's estimator applied to other restorations, exposures or follow-up. */
function restorationVariants(
  { cohort, compared, setting, leadKey }: WrongInput,
  asked: (key: SensitivityKey) => boolean,
  follow: { readonly group: Quantity; readonly against: Quantity },
): readonly ComparisonVariant[] {
  const { group, against } = follow
  const common = isNumber(group) && isNumber(against) ? Math.min(group, against) : undefined
  return [
    ...(asked('last-contact') ? lastContactVariants(leadKey, cohort, compared, setting) : []),
    ...(asked('equal-follow-up') && common !== undefined && common > 0
      ? equalFollowUpVariants(leadKey, cohort, compared, setting, common)
      : []),
    ...(asked('missing-exposure') ? unknownExposureVariants(leadKey, cohort, compared, setting) : []),
    ...(asked('reported-groups-left-out') ? reportedLeftOutVariants(leadKey, cohort, compared, setting) : []),
    ...(asked('first-years-left-out') ? learningVariants(leadKey, cohort, compared, setting) : []),
  ]
}

function medianFollowUps(
  cohort: Cohort,
  { names }: Compared,
  level: number,
): { readonly group: Quantity; readonly against: Quantity } {
  const years = (group: Compared['names']['group']): Quantity =>
    medianFollowUp(rowsOfGroup(cohort, group), level).estimate
  return { group: years(names.group), against: years(names.against) }
}

function crudeContrast({ variants }: WrongInput) {
  return variants.find(({ key }) => key === 'risk-difference-crude')!.contrast
}
