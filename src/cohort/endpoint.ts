import { type CategoryColumn, missingDay, unknownCode } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import { competingCauses, endpointOf } from '../vocabulary/endpoints.js'
import { type CohortDefinition, type EndpointName, waitsForNextLook } from './definition.js'
import { looksOf } from './looks.js'

export { competingCauses } from '../vocabulary/endpoints.js'

/** Where the endpoint was first found: at a look, at a visit marked "no", or at another visit that is no look. */
export const findingPlaces = ['nowhere', 'at-look', 'marked-no', 'outside-look'] as const

/** What happened to each restoration of the records, in whole days since delivery. */
export interface RestorationHistory {
  /** Day on which the endpoint counts as found; `missingDay` where it does not. */
  readonly eventDay: Int32Array
  /** How the first finding stands to the looks: a position in `findingPlaces`; 0 where nothing was found. */
  readonly findingPlace: Uint8Array
  /** Day of the first look after delivery, or of the finding if that came earlier; `missingDay` where there was neither. */
  readonly firstLookDay: Int32Array
  /** Day of the last look before the event that would have shown the endpoint; 0 where delivery itself was the last. */
  readonly lastClearDay: Int32Array
  /** Day on which the patient or clinician first noticed it, where recorded; `missingDay` otherwise. */
  readonly onsetDay: Int32Array
  /** Last day at which the endpoint could have been found; `missingDay` where there was never a look. */
  readonly lastLookDay: Int32Array
  /** Last contact of any kind; `missingDay` where there was none. */
  readonly lastContactDay: Int32Array
  /** Day of the first competing event; `missingDay` where there was none. */
  readonly competingDay: Int32Array
  /** Position in `competingCauses`; meaningless where there was none. */
  readonly competingCause: Uint8Array
}

/**
 * Follows every restoration through its visits. Which visit is a look does not depend on what was found there
 * (`lookReader`); a finding at a visit that is none counts on that day, or waits for the next look where the definition
 * says so. Removal, loss and death compete; status wins over the action taken, and death reaches every restoration of
 * the patient.
 */
export function followHistories(records: RecordSet, definition: CohortDefinition): RestorationHistory {
  const { restorations, visits } = records
  const history = emptyHistory(restorations.rowCount)
  const reader = visitReader(records, definition)
  for (let restoration = 0; restoration < restorations.rowCount; restoration++) {
    const from = visits.firstRow[restoration]!
    const to = visits.firstRow[restoration + 1]!
    readEvent(reader, from, to, restoration, history)
    readLooks(reader, from, to, restoration, history)
  }
  spreadDeaths(records, history)
  return history
}

function emptyHistory(count: number): RestorationHistory {
  const days = (): Int32Array => new Int32Array(count).fill(missingDay)
  return {
    eventDay: days(),
    findingPlace: new Uint8Array(count),
    firstLookDay: days(),
    lastClearDay: new Int32Array(count),
    onsetDay: days(),
    lastLookDay: days(),
    lastContactDay: days(),
    competingDay: days(),
    competingCause: new Uint8Array(count),
  }
}

/** What one row of the visits table says. */
interface VisitReader {
  readonly day: Int32Array
  readonly onset: Int32Array
  found(row: number): boolean
  looked(row: number): boolean
  /** Position in `findingPlaces` of a finding in this row. */
  place(row: number): number
  /** Whether a finding outside a look waits for the next look. */
  readonly waits: boolean
  /** Position in `competingCauses` where the row says that the restoration is gone. */
  gone(row: number): number | undefined
}

function visitReader(records: RecordSet, definition: CohortDefinition): VisitReader {
  const { visits } = records
  const { endpoint, riskEndsAt = 'last look' } = definition
  const finding = visits.category('finding')
  const isEndpoint = findingFlags(records, endpoint)
  const isImplantLoss = flags(finding, ['implant_loss'])
  const removal = removalReader(records)
  const { goneBy = [] } = endpointOf(endpoint)
  const isEndpointItself = competingCauses.map((cause) => goneBy.includes(cause))
  const gone = (row: number): number | undefined => (isImplantLoss(row) ? 0 : removal(row))
  const looks = looksOf(records, definition)
  return {
    day: visits.day('days_since_delivery'),
    onset: visits.day('onset_day'),
    found: (row) => isEndpoint(row) || isEndpointItself[gone(row) ?? -1] === true,
    looked: riskEndsAt === 'last contact' ? () => true : looks.isLook,
    place: (row) => (looks.isLook(row) ? 1 : looks.isMarkedNo(row) ? 2 : 3),
    waits: waitsForNextLook(definition) && riskEndsAt !== 'last contact',
    gone,
  }
}

/** Notes the first row, in order of day, that found the endpoint, or the look at which that finding counts. */
function readEvent(
  reader: VisitReader,
  from: number,
  to: number,
  restoration: number,
  history: RestorationHistory,
): void {
  for (let row = from; row < to; row++) {
    if (reader.day[row] === missingDay || !reader.found(row)) continue
    history.findingPlace[restoration] = reader.place(row)
    const at = reader.waits && !reader.looked(row) ? nextLook(reader, row, to) : row
    if (at === undefined) return
    history.eventDay[restoration] = reader.day[at]!
    history.onsetDay[restoration] = reader.onset[row]!
    return
  }
}

/** The first look after a row, unless the restoration was gone on an earlier day. */
function nextLook(reader: VisitReader, row: number, to: number): number | undefined {
  let goneDay = Number.POSITIVE_INFINITY
  for (let later = row; later < to; later++) {
    const today = reader.day[later]!
    if (today === missingDay || today > goneDay) continue
    if (reader.looked(later)) return later
    if (reader.gone(later) !== undefined && !reader.found(later)) goneDay = today
  }
  return undefined
}

/** Notes looks, contacts and the first competing event; nothing after that event counts as a look. */
function readLooks(
  reader: VisitReader,
  from: number,
  to: number,
  restoration: number,
  history: RestorationHistory,
): void {
  const eventDay = history.eventDay[restoration]!
  for (let row = from; row < to; row++) {
    const today = reader.day[row]!
    if (today === missingDay) continue
    history.lastContactDay[restoration] = Math.max(history.lastContactDay[restoration]!, today)
    const competing = history.competingDay[restoration]!
    if (competing !== missingDay && today > competing) continue
    const found = reader.found(row)
    if ((found && !reader.waits) || reader.looked(row)) {
      history.lastLookDay[restoration] = Math.max(history.lastLookDay[restoration]!, today)
      const first = history.firstLookDay[restoration]!
      if (today > 0 && first === missingDay) history.firstLookDay[restoration] = today
      if (eventDay === missingDay || today < eventDay) history.lastClearDay[restoration] = today
    }
    const cause = found ? undefined : reader.gone(row)
    if (cause !== undefined && competing === missingDay) {
      history.competingDay[restoration] = today
      history.competingCause[restoration] = cause
    }
  }
}

/**
 * Position in `competingCauses` where the row says that the restoration is gone, else undefined. The status decides;
 * only where it is unknown does the action taken.
 */
export function removalReader(records: RecordSet): (row: number) => number | undefined {
  const { visits } = records
  const status = visits.category('restoration_status')
  const isGone = flags(status, ['removed', 'lost'])
  const replaced = flags(visits.category('action_taken'), ['remade', 'implant_removed'])
  const byImplantLoss = flags(visits.category('removal_reason'), ['implant_loss'])
  const implantRemoved = flags(visits.category('action_taken'), ['implant_removed'])
  return (row) => {
    const gone = status.codes[row] !== unknownCode ? isGone(row) : replaced(row)
    if (!gone) return undefined
    return byImplantLoss(row) || implantRemoved(row) ? 0 : 1
  }
}

/** Whether a row of the visits table found the endpoint. */
export function findingFlags(records: RecordSet, endpoint: EndpointName): (row: number) => boolean {
  return flags(records.visits.category('finding'), endpointOf(endpoint).findings)
}

/** A death ends the time at risk of every restoration of the patient, on its own day of each. */
function spreadDeaths(records: RecordSet, history: RestorationHistory): void {
  const { restorations, visits } = records
  const isDead = flags(visits.category('patient_status'), ['deceased'])
  const day = visits.day('days_since_delivery')
  const delivery = restorations.day('delivery_date')
  const patient = restorations.category('patient_id').codes
  const deathDate = new Map<number, number>()
  visits.restoration.forEach((restoration, row) => {
    if (!isDead(row) || day[row] === missingDay) return
    endByDeath(history, restoration, day[row]!)
    if (delivery[restoration] === missingDay) return
    const date = delivery[restoration]! + day[row]!
    deathDate.set(patient[restoration]!, Math.min(date, deathDate.get(patient[restoration]!) ?? date))
  })
  delivery.forEach((delivered, restoration) => {
    const date = deathDate.get(patient[restoration]!) ?? Number.NEGATIVE_INFINITY
    if (delivered !== missingDay && date >= delivered) endByDeath(history, restoration, date - delivered)
  })
}

function endByDeath(history: RestorationHistory, restoration: number, day: number): void {
  const known = history.competingDay[restoration]!
  if (known !== missingDay && known <= day) return
  history.competingDay[restoration] = day
  history.competingCause[restoration] = competingCauses.indexOf('death')
}

/** Whether a row of a category column holds one of the labels. */
function flags({ codes, labels: all }: CategoryColumn, labels: readonly string[]): (row: number) => boolean {
  const wanted = all.map((label) => labels.includes(label))
  return (row) => wanted[codes[row]!] === true
}
