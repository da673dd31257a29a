import type { RestorationRecords, TableRow } from './patientRecords.js'

/** The same restoration in the one-sheet form, read off the rows of the three tables. */
export function oneSheetRow(records: RestorationRecords): TableRow {
  const { restoration, tightenings, visits } = records
  const atDelivery = tightenings.filter((row) => row.context === 'delivery')
  const firstScrew = atDelivery.filter((row) => row.screw_position === atDelivery[0]?.screw_position)
  const loose = visits.filter((row) => row.finding === 'screw_loosening')
  const firstLoose = loose[0]?.visit_date
  const checks = visits.filter((row) => row.screw_checked === 'yes').map((row) => row.visit_date)
  const removal = visits.find((row) => row.removal_reason !== undefined)
  return {
    ...restoration,
    tightenings_at_delivery: firstScrew.length === 0 ? undefined : firstScrew.length,
    wait_minutes: firstScrew[1]?.minutes_since_first,
    target_torque_ncm: firstScrew[0]?.target_torque_ncm,
    last_check_date: checks[checks.length - 1],
    last_check_before_loosening_date:
      firstLoose === undefined ? undefined : checks.filter((date) => date < firstLoose).pop(),
    first_loosening_date: firstLoose,
    loosening_count: loose.length,
    removed_date: removal?.visit_date,
    removal_reason: removal?.removal_reason,
    deceased_date: visits.find((row) => row.patient_status === 'deceased')?.visit_date,
  }
}
