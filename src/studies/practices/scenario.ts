/** Groups of the comparison. `repeated`: tightened again on the delivery day, 10 to 15 minutes later. */
export type Arm = 'single' | 'repeated'

/** One value for each group. */
export interface ByArm<Value> {
  readonly single: Value
  readonly repeated: Value
}

/** An operator: what happens to the crowns, and which way is preferred. */
export interface OperatorTraits {
  /** Share of the patients, before normalising. */
  readonly share: number
  /** Factor on the hazard of loosening. */
  readonly hazardRatio: number
  /** Probability of tightening again in an average crown; 0 or 1 where the operator knows one way only. */
  readonly repeatedShare: number
  /** Clinic to which the operator belongs, counted from 0. */
  readonly clinic: number
}

/** A change on a calendar day of delivery, given in years since the first delivery. */
export interface StepChange {
  readonly atYears: number
  /** Factor on the hazard of loosening of crowns delivered from then on. */
  readonly hazardRatio: number
  /** Whether it came with another component system, which the records name. */
  readonly withSystem: boolean
}

/** How the choice of the group moves with the calendar. */
export interface PreferenceCourse {
  /** Change of the log odds a year. */
  readonly perYear: number
  /** Change of the log odds around a day, spread over some years; a width of 0 is a change overnight. */
  readonly shift?: { readonly atYears: number; readonly logOdds: number; readonly widthYears: number }
}

/** Crowns tightened again at a later visit that found them tight, and written into the chart as repeated. */
export interface LaterTightening {
  /** Chance that a crown of the single group is taken up at its first clean look. */
  readonly chance: number
  /** Whether a tightening row dated at that visit is written too. */
  readonly rowWritten: boolean
}

/** What the records leave out. */
export interface Recording {
  /** Share of the restorations with tightening rows; the others have the chart's word only. */
  readonly rowsShare: number
  /** Share of the rows of a second tightening that carry minutes. */
  readonly minutesShare: number
  /** Share of the ticks left blank, whatever was found. */
  readonly blankTicks: number
  /** Whether ticks that would say no are left blank as well; default yes. */
  readonly blankNo?: boolean
  /** Share of the findings of loosening that stand at a visit whose tick says no. */
  readonly findingsMarkedNo: number
  /** Chance that bruxism is missing, by outcome (loosening found or not) and group. */
  readonly bruxismMissing?: { readonly found: ByArm<number>; readonly notFound: ByArm<number> }
  /** Records begin so many years after the first delivery: earlier crowns enter late, if still in care. */
  readonly beginsYears?: number
  /** Whether the screw of a crown that enters late is tested on that day, and a loose one not taken up; default yes. */
  readonly beginsWithLook?: boolean
}

/** How crowns are looked at. */
export interface Recall {
  readonly intervalYears: ByArm<number>
  readonly jitterDays: number
  readonly attendance: number
  /** Share of the visits in person at which the screw is not tested, and the tick says so. */
  readonly untested: number
  /** Visit type written for visits at recall; an empty text leaves it blank. */
  readonly codedAs: 'scheduled' | 'unscheduled' | ''
  /** Share of the patients who never come to a recall. */
  readonly neverCome: number
  /** Share of the loosenings that bring the patient at once. */
  readonly comesAtOnce: number
  /** Mean days until such a patient comes. */
  readonly delayDays: number
  /** Whether a look that finds a loose screw follows a clean look of the day before: nothing is then unknown. */
  readonly lookedAtDaily: boolean
}

/** How patients are lost. */
export interface Leaving {
  readonly perYear: number
  /** Share of the loosenings after which the patient never comes again, by group. */
  readonly onLoosening: ByArm<number>
}

/** Everything that is true of a practice. Times in years, hazards per year. */
export interface PracticeTraits {
  readonly restorations: number
  /** Number of crowns of a patient by its chances: the first entry is the chance of one crown. */
  readonly crownsPerPatient: readonly number[]
  /** Variance of the gamma frailty (mean 1) that the crowns of a patient share. */
  readonly frailtyVariance: number
  /** Constant hazard of loosening of the reference crown, once the early excess is over. */
  readonly hazard: number
  /** The hazard at delivery is 1 + excess times that; the excess fades with this mean time. */
  readonly earlyExcess: number
  readonly excessFadesYears: number
  /** Conditional hazard ratio of the repeated group against the single group. */
  readonly treatmentHazardRatio: number
  readonly deliveryYears: number
  /** From the first delivery to the day on which the records end. */
  readonly cutOffYears: number
  readonly operators: readonly OperatorTraits[]
  readonly clinicHazardRatios: readonly number[]
  readonly trendPerYear: number
  readonly step?: StepChange
  readonly preference: PreferenceCourse
  /** Change of the log odds of tightening again in molars and with probable or definite bruxism. */
  readonly preferenceMolar: number
  readonly preferenceBruxism: number
  readonly removalPerYear: number
  readonly implantLossPerYear: number
  /** Death at 60; it rises by 9 % a year of age. */
  readonly deathPerYear: number
  readonly recall: Recall
  readonly leaving: Leaving
  readonly later: LaterTightening
  readonly recording: Recording
}

/** What an honest audit may say of a scenario. */
export type ClaimRule = 'no-direction' | 'lower' | 'higher' | 'no-comparison'

/** A named practice: what is true, and what may be claimed. */
export interface Scenario {
  readonly name: string
  readonly about: string
  readonly traits: PracticeTraits
  readonly mayClaim: ClaimRule
}

/** Operators without differences in skill, all of them using both ways. */
export function likeOperators(count: number): readonly OperatorTraits[] {
  return Array.from({ length: count }, (_, index) => ({
    share: 1 + (index % 3) / 2,
    hazardRatio: 1,
    repeatedShare: 0.4 + (0.2 * index) / Math.max(1, count - 1),
    clinic: 0,
  }))
}

/** The practice that every scenario changes in one respect: about 8 % loosened by 3 years, no effect. */
export const baseline: PracticeTraits = {
  restorations: 600,
  crownsPerPatient: [0.55, 0.25, 0.12, 0.08],
  frailtyVariance: 0.6,
  hazard: 0.014,
  earlyExcess: 3,
  excessFadesYears: 0.5,
  treatmentHazardRatio: 1,
  deliveryYears: 7,
  cutOffYears: 8.5,
  operators: likeOperators(3),
  clinicHazardRatios: [1],
  trendPerYear: 0,
  preference: { perYear: 0 },
  preferenceMolar: 0.3,
  preferenceBruxism: 0.4,
  removalPerYear: 0.008,
  implantLossPerYear: 0.004,
  deathPerYear: 0.008,
  recall: {
    intervalYears: { single: 1, repeated: 1 },
    jitterDays: 25,
    attendance: 0.88,
    untested: 0.05,
    codedAs: 'scheduled',
    neverCome: 0.01,
    comesAtOnce: 1 / 3,
    delayDays: 5,
    lookedAtDaily: false,
  },
  leaving: { perYear: 0.04, onLoosening: { single: 0, repeated: 0 } },
  later: { chance: 0, rowWritten: false },
  recording: { rowsShare: 0.97, minutesShare: 0.98, blankTicks: 0, findingsMarkedNo: 0 },
}
