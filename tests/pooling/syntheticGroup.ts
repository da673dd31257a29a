import { streamOfHashes } from '../../src/core/random.js'
import {
  type AgreedProtocol,
  exampleProtocol,
  type Protocol,
  readProtocol,
} from '../../src/pooling/protocol/protocol.js'
import { numbersOf } from '../../src/pooling/site/numbers.js'
import type { ReleaseNumbers } from '../../src/pooling/site/release.js'
import type { SiteRows } from '../../src/pooling/site/siteRows.js'

/** What a practice of generated rows is like. */
export interface SyntheticPractice {
  readonly name: string
  readonly restorations: number
  readonly eventShare: number
  readonly groupShare: number
  readonly lateShare?: number
  readonly clinics?: number
}

export function agreedOn(changes: Partial<Protocol> = {}): AgreedProtocol {
  return readProtocol(JSON.stringify({ ...exampleProtocol, ...changes }))
}

/** Rows of one generated practice, one to four restorations a patient, some at risk late, in one or more clinics. */
export function syntheticPractice(protocol: Protocol, site: SyntheticPractice, seed: number): SiteRows {
  const stream = streamOfHashes(seed, 0)
  const last = 3000
  const columns = {
    clinic: [] as number[],
    entry: [] as number[],
    time: [] as number[],
    status: [] as number[],
    group: [] as number[],
    patient: [] as number[],
  }
  const codes: number[][] = protocol.covariates.map(() => [])
  for (let patient = 0; columns.time.length < site.restorations; patient++) {
    const many = 1 + stream.index(2) + (stream.uniform() < 0.2 ? 2 : 0)
    const frailty = stream.uniform()
    for (let one = 0; one < many && columns.time.length < site.restorations; one++) {
      const time = stream.index(last + 1)
      const late = stream.uniform() < (site.lateShare ?? 0) && time > 1
      columns.clinic.push(patient % (site.clinics ?? 1))
      columns.time.push(time)
      columns.entry.push(late ? stream.index(time) : -1)
      const fate = stream.uniform() * (0.5 + frailty)
      columns.status.push(fate < site.eventShare ? 1 : fate < site.eventShare + 0.05 ? 2 : 0)
      columns.group.push(stream.uniform() < site.groupShare ? 1 : 0)
      columns.patient.push(patient)
      protocol.covariates.forEach(({ levels }, c) => {
        codes[c]!.push(stream.index(levels.length + (stream.uniform() < 0.1 ? 1 : 0)))
      })
    }
  }
  return {
    clinics: Array.from({ length: site.clinics ?? 1 }, (_one, i) => `${site.name} ${i + 1}`),
    n: columns.time.length,
    clinic: Int32Array.from(columns.clinic),
    entryDays: Float64Array.from(columns.entry),
    timeDays: Float64Array.from(columns.time),
    foundDays: Float64Array.from(columns.time),
    clearDays: Float64Array.from(columns.time),
    status: Uint8Array.from(columns.status),
    group: Uint8Array.from(columns.group),
    patient: Int32Array.from(columns.patient),
    measured: new Uint8Array(columns.time.length).fill(1),
    covariates: codes.map((column) => Uint8Array.from(column)),
  }
}

/** Fifteen practices of 20 to 300 restorations, one without events, one with one group, some small, two with two clinics. */
export const fifteenPractices: readonly SyntheticPractice[] = Array.from({ length: 15 }, (_one, i) => ({
  name: `Practice ${String.fromCharCode(65 + i)}`,
  restorations: 20 + 20 * i,
  eventShare: i === 3 ? 0 : 0.12,
  groupShare: i === 5 ? 0 : 0.4,
  lateShare: i % 4 === 0 ? 0.3 : 0,
  clinics: i === 7 || i === 11 ? 2 : 1,
}))

/** Rows of a group of practices, one for each endpoint asked for: the first only. */
export function groupRows(
  protocol: Protocol,
  practices: readonly SyntheticPractice[] = fifteenPractices,
  seed = 11,
): readonly SiteRows[] {
  return practices.map((site, i) => syntheticPractice(protocol, site, seed * 1000 + i))
}

/** What each practice would fix for a release. */
export function numbersOfRows(rows: SiteRows, protocol: Protocol): ReleaseNumbers {
  const notes = Array.from({ length: rows.n }, (_one, row) => ({
    keys: { id: `id ${row} of ${rows.clinics[0]}`, content: `content ${row} of ${rows.clinics[0]}` },
    day: rows.timeDays[row]!,
    ended: rows.status[row] !== 0,
  }))
  return numbersOf({ [protocol.endpoints[0]!]: { rows, notes } }, protocol, {}, true)
}

/** All rows one after the other, as estimators and other programs take them. */
export function stacked(all: readonly SiteRows[]) {
  const flat = <T>(read: (rows: SiteRows, row: number) => T): T[] =>
    all.flatMap((rows) => Array.from({ length: rows.n }, (_one, row) => read(rows, row)))
  return {
    start: flat((rows, row) => rows.entryDays[row]!),
    stop: flat((rows, row) => rows.timeDays[row]!),
    event: flat((rows, row) => (rows.status[row] === 1 ? 1 : 0)),
    status: flat((rows, row) => rows.status[row]!),
    group: flat((rows, row) => rows.group[row]!),
    stratum: flat((rows, row) => rows.clinics[rows.clinic[row]!]!),
    patient: flat((rows, row) => `${rows.clinics[0]} ${rows.patient[row]}`),
    covariates: (all[0]?.covariates ?? []).map((_one, c) => flat((rows, row) => rows.covariates[c]![row]!)),
  }
}
