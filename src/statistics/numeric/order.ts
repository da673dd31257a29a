import { allRows } from '../../core/columns.js'

/** Most different times, counted from 0 in steps of a half, that are sorted by counting them. */
const mostSteps = 2 ** 20

/**
 * Positions of a column in ascending order of its values; equal values stay in the order of the rows. Times in days and
 * half days are counted into place, whatever else there is compared.
 */
export function ascendingOrder(column: ArrayLike<number>): Int32Array {
  const n = column.length
  let most = 0
  for (let i = 0; i < n; i++) {
    const steps = column[i]! * 2
    if (!(steps >= 0 && steps < mostSteps && Number.isInteger(steps)))
      return allRows(n).sort((left, right) => column[left]! - column[right]!)
    if (steps > most) most = steps
  }
  const first = new Int32Array(most + 2)
  for (let i = 0; i < n; i++) first[column[i]! * 2 + 1]! += 1
  for (let step = 1; step < first.length; step++) first[step]! += first[step - 1]!
  const order = new Int32Array(n)
  for (let i = 0; i < n; i++) order[first[column[i]! * 2]!++] = i
  return order
}
