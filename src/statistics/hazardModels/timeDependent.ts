import { checked } from '../kernel/checked.js'
import { asDoubles, type HoledColumn, requireSameLength } from '../numeric/columns.js'
import type { TimesAtRisk } from './timesAtRisk.js'

/** Rows cut at the time at which a covariate changes. */
export interface ChangedRows {
  readonly start: Float64Array
  readonly stop: Float64Array
  readonly event: Uint8Array
  /** Row of the input that each stretch comes from. */
  readonly row: Int32Array
  /** 0 before the change, 1 after it. */
  readonly changed: Uint8Array
}

/**
 * Cuts each row at its own time of change, so that what happened later never counts as a group from the start: a
 * stretch (start, change] with 0 and a stretch (change, stop] with 1. A row that never changes, or only after its end,
 * stays whole with 0; one that changed at or before its start stays whole with 1. An event at the very time of change
 * belongs to the stretch before it.
 *
 * @param times as in `coxRegression`; where rows have no start they are at risk from the origin on, and start at −1 so
 *   that events at time 0 count
 * @param changeTime time of change in every row; NaN or Infinity where there was none
 * @throws NumericalError `unequal-length`
 * @example splitAtChange({ time: [5, 8], event: [1, 0] }, [3, NaN]).changed.join() // => "0,1,0"
 */
export const splitAtChange = checked(
  'splitAtChange',
  (times: TimesAtRisk, changeTime: HoledColumn): ChangedRows => {
    const rows = requireSameLength({ ...times, changeTime })
    const stop = asDoubles('time' in times ? times.time : times.stop)
    const start = 'start' in times ? asDoubles(times.start) : new Float64Array(rows).fill(-1)
    const stretches: { start: number; stop: number; event: number; row: number; changed: number }[] = []
    for (let row = 0; row < rows; row++) {
      const [from, to, event, change] = [start[row]!, stop[row]!, times.event[row]!, changeTime[row]!]
      if (change > from && change < to) {
        stretches.push({ start: from, stop: change, event: 0, row, changed: 0 })
        stretches.push({ start: change, stop: to, event, row, changed: 1 })
      } else stretches.push({ start: from, stop: to, event, row, changed: change <= from ? 1 : 0 })
    }
    return Object.freeze({
      start: Float64Array.from(stretches, (one) => one.start),
      stop: Float64Array.from(stretches, (one) => one.stop),
      event: Uint8Array.from(stretches, (one) => one.event),
      row: Int32Array.from(stretches, (one) => one.row),
      changed: Uint8Array.from(stretches, (one) => one.changed),
    })
  },
)
