import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { dayFromIso } from '../../src/core/calendar.js'
import { check, crown, recordsOf, tightening } from '../cohort/recordsOf.js'

type Row = ReturnType<typeof check>

/**
 * A practice of six clinics in whose records every section of the report finds something: waits of many lengths, two
 * clinics that changed their way of tightening, torque with devices of known age, torque of removal, screws that
 * loosened again, and restorations that came under observation late.
 */
export function richPractice(): Cohort {
  const restorations: Row[] = []
  const tightenings: Row[] = []
  const visits: Row[] = []
  const first = dayFromIso('2018-01-10')!
  for (let i = 0; i < 360; i++) {
    const id = `R${i}`
    const clinic = 'ABCDEF'[i % 6]!
    const delivery = first + 5 * i
    const changes = clinic === 'A' || clinic === 'B'
    const repeated = changes ? i > 180 : i % 4 < 2
    restorations.push(
      crown(id, {
        patient_id: `P${Math.floor(i / 2)}`,
        clinic_id: clinic,
        operator_id: `${clinic}${i % 3}`,
        delivery_date: delivery,
        bruxism: i % 5 === 0 ? 'definite' : 'none',
        ...(i % 40 === 7 ? { observation_start_date: 60 } : {}),
      }),
    )
    const torque = (more: Row): Row => ({
      target_torque_ncm: 35,
      achieved_torque_ncm: 33 + (i % 7),
      instruction_torque_ncm: i % 50 === 0 ? 30 : 35,
      device_id: `W${i % 3}`,
      device_type: 'beam',
      device_last_calibration_day: -((i * 7) % 500),
      days_since_delivery: 0,
      ...more,
    })
    tightenings.push(tightening(id, 0, torque({})))
    if (repeated) tightenings.push(tightening(id, 4 + ((7 * i) % 25), torque({})))
    if (i % 10 < 2) {
      tightenings.push(
        tightening(
          id,
          60,
          torque({
            action: 'removal_measurement',
            removal_torque_ncm: 27 + (i % 4),
            days_since_delivery: 200,
            context: 'recall_check',
          }),
        ),
      )
    }
    const loose = (7 * i) % 11 === 3
    const day = 100 + ((i * i * 37) % 1200)
    if (loose) {
      visits.push(check(id, day, { finding: 'screw_loosening', action_taken: 'tightened' }))
      if (i % 2 === 0)
        visits.push(check(id, day + 150, { finding: 'screw_loosening', action_taken: 'tightened' }))
    }
    visits.push(check(id, 1500 + (i % 300)))
    if (i % 30 === 11) visits.push(check(id, 1850, { screw_checked: 'no', restoration_status: 'removed' }))
  }
  return buildCohort(recordsOf({ restorations, tightenings, visits }))
}
