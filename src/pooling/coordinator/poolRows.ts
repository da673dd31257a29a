import { UsageError } from '../../core/errors.js'
import { coefficientNames, layoutOf, type Sums } from '../protocol/layout.js'
import { type ModelAt, modelAt, nextCoefficients } from '../protocol/newton.js'
import type { AgreedProtocol } from '../protocol/protocol.js'
import { modelRows, modelSums } from '../site/modelSums.js'
import type { SiteRows } from '../site/siteRows.js'
import { endpointSums, partsOfRows } from '../site/siteSums.js'
import { type PooledResult, pooledResult } from './groupResult.js'

/** Rows of one clinic, by endpoint. */
export interface ClinicRows {
  readonly clinic: string
  readonly rows: Readonly<Record<string, SiteRows>>
}

/** Adds sums up. */
export function added(all: readonly Sums[]): Sums {
  const sums: Record<string, Float64Array> = {}
  for (const one of all) {
    for (const [name, values] of Object.entries(one)) {
      const before = sums[name]
      sums[name] = before === undefined ? values.slice() : before.map((value, i) => value + values[i]!)
    }
  }
  return sums
}

/**
 * Pools rows themselves, where rules allow de-identified rows to be put together: the same result as that of sums, with
 * nothing rounded, nothing withheld, and clinics as strata.
 *
 * @param clinics rows of the clinics, each once
 * @throws UsageError `no-rows`, `same-clinic-twice`
 * @example poolRows(rowsByClinic({ screw_loosening: releaseRows(buildCohort(records, protocolDefinition(exampleProtocol, 'screw_loosening')), exampleProtocol, undefined).rows }), readProtocol(JSON.stringify(exampleProtocol))).endpoints[0].endpoint // => "screw_loosening"
 */
export function poolRows(
  clinics: readonly ClinicRows[],
  agreed: AgreedProtocol,
  options: { readonly generated?: boolean } = {},
): PooledResult {
  refuseRepeats(clinics)
  const { protocol } = agreed
  const sums = added(
    clinics.map(({ rows }) => ({
      one: Float64Array.of(1),
      ...added(
        protocol.endpoints.map((endpoint) =>
          endpointSums(partsOfRows(rows[endpoint]!, protocol), protocol, endpoint),
        ),
      ),
    })),
  )
  return pooledResult(withoutMissing(sums, agreed), agreed, {
    route: 'rows',
    sites: clinics.map(({ clinic }) => ({ name: clinic, open: true })),
    generated: options.generated ?? false,
    models: Object.fromEntries(
      protocol.endpoints.map((endpoint) => [endpoint, modelOf(clinics, agreed, endpoint)]),
    ),
  })
}

/** Blocks of the model in rounds are made apart. */
function withoutMissing(sums: Sums, { protocol }: AgreedProtocol): Sums {
  const empty = layoutOf(protocol).map(
    ({ name, size }) => [name, sums[name] ?? new Float64Array(size)] as const,
  )
  return Object.fromEntries(empty)
}

function modelOf(
  clinics: readonly ClinicRows[],
  { protocol }: AgreedProtocol,
  endpoint: string,
): { readonly at: ModelAt; readonly rounds: number; readonly settled: boolean } | undefined {
  if (protocol.covariates.length === 0) return undefined
  const rows = clinics.map((one) => modelRows(one.rows[endpoint]!, protocol))
  let coefficients: readonly number[] = coefficientNames(protocol).map(() => 0)
  for (let round = 1; round <= 25; round++) {
    const at = modelAt(
      added(rows.map((one) => modelSums(one, protocol, endpoint, coefficients))),
      protocol,
      endpoint,
      coefficients,
    )
    if (at === undefined) return undefined
    if (at.step.every((one) => Math.abs(one) < 1e-9)) return { at, rounds: round, settled: true }
    const next = nextCoefficients(at) ?? coefficients.map((one, j) => one + at.step[j]!)
    if (next.some((one) => Math.abs(one) > 6)) return undefined
    coefficients = next
  }
  return undefined
}

function refuseRepeats(clinics: readonly ClinicRows[]): void {
  const seen = new Set<string>()
  for (const { clinic } of clinics) {
    if (seen.has(clinic)) {
      throw new UsageError({
        code: 'same-clinic-twice',
        problem: 'the same clinic stands in two of the data sets.',
        expected: 'each clinic once.',
        mend: 'leave one of the data sets out, or give the clinics different pseudonyms.',
      })
    }
    seen.add(clinic)
  }
  if (clinics.length > 0) return
  throw new UsageError({
    code: 'no-rows',
    problem: 'no restoration falls into either group of the protocol.',
    expected: 'data sets with restorations in the two groups.',
    mend: 'check the protocol and the tightening events of the delivery day.',
  })
}

/**
 * Rows of the clinics of a data set, by endpoint, each clinic by itself.
 *
 * @example rowsByClinic({ screw_loosening: releaseRows(buildCohort(records, protocolDefinition(exampleProtocol, 'screw_loosening')), exampleProtocol, undefined).rows }).length // => 5
 */
export function rowsByClinic(rows: Readonly<Record<string, SiteRows>>): readonly ClinicRows[] {
  const clinics = [...new Set(Object.values(rows).flatMap(({ clinics: names }) => names))].sort()
  return clinics.map((clinic) => ({
    clinic,
    rows: Object.fromEntries(
      Object.entries(rows).map(([endpoint, all]) => [endpoint, ofClinic(all, clinic)]),
    ),
  }))
}

function ofClinic(rows: SiteRows, clinic: string): SiteRows {
  const code = rows.clinics.indexOf(clinic)
  const kept = Array.from(rows.clinic.keys()).filter((row) => rows.clinic[row] === code)
  const doubles = (column: Float64Array): Float64Array => Float64Array.from(kept, (row) => column[row]!)
  const bytes = (column: Uint8Array): Uint8Array => Uint8Array.from(kept, (row) => column[row]!)
  return {
    clinics: [clinic],
    n: kept.length,
    clinic: new Int32Array(kept.length),
    entryDays: doubles(rows.entryDays),
    timeDays: doubles(rows.timeDays),
    foundDays: doubles(rows.foundDays),
    clearDays: doubles(rows.clearDays),
    status: bytes(rows.status),
    group: bytes(rows.group),
    patient: Int32Array.from(kept, (row) => rows.patient[row]!),
    measured: bytes(rows.measured),
    covariates: rows.covariates.map(bytes),
  }
}
