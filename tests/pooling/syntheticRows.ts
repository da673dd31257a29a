import { randomStream } from '../../src/core/random.js'
import type { Protocol } from '../../src/pooling/protocol.js'
import { type SiteRows, stratumLevels } from '../../src/pooling/siteRows.js'

/** What a clinic of generated rows is like. */
export interface SyntheticSite {
  readonly clinic: string
  readonly patients: number
  readonly eventShare: number
  readonly competingShare: number
  readonly lateShare: number
  readonly seed: number
}

/** Rows of one generated clinic, one to four restorations a patient. */
export function syntheticRows(protocol: Protocol, site: SyntheticSite): SiteRows {
  const stream = randomStream(site.seed)
  const last = protocol.gridDays[protocol.gridDays.length - 1]!
  const columns = {
    time: [] as number[],
    entry: [] as number[],
    status: [] as number[],
    group: [] as number[],
    stratum: [] as number[],
    patient: [] as number[],
  }
  const strata = stratumLevels(protocol).length
  const levels = [...protocol.balance, ...protocol.model.covariates].map((field) => field.levels.length)
  const codes: number[][] = levels.map(() => [])
  for (let patient = 0; patient < site.patients; patient++) {
    for (let many = 1 + Math.floor(stream.uniform() * stream.uniform() * 4); many > 0; many--) {
      const time = Math.floor(stream.uniform() * (last + 1))
      const late = stream.uniform() < site.lateShare && time > 1
      columns.time.push(time)
      columns.entry.push(late ? Math.floor(stream.uniform() * time) : 0)
      const fate = stream.uniform()
      columns.status.push(fate < site.eventShare ? 1 : fate < site.eventShare + site.competingShare ? 2 : 0)
      columns.group.push(stream.uniform() < 0.4 ? 1 : 0)
      columns.stratum.push(Math.min(strata - 1, Math.floor(stream.uniform() ** 2 * strata)))
      columns.patient.push(patient)
      levels.forEach((count, f) => {
        codes[f]!.push(Math.min(count, Math.floor(stream.uniform() ** 2 * (count + 1))))
      })
    }
  }
  const n = columns.time.length
  return {
    clinic: site.clinic,
    n,
    timeDays: Float64Array.from(columns.time),
    entryDays: Float64Array.from(columns.entry),
    status: Uint8Array.from(columns.status),
    group: Uint8Array.from(columns.group),
    stratum: Uint8Array.from(columns.stratum),
    patient: Int32Array.from(columns.patient),
    balance: protocol.balance.map((_field, f) => Uint8Array.from(codes[f]!)),
    covariates: protocol.model.covariates.map((_field, c) =>
      Uint8Array.from(codes[protocol.balance.length + c]!),
    ),
    key: Array.from({ length: n }, (_one, row) => `${site.clinic}-${row}`),
    patientKey: columns.patient.map((patient) => `${site.clinic}-p${patient}`),
  }
}

/** The same rows with some of them changed. */
export function changedRows(
  rows: SiteRows,
  change: (row: number) => Partial<{ time: number; status: number; drop: boolean }>,
): SiteRows {
  const changes = Array.from({ length: rows.n }, (_one, row) => change(row))
  const kept = changes.flatMap(({ drop }, row) => (drop === true ? [] : [row]))
  const bytes = (column: Uint8Array): Uint8Array => Uint8Array.from(kept, (row) => column[row]!)
  return {
    ...rows,
    n: kept.length,
    timeDays: Float64Array.from(kept, (row) => changes[row]!.time ?? rows.timeDays[row]!),
    entryDays: Float64Array.from(kept, (row) => rows.entryDays[row]!),
    status: Uint8Array.from(kept, (row) => changes[row]!.status ?? rows.status[row]!),
    group: bytes(rows.group),
    stratum: bytes(rows.stratum),
    patient: Int32Array.from(kept, (row) => rows.patient[row]!),
    balance: rows.balance.map(bytes),
    covariates: rows.covariates.map(bytes),
    key: kept.map((row) => rows.key[row]!),
    patientKey: kept.map((row) => rows.patientKey[row]!),
  }
}
