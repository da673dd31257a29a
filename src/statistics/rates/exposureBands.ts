import type { NumberColumn } from '../numeric/columns.js'

/** Time at risk cut into bands, one piece for each band that a row passes through. */
export interface ExposureBands {
  /** Row that a piece comes from. */
  readonly row: Int32Array
  readonly band: Int32Array
  readonly exposureDays: Float64Array
  readonly event: Float64Array
  /** Bands as (from, to], in days. */
  readonly bands: readonly ExposureBand[]
  /** Rows that were never at risk: no time and no event. */
  readonly rowsWithoutTime: number
}

/** One band with what fell into it. */
export interface ExposureBand {
  readonly fromDays: number
  readonly toDays: number
  readonly events: number
  readonly exposureDays: number
}

/** Time at risk given to an event on the day of origin itself, in days. */
const eventOnDayZero = 0.5

/**
 * Cuts time at risk at the given ages; neighbouring bands are joined until each holds an event. An event on day 0
 * counts half a day at risk.
 *
 * @param edgesDays ascending ages at which to cut
 */
export function cutExposure(
  timeDays: NumberColumn,
  eventObserved: NumberColumn,
  edgesDays: readonly number[],
): ExposureBands {
  const rows = timeDays.length
  const times = Float64Array.from({ length: rows }, (_, row) =>
    timeDays[row] === 0 && eventObserved[row] === 1 ? eventOnDayZero : timeDays[row]!,
  )
  const edges = joinedEdges(times, eventObserved, edgesDays)
  const row: number[] = []
  const band: number[] = []
  const exposure: number[] = []
  const event: number[] = []
  for (let i = 0; i < rows; i++) {
    for (let b = 0; b + 1 < edges.length && times[i]! > edges[b]!; b++) {
      row.push(i)
      band.push(b)
      exposure.push(Math.min(times[i]!, edges[b + 1]!) - edges[b]!)
      event.push(eventObserved[i] === 1 && times[i]! <= edges[b + 1]! ? 1 : 0)
    }
  }
  const bands = edges.slice(0, -1).map((fromDays, b) => ({
    fromDays,
    toDays: edges[b + 1]!,
    events: sumWhere(event, band, b),
    exposureDays: sumWhere(exposure, band, b),
  }))
  return {
    row: Int32Array.from(row),
    band: Int32Array.from(band),
    exposureDays: Float64Array.from(exposure),
    event: Float64Array.from(event),
    bands,
    rowsWithoutTime: times.reduce((sum, time) => sum + (time === 0 ? 1 : 0), 0),
  }
}

/** Edges from 0 to the last time, those dropped that would close a band without an event. */
function joinedEdges(
  times: Float64Array,
  eventObserved: NumberColumn,
  edgesDays: readonly number[],
): readonly number[] {
  const last = times.reduce((most, time) => Math.max(most, time), 0)
  const eventsIn = (from: number, to: number): number =>
    times.reduce((sum, time, row) => sum + (time > from && time <= to && eventObserved[row] === 1 ? 1 : 0), 0)
  const edges = [0]
  for (const edge of [...edgesDays.filter((one) => one > 0 && one < last), last]) {
    if (eventsIn(edges[edges.length - 1]!, edge) > 0) edges.push(edge)
  }
  if (edges.length === 1) edges.push(last)
  else edges[edges.length - 1] = last
  return edges
}

function sumWhere(values: readonly number[], band: readonly number[], wanted: number): number {
  let sum = 0
  for (let i = 0; i < values.length; i++) if (band[i] === wanted) sum += values[i]!
  return sum
}
