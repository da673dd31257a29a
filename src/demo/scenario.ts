import { deepFreeze } from '../core/plain.js'

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
  /** Change of the systematic error in a year since the last calibration, as a share of the target; default 0. */
  readonly driftPerYear?: number
  /** Another instrument that reads the achieved torque; default: the device itself. */
  readonly readBy?: string
}

/** An operator of an invented clinic; operators differ in what they prefer and in how well their screws hold. */
export interface DemoOperator {
  readonly id: string
  readonly weight: number
  /** Probability of tightening again, before the site and the patient are looked at. */
  readonly prefersRepeated: number
  /** Hazard of loosening against an operator of average skill. */
  readonly hazardRatio: number
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
    /** Share of visits in person at which the tick for the check is left blank, whatever was found. */
    readonly tickBlank: number
  }
  /** Share of restorations whose group stands in the chart without the tightenings, beyond that of the scenario. */
  readonly chartOnly?: number
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

function device(
  id: string,
  type: string,
  biasShare: number,
  scatterShare: number,
  achievedRecorded: number,
  firstCalibration: string,
  more: Partial<Pick<DemoDevice, 'calibrationIntervalDays' | 'driftPerYear' | 'readBy'>> = {},
): DemoDevice {
  return {
    id,
    type,
    biasShare,
    scatterShare,
    achievedRecorded,
    firstCalibration,
    calibrationIntervalDays: 330,
    ...more,
  }
}

function operator(id: string, weight: number, prefersRepeated: number, hazardRatio: number): DemoOperator {
  return { id, weight, prefersRepeated, hazardRatio }
}

/** Longer than the demo data last: never calibrated again. */
const neverAgain = 36_500

const clinics: readonly DemoClinic[] = [
  {
    id: 'clinic_A',
    weight: 26,
    hazardRatio: 1,
    operators: [
      operator('operator_A1', 40, 0.25, 1.25),
      operator('operator_A2', 35, 0.75, 0.8),
      operator('operator_A3', 25, 0.5, 1),
    ],
    devices: [
      device('device_A1', 'electronic', 0.005, 0.015, 0.95, '2018-02-12', { readBy: 'gauge_A' }),
      device('device_A2', 'toggle', 0.02, 0.04, 0.35, '2018-05-02'),
    ],
    systems: { system_1: 30, system_3: 70 },
    reason: 'operator_choice',
    recall: {
      earlyControl: 0.6,
      firstDays: 182,
      intervalDays: 365,
      attendance: 0.9,
      check: 0.92,
      tighten: 0.02,
      tickBlank: 0.02,
    },
  },
  {
    id: 'clinic_B',
    weight: 22,
    hazardRatio: 0.8,
    operators: [
      operator('operator_B1', 45, 0.7, 0.85),
      operator('operator_B2', 30, 0.3, 1.25),
      operator('operator_B3', 25, 0.6, 1),
    ],
    devices: [
      device('device_B1', 'beam', -0.01, 0.035, 0.75, '2018-01-22'),
      device('device_B2', 'beam', 0.015, 0.035, 0.7, '2018-06-11'),
    ],
    systems: { system_2: 55, system_3: 45 },
    reason: 'operator_choice',
    recall: {
      earlyControl: 0.4,
      firstDays: 365,
      intervalDays: 365,
      attendance: 0.85,
      check: 0.9,
      tighten: 0.06,
      tickBlank: 0.06,
    },
  },
  {
    id: 'clinic_C',
    weight: 20,
    hazardRatio: 1.25,
    operators: [operator('operator_C1', 60, 0.5, 0.9), operator('operator_C2', 40, 0.5, 1.15)],
    devices: [device('device_C1', 'electronic', 0.01, 0.02, 0.9, '2018-04-09')],
    systems: { system_1: 60, system_2: 40 },
    reason: 'period_policy',
    protocolChange: { date: '2021-10-01', before: 0.08, after: 0.92 },
    recall: {
      earlyControl: 0.3,
      firstDays: 182,
      intervalDays: 270,
      attendance: 0.82,
      check: 0.85,
      tighten: 0.03,
      tickBlank: 0.04,
    },
  },
  {
    id: 'clinic_D',
    weight: 18,
    hazardRatio: 1.1,
    operators: [
      operator('operator_D1', 40, 0.5, 1),
      operator('operator_D2', 35, 0.5, 0.8),
      operator('operator_D3', 25, 0.5, 1.3),
    ],
    // The first device was never calibrated again, and its spring tires: the gauge that reads it shows it.
    devices: [
      device('device_D1', 'toggle', 0.01, 0.03, 0.9, '2018-03-05', {
        calibrationIntervalDays: neverAgain,
        driftPerYear: -0.02,
        readBy: 'gauge_D',
      }),
      device('device_D2', 'handpiece', -0.02, 0.04, 0.5, '2018-03-19'),
    ],
    systems: { system_2: 35, system_3: 35, system_4: 30 },
    reason: 'manufacturer_instruction',
    instructedRepeated: { system_2: 0.35, system_3: 0.7, system_4: 0.45 },
    observationStart: '2019-09-01',
    recall: {
      earlyControl: 0.5,
      firstDays: 365,
      intervalDays: 365,
      attendance: 0.84,
      check: 0.88,
      tighten: 0,
      tickBlank: 0.1,
    },
  },
  {
    id: 'clinic_E',
    weight: 14,
    hazardRatio: 0.95,
    operators: [
      operator('operator_E1', 45, 0.35, 1.2),
      operator('operator_E2', 30, 0.8, 0.75),
      operator('operator_E3', 25, 0.45, 1),
    ],
    // The second device goes longer than a year between calibrations, so that the check for that has something to find.
    devices: [
      device('device_E1', 'beam', 0, 0.04, 0.7, '2018-02-26'),
      device('device_E2', 'toggle', -0.03, 0.05, 0.4, '2018-05-14', { calibrationIntervalDays: 420 }),
    ],
    systems: { system_1: 25, system_3: 45, system_4: 30 },
    reason: 'operator_choice',
    chartOnly: 0.25,
    recall: {
      earlyControl: 0.2,
      firstDays: 365,
      intervalDays: 540,
      attendance: 0.72,
      check: 0.8,
      tighten: 0.02,
      tickBlank: 0.25,
    },
  },
]

/** The scenario of the demo data: invented clinics, patients and effects. */
export const demoScenario: DemoScenario = deepFreeze({
  firstDelivery: '2018-07-01',
  lastDelivery: '2025-06-30',
  endOfObservation: '2025-12-31',
  frailtyVariance: 0.6,
  baseline: { weibullShape: 0.55, cumulativeHazardAt3Years: 0.06 },
  hazardRatios: {
    tightening: {
      single: 1,
      repeated_in_window: 0.55,
      repeated_outside_window: 0.7,
      undone_then_tightened: 1.2,
    },
    region: { anterior: 0.75, premolar: 1, molar: 1.8 },
    connection: {
      conical: 1,
      internal_hex: 1.3,
      internal_other: 1.3,
      external_hex: 2,
      external_other: 2,
    },
    bruxism: { none: 1, possible: 1.3, probable: 1.8, definite: 2.2 },
    restorationType: {
      single_crown: 1,
      splinted_crowns: 1.1,
      fixed_partial: 1.3,
      fixed_partial_cantilever: 1.8,
      full_arch: 1.5,
    },
    perDeliveryYear: 0.95,
    afterLoosening: 2.5,
  },
  choice: { molar: 1.5, bruxism: 1.7 },
  repeats: { inWindow: 0.84, outsideWindow: 0.11, undone: 0.05 },
  charting: { protocolUnknown: 0.05, groupOnly: 0.015, groupMisstated: 0.01 },
  detection: { symptomatic: 0.7, meanDaysToVisit: 21, onsetRecorded: 0.3, screwReplaced: 0.25 },
  competing: {
    implantLossAtOneYear: 0.008,
    implantLossShape: 0.7,
    removalPerYear: 0.008,
    remadeShare: 0.7,
    deathPerYearAt60: 0.008,
    deathDoublingYears: 8,
    deathHeardOf: 0.8,
  },
  lossToFollowUp: { perYear: 0.05, heardOf: 0.5 },
  clinics,
})
