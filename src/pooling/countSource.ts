import type { LevelCounts, LevelGroups } from './balance.js'
import type { RowClass } from './disclosure.js'
import {
  countKinds,
  entryInterval,
  exitInterval,
  type FineCounts,
  fineCounts,
  type Grouping,
  kindOf,
} from './fineCounts.js'
import { coarseInterval } from './griddedRows.js'
import type { Protocol } from './protocol.js'
import type { SitePlan } from './sitePlan.js'
import type { SiteRows } from './siteRows.js'

/** How many there are in a clinic. */
export interface SiteSizes {
  readonly restorations: number
  readonly patients: number
  /** Patients with more than one restoration. */
  readonly patientsWithSeveral: number
}

/** Where counts come from: rows in memory, or an engine that holds them. Rows themselves are never asked for. */
export interface CountSource {
  fine(grouping: Grouping): Promise<FineCounts>
  balance(grouping: Grouping): Promise<readonly LevelCounts[]>
  /** Rows that are alike in everything that the plan shares. */
  classes(plan: SitePlan, balance: readonly LevelGroups[]): Promise<readonly RowClass[]>
  sizes(): Promise<SiteSizes>
}

/** Counts of rows in memory. */
export function memorySource(
  rows: SiteRows,
  protocol: Protocol,
  further: (row: number) => readonly string[] = () => [],
): CountSource {
  return {
    fine: (grouping) => Promise.resolve(fineCounts(rows, protocol, grouping)),
    balance: (grouping) =>
      Promise.resolve(protocol.balance.map((_field, f) => levelCounts(rows, protocol, grouping, f))),
    classes: (plan, balance) =>
      Promise.resolve(
        classesOf(rows.n, rows.patient, (row) => [
          ...sharedNumbers(rows, protocol, plan, balance, row),
          ...further(row),
        ]),
      ),
    sizes: () => Promise.resolve(sizesOf(rows)),
  }
}

function levelCounts(rows: SiteRows, protocol: Protocol, grouping: Grouping, field: number): LevelCounts {
  const levels = protocol.balance[field]!.levels.length + 1
  const groups = grouping.mergeGroups ? 1 : 2
  const seen = Array.from({ length: groups * levels }, () => new Set<number>())
  const counts = new Float64Array(groups * levels)
  for (let row = 0; row < rows.n; row++) {
    const at = (groups === 1 ? 0 : rows.group[row]!) * levels + rows.balance[field]![row]!
    counts[at]! += 1
    seen[at]!.add(rows.patient[row]!)
  }
  return { rows: counts, patients: Float64Array.from(seen, (patients) => patients.size) }
}

function sizesOf(rows: SiteRows): SiteSizes {
  const many = new Map<number, number>()
  for (const patient of rows.patient) many.set(patient, (many.get(patient) ?? 0) + 1)
  const patientsWithSeveral = [...many.values()].filter((count) => count > 1).length
  return { restorations: rows.n, patients: many.size, patientsWithSeveral }
}

/** Names of the shared numbers that a row is counted in. */
export function sharedNumbers(
  rows: SiteRows,
  protocol: Protocol,
  plan: SitePlan,
  balance: readonly LevelGroups[],
  row: number,
): readonly string[] {
  const { grouping } = plan
  const block = grouping.blockOf[rows.stratum[row]!]!
  const group = grouping.mergeGroups ? 0 : rows.group[row]!
  const ends = plan.ends[block]!
  const exit = coarseInterval(ends, exitInterval(protocol.gridDays, rows.timeDays[row]!))
  const numbers = [tableNumber(block, group, kindOf(rows, grouping, row), exit)]
  const fine = entryInterval(protocol.gridDays, rows.entryDays[row]!)
  const entered = fine === 0 ? 0 : coarseInterval(ends, fine)
  if (entered > 0) numbers.push(tableNumber(block, group, countKinds.entered, entered))
  balance.forEach((parts, f) => {
    if (parts === undefined) return
    const part = parts.findIndex((levels) => levels.includes(rows.balance[f]![row]!))
    numbers.push(balanceNumber(f, group, part))
  })
  return numbers
}

/** Name of a count of the risk-set table. */
export function tableNumber(block: number, group: number, kind: number, interval: number): string {
  return `table ${block} ${group} ${kind} ${interval}`
}

/** Name of a count of the balance. */
export function balanceNumber(field: number, group: number, part: number): string {
  return `balance ${field} ${group} ${part}`
}

/** Rows put together by the numbers that they are counted in. */
export function classesOf(
  rows: number,
  patient: ArrayLike<number>,
  numbersOf: (row: number) => readonly string[],
): readonly RowClass[] {
  const codes = new Map<string, number>()
  const classes = new Map<string, { countedIn: readonly number[]; patients: Set<number> }>()
  for (let row = 0; row < rows; row++) {
    const names = numbersOf(row)
    const key = names.join('|')
    let found = classes.get(key)
    if (found === undefined) {
      found = { countedIn: names.map((name) => codeOf(codes, name)), patients: new Set() }
      classes.set(key, found)
    }
    found.patients.add(patient[row]!)
  }
  return [...classes.values()].map(({ countedIn, patients }) => ({ countedIn, patients: patients.size }))
}

function codeOf(codes: Map<string, number>, name: string): number {
  const known = codes.get(name) ?? codes.size
  codes.set(name, known)
  return known
}
