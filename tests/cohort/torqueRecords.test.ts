import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { check, crown, recordsOf, tightening } from './recordsOf.js'

const torques = (tightenings: readonly ReturnType<typeof tightening>[], restorations = [crown('a')]) =>
  buildCohort(
    recordsOf({
      restorations,
      tightenings,
      visits: restorations.map((one) => check(String(one.restoration_id), 400)),
    }),
  ).torqueRecords()

describe('applications of torque', () => {
  it('hold everything that is recorded of one', () => {
    const { applications } = torques([
      tightening('a', 0, {
        target_torque_ncm: 30,
        achieved_torque_ncm: 28,
        instruction_torque_ncm: 32,
        device_id: 'W1',
        device_type: 'mechanical_beam',
        reading_instrument_id: 'G1',
        device_last_calibration_day: -90,
        days_since_delivery: 0,
      }),
    ])
    expect(applications).toEqual([
      {
        restoration: 0,
        patient: 0,
        group: 'single',
        onDelivery: true,
        targetNcm: 30,
        achievedNcm: 28,
        instructionNcm: 32,
        device: 'W1',
        deviceType: 'mechanical_beam',
        readingInstrument: 'G1',
        calendarDay: 18_000,
        daysSinceCalibration: 90,
      },
    ])
  })

  it('are undefined in what is not recorded', () => {
    const { applications } = torques([tightening('a', 0, { context: 'recall_check' })])
    expect(applications).toEqual([
      {
        restoration: 0,
        patient: 0,
        group: 'unknown',
        onDelivery: false,
        targetNcm: undefined,
        achievedNcm: undefined,
        instructionNcm: undefined,
        device: undefined,
        deviceType: undefined,
        readingInstrument: undefined,
        calendarDay: undefined,
        daysSinceCalibration: undefined,
      },
    ])
  })

  it('at delivery are of day 0, also where the column was left empty; others need their day', () => {
    const calibrated = { device_last_calibration_day: -30 }
    const { applications } = torques([
      tightening('a', 0, calibrated),
      tightening('a', 0, { ...calibrated, context: 'recall_check', days_since_delivery: 400 }),
      tightening('a', 0, { context: 'recall_check', days_since_delivery: 500 }),
      tightening('a', 0, { ...calibrated, context: 'recall_check' }),
    ])
    expect(
      applications
        .map((one) => [one.onDelivery, one.calendarDay, one.daysSinceCalibration])
        .sort((left, right) => Number(left[1] ?? 1e9) - Number(right[1] ?? 1e9)),
    ).toEqual([
      [true, 18_000, 30],
      [false, 18_400, 430],
      [false, 18_500, undefined],
      [false, undefined, undefined],
    ])
  })

  it('called delivery but dated after its day keep their own day', () => {
    const { applications } = torques([tightening('a', 0, { days_since_delivery: 200 })])
    expect(applications).toMatchObject([{ onDelivery: true, calendarDay: 18_200 }])
  })

  it('have no day of the calendar where only the year of delivery is known', () => {
    const { delivery_date: _date, ...undated } = crown('a')
    const { applications } = torques(
      [tightening('a', 0, { device_last_calibration_day: -30 })],
      [undated as never],
    )
    expect(applications[0]).toMatchObject({ calendarDay: undefined, daysSinceCalibration: 30 })
  })

  it('without a recorded context or action are applications, none of them at delivery', () => {
    const { context: _context, action: _action, ...bare } = tightening('a', 0, { achieved_torque_ncm: 30 })
    expect(torques([bare as never]).applications).toMatchObject([{ onDelivery: false, achievedNcm: 30 }])
  })

  it('are those of the types asked for, each with its group and the position of its patient, followed or not', () => {
    const cohort = buildCohort(
      recordsOf({
        restorations: [
          crown('a', { patient_id: 'p' }),
          crown('b', { patient_id: 'p', restoration_type: 'full_arch' }),
          crown('c', { patient_id: 'q' }),
          { restoration_id: 'd', patient_id: 'r' },
          crown('e', { patient_id: 'p' }),
        ],
        tightenings: ['a', 'b', 'c', 'd', 'e'].map((id) => tightening(id, 0)).concat(tightening('e', 12)),
        visits: [check('a', 400)],
      }),
    )
    const owners = (of: typeof cohort) =>
      of.torqueRecords().applications.map(({ restoration, patient, group }) => [restoration, patient, group])
    expect(owners(cohort)).toEqual([
      [0, 0, 'single'],
      [2, 1, 'single'],
      [4, 0, 'repeated in the window'],
      [4, 0, 'repeated in the window'],
    ])
    expect(owners(cohort.redefined({ restorationTypes: ['single_crown', 'full_arch'] }))).toHaveLength(5)
  })
})

describe('torques of removal', () => {
  const removed = (torque: number, more = {}) =>
    tightening('a', 1, { action: 'removal_measurement', removal_torque_ncm: torque, ...more })

  it('are set against the torque reached when the same screw was last tightened', () => {
    const { removals, applications } = torques([
      tightening('a', 0, { screw_position: '1', achieved_torque_ncm: 30 }),
      tightening('a', 0, { screw_position: '2', achieved_torque_ncm: 20 }),
      tightening('a', 12, { screw_position: '1', achieved_torque_ncm: 32 }),
      removed(25, { screw_position: '1' }),
      removed(15, { screw_position: '2' }),
    ])
    expect(removals).toEqual([
      { restoration: 0, patient: 0, group: 'other', removalNcm: 25, tightenedNcm: 32 },
      { restoration: 0, patient: 0, group: 'other', removalNcm: 15, tightenedNcm: 20 },
    ])
    expect(applications).toHaveLength(3)
  })

  it('are set against nothing where the screw was undone before, or its torque was not recorded', () => {
    const { removals } = torques([
      tightening('a', 0, { achieved_torque_ncm: 30 }),
      removed(25),
      removed(24),
      tightening('a', 12),
      removed(23),
    ])
    expect(removals.map(({ removalNcm, tightenedNcm }) => [removalNcm, tightenedNcm])).toEqual([
      [25, 30],
      [24, undefined],
      [23, undefined],
    ])
  })

  it('read while undoing to tighten again belong to the tightening before', () => {
    const { removals, applications } = torques([
      tightening('a', 0, { achieved_torque_ncm: 30 }),
      tightening('a', 12, { action: 'undo_then_tighten', removal_torque_ncm: 26, achieved_torque_ncm: 31 }),
      removed(27),
    ])
    expect(removals.map(({ removalNcm, tightenedNcm }) => [removalNcm, tightenedNcm])).toEqual([
      [26, 30],
      [27, 31],
    ])
    expect(applications.map(({ achievedNcm }) => achievedNcm)).toEqual([30, 31])
  })

  it('are no applications, also where a measurement is recorded first of all', () => {
    const { removals, applications } = torques([removed(25), tightening('a', 0, { achieved_torque_ncm: 30 })])
    expect(removals).toMatchObject([{ removalNcm: 25, tightenedNcm: undefined }])
    expect(applications.map(({ achievedNcm }) => achievedNcm)).toEqual([30])
  })

  it('of one restoration are not set against the torque of another', () => {
    const { removals } = torques(
      [
        tightening('a', 0, { achieved_torque_ncm: 30 }),
        tightening('b', 1, { action: 'removal_measurement', removal_torque_ncm: 22 }),
      ],
      [crown('a'), crown('b')],
    )
    expect(removals).toEqual([
      { restoration: 1, patient: 1, group: 'unknown', removalNcm: 22, tightenedNcm: undefined },
    ])
  })
})
