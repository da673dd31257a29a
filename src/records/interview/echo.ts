import { isoFromDay, yearOfDay } from '../../core/calendar.js'
import { missingDay, unknownCode } from '../columns.js'
import type { RecordSet, RecordTable } from '../dataset.js'

type Tables = Pick<RecordSet, 'restorations' | 'tightenings' | 'visits'>

/** What was read, in one sentence that the user can hold against what is known of the practice. */
export function echoOf(tables: Tables): string {
  const { restorations, tightenings, visits } = tables
  const patients = new Set(
    [...restorations.category('patient_id').codes].filter((code) => code !== unknownCode),
  )
  const women = patientsOf(restorations, 'sex', 'female')
  const parts = [
    `${restorations.rowCount} crowns in ${patients.size} patients${women === 0 ? '' : `, ${women} women`}`,
    `delivered ${years(restorations)}`,
    `${restorationsWith(visits, 'finding', 'screw_loosening')} found loose`,
    `${checkedRestorations(visits)} checked at least once, last on ${lastDay(tables)}`,
    torques(tightenings),
    twice(tightenings, restorations),
  ]
  return `${parts.filter((part) => part !== '').join('; ')}.`
}

function patientsOf(table: RecordTable, field: string, label: string): number {
  const { labels, codes } = table.category(field)
  const patient = table.category('patient_id').codes
  return new Set([...codes].flatMap((code, row) => (labels[code] === label ? [patient[row]] : []))).size
}

function years(restorations: RecordTable): string {
  const dates = [...restorations.day('delivery_date')].filter((day) => day !== missingDay)
  const stated = [...restorations.number('delivery_year')].filter((year) => !Number.isNaN(year))
  const all = dates.length > 0 ? dates.map(yearOfDay) : stated
  if (all.length === 0) return 'on unknown days'
  const first = all.reduce((least, year) => Math.min(least, year))
  const last = all.reduce((most, year) => Math.max(most, year))
  return first === last ? `in ${first}` : `${first} to ${last}`
}

function restorationsWith(visits: RecordSet['visits'], field: string, label: string): number {
  const { labels, codes } = visits.category(field)
  return new Set([...codes].flatMap((code, row) => (labels[code] === label ? [visits.restoration[row]] : [])))
    .size
}

function checkedRestorations(visits: RecordSet['visits']): number {
  return restorationsWith(visits, 'screw_checked', 'yes')
}

function lastDay({ restorations, visits }: Tables): string {
  const delivery = restorations.day('delivery_date')
  const days = visits.day('days_since_delivery')
  let last = missingDay
  days.forEach((day, row) => {
    const origin = delivery[visits.restoration[row]!]!
    if (day !== missingDay && origin !== missingDay) last = Math.max(last, origin + day)
  })
  return last === missingDay ? 'an unknown day' : isoFromDay(last)
}

function torques(tightenings: RecordTable): string {
  const known = [...tightenings.number('target_torque_ncm')].filter((torque) => !Number.isNaN(torque))
  if (known.length === 0) return 'no torque known'
  const least = known.reduce((one, other) => Math.min(one, other))
  const most = known.reduce((one, other) => Math.max(one, other))
  return least === most ? `torque ${tenths(least)} N·cm` : `torque ${tenths(least)} to ${tenths(most)} N·cm`
}

/** Restorations tightened twice on the day of delivery, and in how many the wait is known. */
function twice(tightenings: RecordSet['tightenings'], restorations: RecordTable): string {
  const sequence = tightenings.number('sequence')
  const minutes = tightenings.number('minutes_since_first')
  const days = tightenings.day('days_since_delivery')
  const repeated = new Set<number>()
  const waited = new Set<number>()
  sequence.forEach((turn, row) => {
    if (turn < 2 || days[row] !== 0) return
    const restoration = tightenings.restoration[row]!
    repeated.add(restoration)
    if (!Number.isNaN(minutes[row]!)) waited.add(restoration)
  })
  const { labels, codes } = restorations.category('tightening_group')
  const charted = [...codes].filter((code) => labels[code] === 'repeated').length
  const chart = charted === 0 ? '' : `; ${charted} called repeated by the chart`
  return `${repeated.size} tightened twice${repeated.size === 0 ? '' : `, wait known in ${waited.size}`}${chart}`
}

/** A torque to the tenth, without decimals that a conversion has added. */
function tenths(torque: number): string {
  return String(Math.round(10 * torque) / 10)
}
