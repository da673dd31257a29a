import { buildCohort } from '../../cohort/cohort.js'
import { recordsUntil } from '../../cohort/recordsUntil.js'
import { dayFromIso } from '../../core/calendar.js'
import { CohortError } from '../../core/errors.js'
import { type LedgerEntry, ledgerKeys, type Practice } from '../identity/practice.js'
import { coefficientNames, layoutOf, type Sums } from '../protocol/layout.js'
import type { OpenFigures } from '../protocol/messages.js'
import type { AgreedProtocol, Protocol } from '../protocol/protocol.js'
import { modelRows, modelSums } from './modelSums.js'
import type { EndpointParts } from './parts.js'
import type { ReleaseNumbers } from './release.js'
import { ledgerAfter, protocolDefinition, type ReleaseRows, releaseRows } from './siteRows.js'
import { endpointSums, partsOfRows } from './siteSums.js'
import { riskDays, scoreAt } from './twoGroupScores.js'

/** Records, as a cohort is made of them. */
type RecordSet = Parameters<typeof buildCohort>[0]

/**
 * The numbers of a practice for a release, from its records as they stood on the cut-off day. Nothing of it leaves but
 * masked, save the figures of a practice that chose to be open.
 *
 * @param records local records, with dates
 */
export function recordNumbers(
  records: RecordSet,
  { protocol }: AgreedProtocol,
  practice: Practice,
): ReleaseNumbers {
  const until = recordsUntil(records, dayFromIso(protocol.release.cutoff)!)
  const rows = Object.fromEntries(
    protocol.endpoints.map((endpoint) => {
      try {
        const cohort = buildCohort(until, protocolDefinition(protocol, endpoint))
        return [endpoint, releaseRows(cohort, protocol, practice)] as const
      } catch (error) {
        if (error instanceof CohortError && error.code === 'empty-cohort')
          return [endpoint, undefined] as const
        throw error
      }
    }),
  )
  return numbersOf(rows, protocol, practice.ledger.restorations, records.source.generated)
}

/** The numbers of a practice from rows of each endpoint; none where an endpoint has no rows. */
export function numbersOf(
  rows: Readonly<Record<string, ReleaseRows | undefined>>,
  protocol: Protocol,
  ledger: Readonly<Record<string, LedgerEntry>>,
  generated: boolean,
): ReleaseNumbers {
  const present = protocol.endpoints.flatMap((endpoint) => {
    const found = rows[endpoint]
    return found === undefined || found.rows.n === 0 ? [] : [{ endpoint, ...found }]
  })
  const parts = Object.fromEntries(
    present.map(({ endpoint, rows: own }) => [endpoint, partsOfRows(own, protocol)] as const),
  )
  const models = Object.fromEntries(
    protocol.covariates.length === 0
      ? []
      : protocol.endpoints.map((endpoint) => {
          const own = rows[endpoint]?.rows
          return [endpoint, own === undefined ? noModelRows(protocol) : modelRows(own, protocol)] as const
        }),
  )
  const zero = coefficientNames(protocol).map(() => 0)
  const rounds = Object.entries(models).map(([endpoint, own]) => modelSums(own, protocol, endpoint, zero))
  return {
    ...numbersOfParts(parts, protocol, rounds),
    notes: ledgerAfter(ledger, present),
    modelRows: models,
    generated,
  }
}

/** Sums and open figures from the parts of each endpoint; zeros for an endpoint that has none. */
export function numbersOfParts(
  parts: Readonly<Record<string, EndpointParts>>,
  protocol: Protocol,
  rounds: readonly Sums[] = [],
): Pick<ReleaseNumbers, 'sums' | 'restorations' | 'open'> {
  const given: Sums = Object.assign(
    {},
    ...rounds,
    ...Object.entries(parts).map(([endpoint, own]) => endpointSums(own, protocol, endpoint)),
  )
  const sums = Object.fromEntries(
    layoutOf(protocol).map(({ name, size }) => [name, given[name] ?? new Float64Array(size)]),
  )
  sums.one = Float64Array.of(1)
  const restorations = Math.max(
    0,
    ...protocol.endpoints.map((endpoint) => {
      const [against, group] = sums[`${endpoint}/restorations`]!
      return against! + group!
    }),
  )
  const open = Object.entries(parts).map(([endpoint, own]) => openFigures(endpoint, own, sums))
  return { sums, restorations, open }
}

/** What an open practice lets be shown: sizes, and its own hazard ratio. */
function openFigures(endpoint: string, { clinics }: EndpointParts, sums: Sums): OpenFigures {
  const pair = (name: string): [number, number] => {
    const [against, group] = sums[`${endpoint}/${name}`]!
    return [against!, group!]
  }
  const base = { endpoint, restorations: pair('restorations'), events: pair('events') }
  const risks = clinics.map(riskDays)
  let log = 0
  for (let step = 0; step < 30; step++) {
    const at = risks.map((risk) => scoreAt(risk, log))
    const score = at.reduce((sum, one) => sum + one.score, 0)
    const information = at.reduce((sum, one) => sum + one.information, 0)
    if (!(information > 1e-6) || Math.abs(log) > 5) return base
    log += score / information
    if (Math.abs(score / information) < 1e-10) {
      return { ...base, logHazardRatio: log, standardError: 1 / Math.sqrt(information) }
    }
  }
  return base
}

function noModelRows(protocol: Protocol): ReturnType<typeof modelRows> {
  const none: number[] = []
  return {
    clinic: none,
    entryDays: none,
    timeDays: none,
    status: none,
    group: none,
    patient: none,
    covariates: protocol.covariates.map(() => none),
  }
}

/** How many of the records' restorations a practice knows, by their content, from its ledger or from what it has fixed. */
export function knownRestorations(records: RecordSet, practice: Practice): number {
  const known = new Set<string>()
  for (const entries of [practice.ledger.restorations, ...practice.releases.map(({ notes }) => notes)]) {
    for (const { content } of Object.values(entries)) known.add(content)
  }
  if (known.size === 0) return 0
  const { restorations } = records
  const label = (field: string): ((row: number) => string) => {
    const { labels, codes } = restorations.category(field)
    return (row) => labels[codes[row]!] ?? ''
  }
  const [id, patient] = [label('restoration_id'), label('patient_id')]
  const delivered = restorations.day('delivery_date')
  let found = 0
  for (let row = 0; row < restorations.rowCount; row++) {
    const keys = ledgerKeys(practice.salt, {
      restoration: id(row),
      patient: patient(row),
      deliveryDay: delivered[row]!,
    })
    if (known.has(keys.content)) found++
  }
  return found
}
