import { labelAt, missingDay } from '../columns.js'
import type { RecordSet } from '../dataset.js'

/** A death to be written for a restoration whose own rows do not have it. */
export interface SpreadDeath {
  readonly restoration: number
  readonly day: number
}

/**
 * Deaths that are on record for one restoration of a patient and not for the others. With dates the others can be ended
 * on that day; without them nobody could know, so that it is worked out before the dates are dropped. A restoration
 * with something recorded after that day keeps its own rows.
 */
export function spreadDeaths(records: RecordSet): readonly SpreadDeath[] {
  const { restorations, visits } = records
  const delivery = restorations.day('delivery_date')
  const patient = restorations.category('patient_id').codes
  const status = visits.category('patient_status')
  const day = visits.day('days_since_delivery')
  const deathDate = new Map<number, number>()
  const ownDeath = new Uint8Array(restorations.rowCount)
  for (let row = 0; row < visits.rowCount; row++) {
    if (labelAt(status, row) !== 'deceased') continue
    const restoration = visits.restoration[row]!
    ownDeath[restoration] = 1
    if (delivery[restoration] === missingDay || day[row] === missingDay) continue
    const date = delivery[restoration]! + day[row]!
    deathDate.set(patient[restoration]!, Math.min(date, deathDate.get(patient[restoration]!) ?? date))
  }
  const spread: SpreadDeath[] = []
  if (deathDate.size === 0) return spread
  for (let restoration = 0; restoration < restorations.rowCount; restoration++) {
    const date = deathDate.get(patient[restoration]!)
    if (date === undefined || ownDeath[restoration] === 1 || delivery[restoration] === missingDay) continue
    const onDay = date - delivery[restoration]!
    const last = visits.firstRow[restoration + 1]! - 1
    const lastDay = last < visits.firstRow[restoration]! ? missingDay : day[last]!
    if (onDay >= 0 && lastDay <= onDay) spread.push({ restoration, day: onDay })
  }
  return spread
}
