import { codeOf, missingDay } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'

/**
 * Day of the first tightening at a recall check of each restoration of the records, or of one that is called delivery but
 * dated after its day; `missingDay` where there was none.
 * Such a tightening is an exposure that begins on its own day, never a group from the start: a restoration has to stay
 * in place to receive it. What was done to a screw that had been found loose is treatment and does not count.
 */
export function firstLaterTightening(records: RecordSet): Int32Array {
  const { restorations, tightenings } = records
  const first = new Int32Array(restorations.rowCount).fill(missingDay)
  const context = tightenings.category('context')
  const later = new Set(
    ['recall_check', 'delivery'].map((one) => codeOf(context, one)).filter((one) => one >= 0),
  )
  const action = tightenings.category('action')
  const measurement = codeOf(action, 'removal_measurement')
  const day = tightenings.day('days_since_delivery')
  if (later.size === 0) return first
  for (let row = 0; row < tightenings.rowCount; row++) {
    if (!later.has(context.codes[row]!) || day[row] === missingDay || day[row]! <= 0) continue
    if (measurement >= 0 && action.codes[row] === measurement) continue
    const restoration = tightenings.restoration[row]!
    const known = first[restoration]!
    if (known === missingDay || day[row]! < known) first[restoration] = day[row]!
  }
  return first
}
