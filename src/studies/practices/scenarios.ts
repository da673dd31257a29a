import {
  type ByArm,
  baseline,
  type ClaimRule,
  likeOperators,
  type OperatorTraits,
  type PracticeTraits,
  type Recall,
  type Recording,
  type Scenario,
} from './scenario.js'

type Changes = Partial<Omit<PracticeTraits, 'recall' | 'recording' | 'leaving'>> & {
  readonly recall?: Partial<Recall>
  readonly recording?: Partial<Recording>
  readonly leaving?: Partial<PracticeTraits['leaving']>
}

function scenario(name: string, about: string, mayClaim: ClaimRule, changes: Changes): Scenario {
  const traits: PracticeTraits = {
    ...baseline,
    ...changes,
    recall: { ...baseline.recall, ...changes.recall },
    recording: { ...baseline.recording, ...changes.recording },
    leaving: { ...baseline.leaving, ...changes.leaving },
  }
  return { name, about, mayClaim, traits }
}

/** Operators whose skill goes with (or against) their liking for the second tightening. */
function unlikeOperators(count: number, careful: 'repeat' | 'tighten-once'): readonly OperatorTraits[] {
  return Array.from({ length: count }, (_, index) => {
    const place = index / (count - 1)
    const liking = 0.12 + 0.76 * place
    return {
      share: 1 + (index % 3) / 2,
      hazardRatio: 2.2 ** (1 - 2 * place),
      repeatedShare: careful === 'repeat' ? liking : 1 - liking,
      clinic: 0,
    }
  })
}

/** Operators of several clinics; clinics differ in their crowns' hazard and in the way that prevails. */
function clinicOperators(clinics: number, each: number): readonly OperatorTraits[] {
  return Array.from({ length: clinics * each }, (_, index) => {
    const clinic = Math.floor(index / each)
    return {
      share: 1 + (clinic % 3) / 2,
      hazardRatio: [0.85, 1.2][index % 2]!,
      repeatedShare: 0.2 + (0.6 * clinic) / (clinics - 1),
      clinic,
    }
  })
}

const severalClinics: Changes = {
  operators: clinicOperators(5, 2),
  clinicHazardRatios: [1.9, 1.35, 1, 0.75, 0.55],
}
const muchMore: ByArm<number> = { single: 1.5, repeated: 0.25 }

const nulls: readonly Scenario[] = [
  scenario('null-1000', 'no effect, 1000 crowns', 'no-direction', { restorations: 1000 }),
  scenario('null-600', 'no effect, 600 crowns', 'no-direction', {}),
  scenario('null-300', 'no effect, 300 crowns', 'no-direction', { restorations: 300 }),
  scenario('null-150', 'no effect, 150 crowns', 'no-direction', { restorations: 150 }),
  scenario('null-150-12-operators', 'no effect, 150 crowns, twelve operators', 'no-direction', {
    restorations: 150,
    operators: likeOperators(12),
  }),
  scenario(
    'period-recorded',
    'later crowns do better by a new system that the records name',
    'no-direction',
    {
      restorations: 1000,
      trendPerYear: -0.1,
      step: { atYears: 3.5, hazardRatio: 0.4, withSystem: true },
      preference: { perYear: 0.6 },
    },
  ),
  scenario('period-unrecorded', 'later crowns do better by a change that nobody wrote down', 'no-direction', {
    restorations: 1000,
    step: { atYears: 3, hazardRatio: 0.35, withSystem: false },
    preference: { perYear: 0, shift: { atYears: 3.5, logOdds: 3.5, widthYears: 1.5 } },
  }),
  scenario(
    'period-trend-unrecorded',
    'the hazard falls from year to year, the choice moves with it',
    'no-direction',
    {
      restorations: 1000,
      trendPerYear: -0.22,
      preference: { perYear: 0.5 },
    },
  ),
  ...([3, 12] as const).flatMap((count) => [
    scenario(
      `operators-${count}-careful-repeat`,
      `${count} operators; those whose crowns hold tighten again`,
      'no-direction',
      { restorations: 1000, operators: unlikeOperators(count, 'repeat') },
    ),
    scenario(
      `operators-${count}-careful-once`,
      `${count} operators; those whose crowns hold tighten once`,
      'no-direction',
      { restorations: 1000, operators: unlikeOperators(count, 'tighten-once') },
    ),
  ]),
  scenario(
    'several-clinics',
    'five clinics that differ in crowns and in the way that prevails',
    'no-direction',
    {
      restorations: 1000,
      ...severalClinics,
    },
  ),
  scenario('few-patients', '150 crowns in 20 patients, strong frailty', 'no-direction', {
    restorations: 150,
    crownsPerPatient: [0, 0, 0, 0, 0, 0, 0.5, 0.5],
    frailtyVariance: 1.5,
    leaving: { perYear: 0.02 },
  }),
  scenario('crowns-30', '30 crowns', 'no-direction', { restorations: 30 }),
  scenario('bruxism-missing', 'bruxism missing by a third, by outcome and group', 'no-direction', {
    restorations: 1000,
    recording: {
      bruxismMissing: {
        found: { single: 0.15, repeated: 0.8 },
        notFound: { single: 0.45, repeated: 0.2 },
      },
    },
  }),
]

const effects: readonly Scenario[] = ([2000, 1000, 300, 150] as const).flatMap((restorations) =>
  ([0.5, 2] as const).map((ratio) =>
    scenario(
      `${ratio === 0.5 ? 'halved' : 'doubled'}-${restorations}`,
      `hazard ratio ${ratio}, ${restorations} crowns`,
      ratio < 1 ? 'lower' : 'higher',
      { restorations, treatmentHazardRatio: ratio },
    ),
  ),
)

/** Where loosening is as frequent as in reviews at five years, and more: by three years in the single group. */
const frequentEffects: readonly Scenario[] = (
  [
    ['frequent', 1000, '13 %', 0.0235],
    ['frequent', 2000, '13 %', 0.0235],
    ['common', 1000, '20 %', 0.0385],
  ] as const
).flatMap(([name, restorations, share, hazard]) =>
  ([0.5, 2] as const).map((ratio) =>
    scenario(
      `${ratio === 0.5 ? 'halved' : 'doubled'}-${restorations}-${name}`,
      `hazard ratio ${ratio}, ${restorations} crowns, ${share} loosened by 3 years in the single group`,
      ratio < 1 ? 'lower' : 'higher',
      { restorations, treatmentHazardRatio: ratio, hazard },
    ),
  ),
)

const harderEffects: readonly Scenario[] = ([0.5, 2] as const).flatMap((ratio) => {
  const name = ratio === 0.5 ? 'halved' : 'doubled'
  const rule: ClaimRule = ratio < 1 ? 'lower' : 'higher'
  const changes: Changes = { restorations: 1000, treatmentHazardRatio: ratio }
  return [
    scenario(`${name}-12-operators`, `hazard ratio ${ratio}, twelve unlike operators`, rule, {
      ...changes,
      operators: unlikeOperators(12, 'repeat'),
    }),
    scenario(`${name}-several-clinics`, `hazard ratio ${ratio}, five clinics`, rule, {
      ...changes,
      ...severalClinics,
    }),
    scenario(`${name}-recall-much-more`, `hazard ratio ${ratio}, recall very unequal`, rule, {
      ...changes,
      recall: { intervalYears: muchMore },
    }),
    scenario(
      `${name}-half-afterwards`,
      `hazard ratio ${ratio}, half of the group charted afterwards`,
      'no-direction',
      {
        ...changes,
        operators: likeOperators(3).map((one) => ({ ...one, repeatedShare: 0.27 })),
        later: { chance: 0.62, rowWritten: false },
      },
    ),
  ]
})

const looking: readonly Scenario[] = [
  scenario('recall-twice-repeated', 'the repeated group is recalled twice as often', 'no-direction', {
    restorations: 1000,
    recall: { intervalYears: { single: 1, repeated: 0.5 } },
  }),
  scenario('recall-twice-single', 'the single group is recalled twice as often', 'no-direction', {
    restorations: 1000,
    recall: { intervalYears: { single: 0.5, repeated: 1 } },
  }),
  scenario('recall-much-more', 'three months against one and a half years', 'no-direction', {
    restorations: 1000,
    recall: { intervalYears: muchMore },
  }),
  scenario('recall-much-more-single', 'one and a half years against three months', 'no-direction', {
    restorations: 1000,
    recall: { intervalYears: { single: 0.25, repeated: 1.5 } },
  }),
  scenario('recall-much-more-blank', 'very unequal recall, visit type blank', 'no-direction', {
    restorations: 1000,
    recall: { intervalYears: muchMore, codedAs: '' },
  }),
  scenario('recall-much-more-unscheduled', 'very unequal recall, coded as unscheduled', 'no-direction', {
    restorations: 1000,
    recall: { intervalYears: muchMore, codedAs: 'unscheduled' },
  }),
  scenario('recall-blank', 'yearly recall, visit type blank', 'no-direction', {
    restorations: 1000,
    recall: { codedAs: '' },
  }),
  scenario('recall-unscheduled', 'yearly recall, coded as unscheduled', 'no-direction', {
    restorations: 1000,
    recall: { codedAs: 'unscheduled' },
  }),
  ...([0.5, 2] as const).map((years) =>
    scenario(`recall-${years * 12}-months`, `everybody every ${years * 12} months`, 'no-direction', {
      deliveryYears: 5,
      recall: { intervalYears: { single: years, repeated: years } },
    }),
  ),
  ...([20, 30, 80, 100] as const).map((percent) =>
    scenario(`ticks-blank-${percent}`, `${percent} % of the ticks left blank`, 'no-direction', {
      recording: { blankTicks: percent / 100 },
    }),
  ),
  scenario(
    'ticks-blank-80-yes',
    '80 % of the ticks that say yes left blank, none that say no',
    'no-direction',
    {
      recording: { blankTicks: 0.8, blankNo: false },
    },
  ),
  scenario('findings-marked-no', 'a fifth of the findings at visits marked no', 'no-direction', {
    recording: { findingsMarkedNo: 0.2 },
  }),
  scenario('looked-at-daily', 'a clean look the day before every finding', 'no-direction', {
    recall: { lookedAtDaily: true },
  }),
]

const losing: readonly Scenario[] = [
  scenario(
    'loosened-leave-repeated',
    'half of the loosenings of the repeated group leave unseen',
    'no-direction',
    {
      restorations: 1000,
      leaving: { onLoosening: { single: 0, repeated: 0.5 } },
    },
  ),
  scenario(
    'loosened-leave-single',
    'half of the loosenings of the single group leave unseen',
    'no-direction',
    {
      restorations: 1000,
      leaving: { onLoosening: { single: 0.5, repeated: 0 } },
    },
  ),
  scenario('loosened-leave-both', 'half of the loosenings leave unseen, in both groups', 'no-direction', {
    restorations: 1000,
    leaving: { onLoosening: { single: 0.5, repeated: 0.5 } },
  }),
  scenario('rarely-seen', 'a third never come, few attend: many were never looked at', 'no-direction', {
    recall: { neverCome: 0.33, attendance: 0.5 },
    leaving: { perYear: 0.25 },
  }),
  scenario(
    'delayed-entry',
    'records begin three years after the first delivery, with a look at every crown taken up',
    'no-direction',
    { restorations: 1000, recording: { beginsYears: 3 } },
  ),
  scenario(
    'delayed-entry-unlooked',
    'the same without a look on that day: some were loose already',
    'no-direction',
    { restorations: 1000, recording: { beginsYears: 3, beginsWithLook: false } },
  ),
  scenario(
    'short-follow-up',
    '60 crowns of the last one and a half years: few events or none',
    'no-direction',
    {
      restorations: 60,
      hazard: 0.04,
      earlyExcess: 0,
      deliveryYears: 1,
      cutOffYears: 1.5,
      recall: { intervalYears: { single: 0.25, repeated: 0.25 }, jitterDays: 10 },
    },
  ),
]

const protocol: readonly Scenario[] = [
  scenario(
    'charted-afterwards-all',
    'every repeated in the chart is a later visit, no row',
    'no-comparison',
    {
      restorations: 1000,
      operators: likeOperators(3).map((one) => ({ ...one, repeatedShare: 0 })),
      later: { chance: 0.57, rowWritten: false },
    },
  ),
  scenario('charted-afterwards-all-300', 'the same with 300 crowns', 'no-direction', {
    restorations: 300,
    operators: likeOperators(3).map((one) => ({ ...one, repeatedShare: 0 })),
    later: { chance: 0.57, rowWritten: false },
  }),
  scenario('charted-afterwards-rows', 'later tightenings with rows, charted as repeated', 'no-comparison', {
    restorations: 1000,
    operators: likeOperators(3).map((one) => ({ ...one, repeatedShare: 0 })),
    later: { chance: 0.57, rowWritten: true },
  }),
  scenario('charted-afterwards-tenth', 'a tenth of the repeated group charted afterwards', 'no-direction', {
    restorations: 1000,
    later: { chance: 0.19, rowWritten: false },
  }),
  scenario('charted-afterwards-half', 'half of the repeated group charted afterwards', 'no-direction', {
    restorations: 1000,
    operators: likeOperators(3).map((one) => ({ ...one, repeatedShare: 0.27 })),
    later: { chance: 0.62, rowWritten: false },
  }),
  scenario('chart-only', 'no tightening rows at all', 'no-direction', {
    restorations: 1000,
    recording: { rowsShare: 0 },
  }),
  scenario('chart-only-halved', 'hazard ratio 0.5, no tightening rows at all', 'no-direction', {
    restorations: 1000,
    treatmentHazardRatio: 0.5,
    recording: { rowsShare: 0 },
  }),
  scenario('minutes-half', 'second tightenings with rows, half of them without minutes', 'no-direction', {
    restorations: 1000,
    recording: { minutesShare: 0.5 },
  }),
  scenario('operators-decide', 'each operator uses one way only', 'no-comparison', {
    restorations: 1000,
    operators: unlikeOperators(4, 'repeat').map((one) => ({
      ...one,
      repeatedShare: one.repeatedShare < 0.5 ? 0 : 1,
    })),
  }),
  scenario('dates-decide', 'everybody changed overnight', 'no-comparison', {
    restorations: 1000,
    trendPerYear: -0.1,
    preference: { perYear: 0, shift: { atYears: 3.5, logOdds: 60, widthYears: 0 } },
  }),
]

/** Every practice with a known truth, by name. */
export const scenarios: readonly Scenario[] = [
  ...nulls,
  ...effects,
  ...frequentEffects,
  ...harderEffects,
  ...looking,
  ...losing,
  ...protocol,
]

/** The scenario of a name; undefined where there is none. */
export function scenarioNamed(name: string): Scenario | undefined {
  return scenarios.find((one) => one.name === name)
}
