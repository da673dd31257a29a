import type { Cohort } from '../../cohort/cohort.js'
import { regions, type TextCovariate, textCovariate } from '../../cohort/covariates.js'
import { type CohortDefinition, type EndpointName, exposureGroups } from '../../cohort/definition.js'
import { knownDeliveryDay } from '../../cohort/deliveryDay.js'
import { placedTimes } from '../../cohort/placement.js'
import { dayFromIso } from '../../core/calendar.js'
import { RecordError } from '../../core/errors.js'
import type { CategoryFieldName } from '../../vocabulary/fields.js'
import { type LedgerEntry, type LedgerKeys, ledgerKeys, type Practice } from '../identity/practice.js'
import type { AgreedField, Protocol } from '../protocol/protocol.js'

/**
 * Restorations of one practice as a protocol and a release see them: in one of the two groups, at risk on days that were
 * not shared before. They never leave the practice.
 */
export interface SiteRows {
  /** Names of the clinics, the strata within the practice. */
  readonly clinics: readonly string[]
  readonly n: number
  readonly clinic: Int32Array
  /** Last day since delivery before the restoration is at risk; −1 where it is at risk from delivery. */
  readonly entryDays: Float64Array
  /** Last day at risk; an event halfway between its last clean look and its finding. */
  readonly timeDays: Float64Array
  /** The same with each event on the day of its finding, and right after its last clean look. */
  readonly foundDays: Float64Array
  readonly clearDays: Float64Array
  /** 0 censored, 1 endpoint, 2 competing event. */
  readonly status: Uint8Array
  /** 0 the comparator, 1 the group asked about. */
  readonly group: Uint8Array
  readonly patient: Int32Array
  /** 1 where the group was measured, not taken from the chart. */
  readonly measured: Uint8Array
  /** Level of each covariate of the model in rounds, the number of levels where unknown. */
  readonly covariates: readonly Uint8Array[]
}

/** The rows of an endpoint, with what the ledger notes of each when they are shared. */
export interface ReleaseRows {
  readonly rows: SiteRows
  readonly notes: readonly { readonly keys: LedgerKeys; readonly day: number; readonly ended: boolean }[]
}

/**
 * The cohort that a protocol asks for.
 *
 * @example protocolDefinition(exampleProtocol, 'screw_loosening').endpoint // => "screw_loosening"
 */
export function protocolDefinition(protocol: Protocol, endpoint: EndpointName): CohortDefinition {
  const { restorationTypes, recallIntervalDays, waitWindowMinutes } = protocol
  return Object.freeze({ endpoint, restorationTypes, recallIntervalDays, waitWindowMinutes })
}

/** Names of the two groups, comparator first. */
export function groupNames(protocol: Protocol): readonly [string, string] {
  return [protocol.groups.against, protocol.groups.group]
}

/** What a practice shared before; nothing where it is new or rows are pooled outright. */
export type Ledger = Pick<Practice, 'salt' | 'ledger'> | undefined

/**
 * The restorations of a cohort in one of the two groups, on the days that a release covers. A restoration that was shared
 * goes on where its follow-up ended then; one that was not begins at the cut-off before. What was corrected since counts
 * forward: an event placed before the days already shared counts on the first day after them.
 *
 * @param cohort made by `protocolDefinition` of records as they stood on the cut-off day
 * @throws RecordError `no-delivery-dates` where the days of a release cannot be told
 * @example releaseRows(buildCohort(records, protocolDefinition(exampleProtocol, 'screw_loosening')), exampleProtocol, undefined).rows.n // => 793
 */
export function releaseRows(cohort: Cohort, protocol: Protocol, ledger: Ledger): ReleaseRows {
  const codes = groupNames(protocol).map((name) => (exposureGroups as readonly string[]).indexOf(name))
  const last = protocol.gridDays[protocol.gridDays.length - 1]!
  const wanted: number[] = []
  const entries: number[] = []
  const exits: number[] = []
  const ends: { readonly found: number; readonly clear: number }[] = []
  const status: number[] = []
  const notes: ReleaseRows['notes'][number][] = []
  const keysOf = keyReader(cohort, ledger)
  const beginOf = releaseBegin(protocol, ledger)
  const times = placedTimes(cohort, 'midpoint').timeDays
  const found = placedTimes(cohort, 'found').timeDays
  const clear = placedTimes(cohort, 'after-last-look').timeDays
  for (let row = 0; row < cohort.n; row++) {
    if (!codes.includes(cohort.exposure[row]!)) continue
    const keys = keysOf(row)
    const known = ledger?.ledger.restorations[keys.id]?.through[cohort.definition.endpoint]
    const entered = cohort.entryDays[row]!
    const recorded = entered > 0 ? entered : -1
    const entry = Math.max(recorded, known?.day ?? beginOf(cohort, row))
    const left = placed(times[row]!, cohort.status[row]!, entry, last)
    if (known?.ended === true || left === undefined) continue
    wanted.push(row)
    entries.push(entry)
    exits.push(left.day)
    status.push(left.status)
    const end = (day: number): number => (left.status === 1 ? placed(day, 1, entry, last)!.day : left.day)
    ends.push({ found: end(found[row]!), clear: end(clear[row]!) })
    notes.push({ keys, day: left.day, ended: left.status !== 0 })
  }
  return { rows: picked(cohort, protocol, wanted, codes, { entries, exits, status, ends }), notes }
}

/** Where a follow-up ends within the days of a release; undefined where none of its days is in it. */
function placed(
  time: number,
  status: number,
  entry: number,
  last: number,
): { readonly day: number; readonly status: number } | undefined {
  if (entry >= last) return undefined
  if (time > last) return { day: last, status: 0 }
  if (time > entry) return { day: time, status }
  if (status === 0) return undefined
  return { day: entry + 1, status }
}

function keyReader(cohort: Cohort, ledger: Ledger): (row: number) => LedgerKeys {
  if (ledger === undefined) return () => ({ id: '', content: '' })
  const restoration = cohort.category('restoration_id')
  const patient = cohort.category('patient_id')
  const label = ({ labels, codes }: typeof patient, row: number): string => labels[codes[row]!] ?? ''
  return (row) =>
    ledgerKeys(ledger.salt, {
      restoration: label(restoration, row),
      patient: label(patient, row),
      deliveryDay: cohort.deliveryDay[row]!,
    })
}

/** Day since delivery after which a restoration that was never shared is at risk. */
function releaseBegin(protocol: Protocol, ledger: Ledger): (cohort: Cohort, row: number) => number {
  if (ledger === undefined) return () => -1
  const cutoffs = [protocol.release.from, ledger.ledger.cutoff].filter((one) => one !== null)
  const from = cutoffs.length === 0 ? undefined : Math.max(...cutoffs.map((iso) => dayFromIso(iso)!))
  return (cohort, row) => {
    const delivered = knownDeliveryDay(cohort, row)
    if (delivered === undefined) throw noDeliveryDates()
    return from === undefined ? -1 : Math.max(-1, from - delivered)
  }
}

function picked(
  cohort: Cohort,
  protocol: Protocol,
  wanted: readonly number[],
  codes: readonly number[],
  followed: {
    readonly entries: number[]
    readonly exits: number[]
    readonly status: number[]
    readonly ends: readonly { readonly found: number; readonly clear: number }[]
  },
): SiteRows {
  const clinicOf = wanted.map((row) => cohort.clinic.labels[cohort.clinic.codes[row]!] ?? 'clinic')
  const clinics = [...new Set(clinicOf)].sort()
  const fromChart = cohort.exposureFromReport()
  const read = ({ field, levels }: AgreedField): Uint8Array => {
    const texts: TextCovariate =
      field === 'region' ? regions(cohort) : textCovariate(cohort, field as CategoryFieldName)
    return Uint8Array.from(wanted, (row) => {
      const text = texts[row]
      const code = text === undefined ? -1 : levels.indexOf(text)
      return code < 0 ? levels.length : code
    })
  }
  return Object.freeze({
    clinics,
    n: wanted.length,
    clinic: Int32Array.from(clinicOf, (name) => clinics.indexOf(name)),
    entryDays: Float64Array.from(followed.entries),
    timeDays: Float64Array.from(followed.exits),
    foundDays: Float64Array.from(followed.ends, (end) => end.found),
    clearDays: Float64Array.from(followed.ends, (end) => end.clear),
    status: Uint8Array.from(followed.status),
    group: Uint8Array.from(wanted, (row) => codes.indexOf(cohort.exposure[row]!)),
    patient: Int32Array.from(wanted, (row) => cohort.patient[row]!),
    measured: Uint8Array.from(wanted, (row) => 1 - fromChart[row]!),
    covariates: protocol.covariates.map(read),
  })
}

/** Ledger entries after a release of several endpoints. */
export function ledgerAfter(
  before: Readonly<Record<string, LedgerEntry>>,
  releases: readonly { readonly endpoint: string; readonly notes: ReleaseRows['notes'] }[],
): Record<string, LedgerEntry> {
  const after: Record<string, LedgerEntry> = {}
  for (const { endpoint, notes } of releases) {
    for (const { keys, day, ended } of notes) {
      const entry = after[keys.id] ?? {
        content: keys.content,
        through: { ...before[keys.id]?.through },
      }
      entry.through[endpoint] = { day, ended }
      after[keys.id] = entry
    }
  }
  return after
}

function noDeliveryDates(): RecordError {
  return new RecordError({
    code: 'no-delivery-dates',
    problem: 'some restorations have no date of delivery, so that the days of the release cannot be told.',
    expected: 'the local records of the practice, with dates. They stay in the practice.',
    mend: 'name the records themselves, not the shareable form made of them; nothing but masked sums leaves.',
  })
}
