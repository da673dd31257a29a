import { createHmac } from 'node:crypto'
import type { LevelGroups } from './balance.js'
import { sharedNumbers } from './countSource.js'
import { griddedRows } from './griddedRows.js'
import type { Protocol } from './protocol.js'
import { mergedGroup } from './sharedBlocks.js'
import type { SitePlan } from './sitePlan.js'
import { groupNames, type SiteRows, stratumLevels } from './siteRows.js'

/** What the practice notes of each restoration that went into a release; it stays in the practice. */
export interface ReleasedRow {
  /** Keyed hash of the restoration and of its patient. */
  readonly row: string
  readonly patient: string
  readonly numbers: readonly string[]
  /** Group as it was shared, and how the restoration left, in words that mean the same in every protocol. */
  readonly group: string
  readonly kind: string
  /** Stratum, and all strata of its block. */
  readonly stratum: string
  readonly block: readonly string[]
  /** Level of each field of the balance that was shared, and all levels that stand with it. */
  readonly levels: Readonly<Record<string, { readonly level: string; readonly part: readonly string[] }>>
  readonly endDay: number
  readonly fromDay: number
  readonly toDay: number
}

/** One release as the practice notes it. */
export interface ReleaseRecord {
  readonly protocolHash: string
  readonly clinic: string
  readonly release: number
  readonly checksum: string
  /** Date and version with which it was made, so that it can be made again. */
  readonly date: string
  readonly toolkit: string
  readonly rows: readonly ReleasedRow[]
  /** Whether the rows were counted inside an engine and not noted, so that no later release can be set against it. */
  readonly rowsNotNoted?: boolean
  /** Rounds answered: the coefficients of each, by number. */
  readonly rounds: readonly {
    readonly round: number
    readonly coefficients: readonly number[]
    readonly final: boolean
  }[]
}

/** Notes what a release counts of every restoration. */
export function releasedRows(
  rows: SiteRows,
  protocol: Protocol,
  plan: SitePlan,
  balance: readonly LevelGroups[],
  further: (row: number) => readonly string[],
  salt: string,
): readonly ReleasedRow[] {
  const gridded = griddedRows(rows, protocol, plan)
  const hashes = hashesOf(rows, salt)
  const strata = stratumLevels(protocol)
  const blocks = plan.ends.map((_ends, b) => strata.filter((_level, l) => plan.grouping.blockOf[l] === b))
  const groups = plan.grouping.mergeGroups ? [mergedGroup] : groupNames(protocol)
  const kinds = ['censored', protocol.endpoint, 'competing']
  return rows.key.map((_key, row) => ({
    row: hashes.rows[row]!,
    patient: hashes.patients[row]!,
    numbers: [...sharedNumbers(rows, protocol, plan, balance, row), ...further(row)],
    group: groups[gridded.group[row]!]!,
    kind: kinds[gridded.status[row]!]!,
    stratum: strata[rows.stratum[row]!]!,
    block: blocks[gridded.block[row]!]!,
    levels: levelsOf(rows, protocol, balance, row),
    endDay: gridded.timeDays[row]!,
    fromDay: rows.entryDays[row]!,
    toDay: rows.timeDays[row]!,
  }))
}

interface Hashes {
  readonly salt: string
  readonly rows: readonly string[]
  readonly patients: readonly string[]
}

/** Hashes of rows that were hashed before: many plans are tried on the same rows. */
const known = new WeakMap<SiteRows, Hashes>()

function hashesOf(rows: SiteRows, salt: string): Hashes {
  const found = known.get(rows)
  if (found?.salt === salt) return found
  const hash = (text: string): string => createHmac('sha256', salt).update(text).digest('hex').slice(0, 32)
  const hashes = {
    salt,
    rows: rows.key.map((key) => hash(`restoration ${key}`)),
    patients: rows.patientKey.map((key) => hash(`patient ${key}`)),
  }
  known.set(rows, hashes)
  return hashes
}

function levelsOf(
  rows: SiteRows,
  protocol: Protocol,
  balance: readonly LevelGroups[],
  row: number,
): ReleasedRow['levels'] {
  return Object.fromEntries(
    balance.flatMap((parts, f) => {
      if (parts === undefined) return []
      const { field, levels } = protocol.balance[f]!
      const names = [...levels, 'unknown']
      const code = rows.balance[f]![row]!
      const part = parts.find((codes) => codes.includes(code))!
      return [[field, { level: names[code]!, part: part.map((one) => names[one]!) }]]
    }),
  )
}
