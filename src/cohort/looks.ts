import { type CategoryColumn, codeOf, missingDay, unknownCode } from '../records/columns.js'
import type { LinkedTable, RecordSet } from '../records/dataset.js'
import { isScrewEndpoint } from '../vocabulary/endpoints.js'
import type { CohortDefinition, EndpointName, LookReading } from './definition.js'

/** The visits table read for looks. */
export interface LookReader {
  /** Whether the visit, by its day, is a look: one at which the endpoint would have been found. */
  readonly isLook: (row: number) => boolean
  /** Whether the visit was one in person; a blank visit type is. */
  readonly isInPerson: (row: number) => boolean
  /** Whether the screw was explicitly said not to have been checked on that day, and by no row to have been. */
  readonly isMarkedNo: (row: number) => boolean
}

/**
 * Reads which visits are looks, blind to what was found at them: were a finding to make a visit a look while a blank
 * tick at a clean visit makes none, every blank tick would raise the risk. For endpoints of the screw a visit in person
 * is a look unless it says "no" (`presumed`), or only if it says "yes" (`ticks`); for the others every visit in person
 * is. Rows of one restoration and day are one visit: a "yes" among them wins over a "no", and a "no" over a blank.
 *
 * @param records checked records
 * @param endpoint what would have been found
 * @param looks how a blank tick is read; default `presumed`
 */
export function lookReader(
  records: RecordSet,
  endpoint: EndpointName,
  looks: LookReading = 'presumed',
): LookReader {
  const { visits } = records
  const inPerson = inPersonReader(visits.category('visit_type'))
  const tick = visits.category('screw_checked')
  const [yes, no] = [codeOf(tick, 'yes'), codeOf(tick, 'no')]
  const ofScrew = isScrewEndpoint(endpoint)
  const day = visits.day('days_since_delivery')
  const look = new Uint8Array(visits.rowCount)
  const markedNo = new Uint8Array(visits.rowCount)
  for (let from = 0; from < visits.rowCount; ) {
    const to = endOfDay(visits, day, from)
    let here = false
    let saidYes = false
    let saidNo = false
    for (let row = from; row < to; row++) {
      if (!inPerson(row)) continue
      here = true
      const code = tick.codes[row]!
      if (code !== unknownCode && code === yes) saidYes = true
      if (code !== unknownCode && code === no) saidNo = true
    }
    const isLook = here && (!ofScrew || (looks === 'ticks' ? saidYes : saidYes || !saidNo))
    look.fill(isLook ? 1 : 0, from, to)
    markedNo.fill(saidNo && !saidYes ? 1 : 0, from, to)
    from = to
  }
  return {
    isLook: (row) => look[row] === 1,
    isInPerson: inPerson,
    isMarkedNo: (row) => markedNo[row] === 1,
  }
}

/** The row after the last of the restoration and day of a row; where the day is not known, the next row. */
function endOfDay({ restoration, rowCount }: LinkedTable, day: Int32Array, from: number): number {
  let to = from + 1
  if (day[from] === missingDay) return to
  while (to < rowCount && restoration[to] === restoration[from] && day[to] === day[from]) to++
  return to
}

/** Looks as the definition of a cohort reads them. */
export function looksOf(records: RecordSet, definition: CohortDefinition): LookReader {
  return lookReader(records, definition.endpoint, definition.looks)
}

/** A visit is in person unless it says that it was by telephone or from the records. */
function inPersonReader(type: CategoryColumn): (row: number) => boolean {
  const elsewhere = new Set(
    ['records_only', 'telephone'].map((label) => codeOf(type, label)).filter((code) => code !== unknownCode),
  )
  return (row) => !elsewhere.has(type.codes[row]!)
}
