import type { Cohort } from '../cohort/cohort.js'
import { regions, type TextCovariate, textCovariate } from '../cohort/covariates.js'
import { type CohortDefinition, exposureGroups } from '../cohort/definition.js'
import type { CategoryFieldName } from '../vocabulary/fields.js'
import type { AgreedField, Protocol } from './protocol.js'

/**
 * Restorations of one clinic as the protocol sees them: in one of its two groups, followed to the last day of its grid.
 * They never leave the practice.
 */
export interface SiteRows {
  readonly clinic: string
  readonly n: number
  readonly timeDays: Float64Array
  /** Day from which the restoration is at risk; 0 where it is from delivery. */
  readonly entryDays: Float64Array
  /** 0 censored, 1 endpoint, 2 competing event. */
  readonly status: Uint8Array
  /** 0 the comparator, 1 the group asked about. */
  readonly group: Uint8Array
  /** Position among the levels of the strata, the number of levels where unknown; 0 without strata. */
  readonly stratum: Uint8Array
  readonly patient: Int32Array
  /** Level of each field of the balance, the number of levels where unknown. */
  readonly balance: readonly Uint8Array[]
  /** Level of each covariate of the model, the number of levels where unknown. */
  readonly covariates: readonly Uint8Array[]
  /** Key of each restoration, by which successive releases are told apart inside the practice. */
  readonly key: readonly string[]
  /** Key of the patient of each restoration. */
  readonly patientKey: readonly string[]
}

/** The cohort that a protocol asks for. */
export function protocolDefinition(protocol: Protocol): CohortDefinition {
  const { endpoint, restorationTypes, recallIntervalDays, waitWindowMinutes } = protocol
  return Object.freeze({ endpoint, restorationTypes, recallIntervalDays, waitWindowMinutes })
}

/** Names of the two groups, comparator first. */
export function groupNames(protocol: Protocol): readonly [string, string] {
  return [protocol.groups.against, protocol.groups.group]
}

/** Labels of the strata, the unknown last. */
export function stratumLevels(protocol: Protocol): readonly string[] {
  return protocol.strata === null ? ['all'] : [...protocol.strata.levels, 'unknown']
}

/**
 * The restorations of each clinic that fall into one of the two groups, clinics in the order of their names.
 *
 * Follow-up ends on the last day of the grid: later exits are censored on it, later entries are left out.
 *
 * @param cohort made by `protocolDefinition`
 * @param protocol what the study group agreed on
 */
export function siteRows(cohort: Cohort, protocol: Protocol): readonly SiteRows[] {
  const last = protocol.gridDays[protocol.gridDays.length - 1]!
  const codes = groupNames(protocol).map((name) => (exposureGroups as readonly string[]).indexOf(name))
  const wanted: number[] = []
  for (let row = 0; row < cohort.n; row++) {
    if (codes.includes(cohort.exposure[row]!) && cohort.entryDays[row]! < last) wanted.push(row)
  }
  const keys = cohort.category('restoration_id')
  const patients = cohort.category('patient_id')
  const read = (field: AgreedField): Uint8Array => levelCodes(textOf(cohort, field.field), field.levels)
  const strata = protocol.strata === null ? undefined : read(protocol.strata)
  const balance = protocol.balance.map(read)
  const covariates = protocol.model.covariates.map(read)
  const clinics = [...new Set(wanted.map((row) => clinicName(cohort, row)))].sort()
  return clinics.map((clinic) => {
    const rows = wanted.filter((row) => clinicName(cohort, row) === clinic)
    const bytes = (column: ArrayLike<number>): Uint8Array => Uint8Array.from(rows, (row) => column[row]!)
    const beyond = (row: number): boolean => cohort.timeDays[row]! > last
    return Object.freeze({
      clinic,
      n: rows.length,
      timeDays: Float64Array.from(rows, (row) => Math.min(last, cohort.timeDays[row]!)),
      entryDays: Float64Array.from(rows, (row) => cohort.entryDays[row]!),
      status: Uint8Array.from(rows, (row) => (beyond(row) ? 0 : cohort.status[row]!)),
      group: Uint8Array.from(rows, (row) => codes.indexOf(cohort.exposure[row]!)),
      stratum: strata === undefined ? new Uint8Array(rows.length) : bytes(strata),
      patient: Int32Array.from(rows, (row) => cohort.patient[row]!),
      balance: balance.map(bytes),
      covariates: covariates.map(bytes),
      key: rows.map((row) => keys.labels[keys.codes[row]!] ?? String(row)),
      patientKey: rows.map((row) => patients.labels[patients.codes[row]!] ?? String(row)),
    })
  })
}

function clinicName(cohort: Cohort, row: number): string {
  return cohort.clinic.labels[cohort.clinic.codes[row]!] ?? 'clinic'
}

function textOf(cohort: Cohort, field: string): TextCovariate {
  return field === 'region' ? regions(cohort) : textCovariate(cohort, field as CategoryFieldName)
}

function levelCodes(texts: TextCovariate, levels: readonly string[]): Uint8Array {
  return Uint8Array.from(texts, (text) => {
    const code = text === undefined ? -1 : levels.indexOf(text)
    return code < 0 ? levels.length : code
  })
}
