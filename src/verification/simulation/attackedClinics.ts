import type { RandomStream } from '../../core/random.js'
import type { Protocol } from '../../pooling/protocol.js'
import { type SiteRows, stratumLevels } from '../../pooling/siteRows.js'

/** One restoration of a generated clinic. */
export interface AttackedRow {
  readonly time: number
  readonly entry: number
  readonly status: number
  readonly group: number
  readonly stratum: number
  readonly patient: number
  readonly levels: readonly number[]
  readonly key: string
}

/** A clinic of 1 to 200 patients, its shares of events, competing events and late entries drawn too. */
export function drawnClinic(protocol: Protocol, stream: RandomStream): readonly AttackedRow[] {
  const patients = 1 + stream.index(200)
  const [events, competing] = [0.5 * stream.uniform(), 0.2 * stream.uniform()]
  const late = stream.uniform() < 0.3 ? 0.3 : 0
  return Array.from({ length: patients }, (_one, patient) =>
    drawnPatient(protocol, stream, patient, { events, competing, late }),
  ).flat()
}

function drawnPatient(
  protocol: Protocol,
  stream: RandomStream,
  patient: number,
  shares: { readonly events: number; readonly competing: number; readonly late: number },
): readonly AttackedRow[] {
  const last = protocol.gridDays[protocol.gridDays.length - 1]!
  const skewed = (count: number): number => Math.floor(stream.uniform() ** 2 * count)
  return Array.from({ length: 1 + skewed(4) }, (_one, k): AttackedRow => {
    const time = stream.index(last + 1)
    const fate = stream.uniform()
    return {
      time,
      entry: stream.uniform() < shares.late && time > 1 ? stream.index(time) : 0,
      status: fate < shares.events ? 1 : fate < shares.events + shares.competing ? 2 : 0,
      group: stream.uniform() < 0.4 ? 1 : 0,
      stratum: skewed(stratumLevels(protocol).length),
      patient,
      levels: protocol.balance.map(({ levels }) => skewed(levels.length + 1)),
      key: `${patient}-${k}`,
    }
  })
}

/** A tenth of the restorations followed longer or found with an event, or a third more patients as well. */
export function changedClinic(
  rows: readonly AttackedRow[],
  change: 'one record' | 'a tenth of the records' | 'a year more',
  protocol: Protocol,
  stream: RandomStream,
): readonly AttackedRow[] {
  const last = protocol.gridDays[protocol.gridDays.length - 1]!
  const one = stream.index(rows.length)
  const share = { 'one record': 0, 'a tenth of the records': 0.1, 'a year more': 0.6 }[change]
  const changed = rows.map((row, i) => {
    if (change === 'one record' ? i !== one : row.status !== 0 || stream.uniform() >= share) return row
    return { ...row, time: Math.min(last, row.time + 200), status: stream.uniform() < 0.3 ? 1 : row.status }
  })
  if (change !== 'a year more') return changed
  const patients = Math.ceil((Math.max(...rows.map(({ patient }) => patient)) + 1) / 3)
  const shares = { events: 0.15, competing: 0.05, late: 0 }
  const added = Array.from({ length: patients }, (_one, p) =>
    drawnPatient(protocol, stream, 1000 + p, shares),
  )
  return [...changed, ...added.flat()]
}

/** Rows as a site has them. */
export function siteOf(rows: readonly AttackedRow[], protocol: Protocol): SiteRows {
  return {
    clinic: 'clinic',
    n: rows.length,
    timeDays: Float64Array.from(rows, ({ time }) => time),
    entryDays: Float64Array.from(rows, ({ entry }) => entry),
    status: Uint8Array.from(rows, ({ status }) => status),
    group: Uint8Array.from(rows, ({ group }) => group),
    stratum: Uint8Array.from(rows, ({ stratum }) => stratum),
    patient: Int32Array.from(rows, ({ patient }) => patient),
    balance: protocol.balance.map((_field, f) => Uint8Array.from(rows, ({ levels }) => levels[f]!)),
    covariates: [],
    key: rows.map(({ key }) => key),
    patientKey: rows.map(({ patient }) => String(patient)),
  }
}
