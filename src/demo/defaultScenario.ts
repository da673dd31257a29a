import { deepFreeze } from '../core/plain.js'
import type { DemoClinic, DemoDevice, DemoOperator, DemoScenario } from './scenario.js'

function device(
  id: string,
  type: string,
  biasShare: number,
  scatterShare: number,
  achievedRecorded: number,
  firstCalibration: string,
  calibrationIntervalDays = 330,
): DemoDevice {
  return { id, type, biasShare, scatterShare, achievedRecorded, firstCalibration, calibrationIntervalDays }
}

function operator(id: string, weight: number, prefersRepeated: number): DemoOperator {
  return { id, weight, prefersRepeated }
}

const clinics: readonly DemoClinic[] = [
  {
    id: 'clinic_A',
    weight: 26,
    hazardRatio: 1,
    operators: [
      operator('operator_A1', 40, 0.25),
      operator('operator_A2', 35, 0.75),
      operator('operator_A3', 25, 0.5),
    ],
    devices: [
      device('device_A1', 'electronic', 0.005, 0.015, 0.95, '2018-02-12'),
      device('device_A2', 'toggle', 0.02, 0.04, 0.35, '2018-05-02'),
    ],
    systems: { system_1: 30, system_3: 70 },
    reason: 'operator_choice',
    recall: {
      earlyControl: 0.6,
      firstDays: 182,
      intervalDays: 365,
      attendance: 0.88,
      check: 0.92,
      tighten: 0.02,
    },
  },
  {
    id: 'clinic_B',
    weight: 22,
    hazardRatio: 0.8,
    operators: [
      operator('operator_B1', 45, 0.7),
      operator('operator_B2', 30, 0.3),
      operator('operator_B3', 25, 0.6),
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
    },
  },
  {
    id: 'clinic_C',
    weight: 20,
    hazardRatio: 1.25,
    operators: [operator('operator_C1', 60, 0.5), operator('operator_C2', 40, 0.5)],
    devices: [device('device_C1', 'electronic', 0.01, 0.02, 0.9, '2018-04-09')],
    systems: { system_1: 60, system_2: 40 },
    reason: 'period_policy',
    protocolChange: { date: '2021-10-01', before: 0.08, after: 0.92 },
    recall: {
      earlyControl: 0.3,
      firstDays: 182,
      intervalDays: 365,
      attendance: 0.8,
      check: 0.85,
      tighten: 0.03,
    },
  },
  {
    id: 'clinic_D',
    weight: 18,
    hazardRatio: 1.1,
    operators: [
      operator('operator_D1', 40, 0.5),
      operator('operator_D2', 35, 0.5),
      operator('operator_D3', 25, 0.5),
    ],
    devices: [
      device('device_D1', 'toggle', 0.03, 0.05, 0.3, '2018-03-05'),
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
    },
  },
  {
    id: 'clinic_E',
    weight: 14,
    hazardRatio: 0.95,
    operators: [
      operator('operator_E1', 45, 0.35),
      operator('operator_E2', 30, 0.8),
      operator('operator_E3', 25, 0.45),
    ],
    // The second device goes longer than a year between calibrations, so that the check for that has something to find.
    devices: [
      device('device_E1', 'beam', 0, 0.04, 0.7, '2018-02-26'),
      device('device_E2', 'toggle', -0.03, 0.05, 0.4, '2018-05-14', 420),
    ],
    systems: { system_1: 25, system_3: 45, system_4: 30 },
    reason: 'operator_choice',
    recall: {
      earlyControl: 0.2,
      firstDays: 365,
      intervalDays: 365,
      attendance: 0.76,
      check: 0.8,
      tighten: 0.02,
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
