/** What a restoration's screws really went through on the day of delivery. */
export type TrueProtocol =
  | 'single'
  | 'repeated_in_window'
  | 'repeated_outside_window'
  | 'undone_then_tightened'

/** Relative frequencies of labels; they need not sum to 1. */
export type Weights = Readonly<Record<string, number>>

/** A torque device of an invented clinic. */
export interface DemoDevice {
  readonly id: string
  readonly type: string
  /** Systematic error as a share of the target. */
  readonly biasShare: number
  /** Random error, standard deviation as a share of the target. */
  readonly scatterShare: number
  /** Share of tightenings whose achieved torque is written down. */
  readonly achievedRecorded: number
  readonly firstCalibration: string
  readonly calibrationIntervalDays: number
}

/** An operator of an invented clinic; operators differ in what they prefer, not in what happens afterwards. */
export interface DemoOperator {
  readonly id: string
  readonly weight: number
  /** Probability of tightening again, before the site and the patient are looked at. */
  readonly prefersRepeated: number
}

/** An invented clinic. */
export interface DemoClinic {
  readonly id: string
  readonly weight: number
  /** Hazard of loosening against the average clinic. */
  readonly hazardRatio: number
  readonly operators: readonly DemoOperator[]
  readonly devices: readonly DemoDevice[]
  readonly systems: Weights
  readonly reason: string
  /** A change of protocol: the probability of tightening again before and from the date, whatever the operator prefers. */
  readonly protocolChange?: { readonly date: string; readonly before: number; readonly after: number }
  /** Probability of tightening again by component system, where the maker's instruction decides. */
  readonly instructedRepeated?: Weights
  /** First day from which findings were recorded, where that is later than the first delivery. */
  readonly observationStart?: string
  readonly recall: {
    /** Probability of a control two to five weeks after delivery. */
    readonly earlyControl: number
    readonly firstDays: number
    readonly intervalDays: number
    readonly attendance: number
    /** Probability that the screw is checked at a recall. */
    readonly check: number
    /** Probability that a screw found tight at a recall is tightened again there; of no effect on loosening. */
    readonly tighten: number
  }
}

/** Everything that is true of the invented study group, whatever the seed. */
export interface DemoScenario {
  readonly firstDelivery: string
  readonly lastDelivery: string
  readonly endOfObservation: string
  /** Variance of the gamma-distributed frailty (mean 1) that restorations of one patient share. */
  readonly frailtyVariance: number
  /** Weibull cumulative hazard of first loosening for the reference restoration of an average patient. */
  readonly baseline: { readonly weibullShape: number; readonly cumulativeHazardAt3Years: number }
  /** Hazard ratios of first loosening given the patient's frailty (conditional). */
  readonly hazardRatios: {
    readonly tightening: Readonly<Record<TrueProtocol, number>>
    readonly region: Weights
    readonly connection: Weights
    readonly bruxism: Weights
    readonly restorationType: Weights
    /** For each year that delivery is later. */
    readonly perDeliveryYear: number
    /** For the next loosening after a repair, the clock set to zero. */
    readonly afterLoosening: number
  }
  /** How the site and the patient move the choice of protocol, as odds ratios of tightening again. */
  readonly choice: { readonly molar: number; readonly bruxism: number }
  /** How a repeat turned out, among those repeated. */
  readonly repeats: {
    readonly inWindow: number
    readonly outsideWindow: number
    readonly undone: number
  }
  /** What became of the chart: shares of restorations. */
  readonly charting: {
    readonly protocolUnknown: number
    readonly groupOnly: number
    readonly groupMisstated: number
  }
  readonly detection: {
    /** Share of loose screws that bring the patient in before recall, and the mean days until then. */
    readonly symptomatic: number
    readonly meanDaysToVisit: number
    /** Share of those for which the day of the first symptom is written down. */
    readonly onsetRecorded: number
    /** Share of loosenings that are found but get a new screw. */
    readonly screwReplaced: number
  }
  readonly competing: {
    /** Implant loss: Weibull cumulative hazard t^shape × atOneYear, t in years. */
    readonly implantLossAtOneYear: number
    readonly implantLossShape: number
    /** Removal or remake for other causes, per year. */
    readonly removalPerYear: number
    readonly remadeShare: number
    /** Death per year at age 60, doubling with every so many years of age. */
    readonly deathPerYearAt60: number
    readonly deathDoublingYears: number
    /** Share of deaths that the clinic hears of. */
    readonly deathHeardOf: number
  }
  readonly lossToFollowUp: { readonly perYear: number; readonly heardOf: number }
  readonly clinics: readonly DemoClinic[]
}
