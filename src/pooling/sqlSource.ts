import type { LevelCounts, LevelGroups } from './balance.js'
import type { ModelClass } from './countedModel.js'
import { balanceNumber, type CountSource, type SiteSizes, tableNumber } from './countSource.js'
import type { RowClass } from './disclosure.js'
import { countKinds, type FineCounts, type Grouping, kindsPerGroup } from './fineCounts.js'
import { coarseInterval } from './griddedRows.js'
import type { Protocol } from './protocol.js'
import type { SitePlan } from './sitePlan.js'
import { blockCase, fineQuery, kindOfExit, literal, sideOf } from './sqlText.js'

/** Asks an engine; every value of the answer is a number. */
export type Ask = (sql: string) => Promise<readonly Readonly<Record<string, number>>[]>

/** Rows of one clinic in an engine: a table made by `rowsQuery`. */
export interface EngineRows {
  readonly ask: Ask
  readonly table: string
  readonly clinic: string
  /** Whether any row enters late. */
  readonly lateEntries: boolean
}

/** Counts of rows that an engine holds; the answers are those of `memorySource` of the same rows. */
export function sqlSource(rows: EngineRows, protocol: Protocol): CountSource {
  const known = new Map<string, Promise<FineCounts>>()
  let sizes: Promise<SiteSizes> | undefined
  return {
    fine(grouping) {
      const key = JSON.stringify(grouping)
      const counts = known.get(key) ?? fineOf(rows, protocol, grouping)
      known.set(key, counts)
      return counts
    },
    balance: (grouping) => balanceOf(rows, protocol, grouping),
    classes: (plan, balance) => classesOf(rows, plan, balance),
    sizes() {
      sizes ??= sizesOf(rows)
      return sizes
    },
  }
}

/** Condition that chooses the rows of the clinic. */
export function ofClinic({ clinic }: EngineRows): string {
  return `clinic = ${literal(clinic)}`
}

async function fineOf(rows: EngineRows, protocol: Protocol, grouping: Grouping): Promise<FineCounts> {
  const intervals = protocol.gridDays.length
  const groups = grouping.mergeGroups ? 1 : 2
  const places = grouping.blocks * groups
  const counts = {
    rows: new Float64Array(places * kindsPerGroup * intervals),
    patients: new Float64Array(places * kindsPerGroup * intervals),
    exitDays: new Float64Array(places * intervals),
    entryDays: new Float64Array(places * intervals),
  }
  const found = await rows.ask(fineQuery(grouping, rows.table, ofClinic(rows)))
  for (const { block, side, kind, interval_no, restorations, days, patients } of found) {
    const place = block! * groups + side!
    const entered = kind === countKinds.entered
    const column = entered ? counts.entryDays : counts.exitDays
    column[place * intervals + interval_no!]! += days!
    if (entered && interval_no === 0) continue
    const at = (place * kindsPerGroup + kind!) * intervals + interval_no!
    counts.rows[at] = restorations!
    counts.patients[at] = patients!
  }
  const mostOfOne = rows.lateEntries ? await mostOf(rows, grouping, groups) : new Float64Array(places)
  return { blocks: grouping.blocks, groups, intervals, ...counts, mostOfOne }
}

async function mostOf(rows: EngineRows, grouping: Grouping, groups: number): Promise<Float64Array> {
  const most = new Float64Array(grouping.blocks * groups)
  const many = `SELECT ${blockCase(grouping)} AS block, ${sideOf(grouping)} AS side, patient, COUNT(*) AS many FROM ${rows.table} WHERE ${ofClinic(rows)} GROUP BY block, side, patient`
  const found = await rows.ask(
    `SELECT block, side, MAX(many) AS many FROM (${many}) AS own GROUP BY block, side`,
  )
  for (const { block, side, many: count } of found) most[block! * groups + side!] = count!
  return most
}

async function balanceOf(
  rows: EngineRows,
  protocol: Protocol,
  grouping: Grouping,
): Promise<readonly LevelCounts[]> {
  const groups = grouping.mergeGroups ? 1 : 2
  const all: LevelCounts[] = []
  for (const [f, { levels }] of protocol.balance.entries()) {
    const count = levels.length + 1
    const field = { rows: new Float64Array(groups * count), patients: new Float64Array(groups * count) }
    const found = await rows.ask(
      `SELECT ${sideOf(grouping)} AS side, balance_${f} AS level, COUNT(*) AS restorations, COUNT(DISTINCT patient) AS patients FROM ${rows.table} WHERE ${ofClinic(rows)} GROUP BY 1, 2`,
    )
    for (const { side, level, restorations, patients } of found) {
      field.rows[side! * count + level!] = restorations!
      field.patients[side! * count + level!] = patients!
    }
    all.push(field)
  }
  return all
}

async function sizesOf(rows: EngineRows): Promise<SiteSizes> {
  const own = `SELECT patient, COUNT(*) AS many FROM ${rows.table} WHERE ${ofClinic(rows)} GROUP BY patient`
  const [found] = await rows.ask(
    `SELECT COALESCE(SUM(many), 0) AS restorations, COUNT(*) AS patients, COALESCE(SUM(CASE WHEN many > 1 THEN 1 ELSE 0 END), 0) AS several FROM (${own}) AS own`,
  )
  const { restorations, patients, several } = found!
  return { restorations: restorations!, patients: patients!, patientsWithSeveral: several! }
}

/** Interval of the plan that holds a fine one, by block. */
export function coarseCase(plan: SitePlan, column: string): string {
  const byBlock = plan.ends.map((ends, b) => {
    const cases = ends.slice(0, -1).map((end, i) => `WHEN ${column} <= ${end} THEN ${i}`)
    const inside = cases.length === 0 ? '0' : `CASE ${cases.join(' ')} ELSE ${ends.length - 1} END`
    return `WHEN ${b} THEN ${inside}`
  })
  return plan.ends.length === 1
    ? byBlock[0]!.replace(/^WHEN 0 THEN /, '')
    : `CASE ${blockCase(plan.grouping)} ${byBlock.join(' ')} END`
}

async function classesOf(
  rows: EngineRows,
  plan: SitePlan,
  balance: readonly LevelGroups[],
): Promise<readonly RowClass[]> {
  const { grouping } = plan
  const shared = balance.flatMap((parts, f) => (parts === undefined ? [] : [{ f, parts }]))
  const columns = [
    `${blockCase(grouping)} AS block`,
    `${sideOf(grouping)} AS side`,
    `${kindOfExit(grouping)} AS kind`,
    `${coarseCase(plan, 'exit_interval')} AS exit_at`,
    `CASE WHEN entry_interval = 0 THEN 0 ELSE ${coarseCase(plan, 'entry_interval')} END AS entry_at`,
    ...shared.map(({ f, parts }) => `${partCase(f, parts)} AS part_${f}`),
  ]
  const by = columns.map((_column, i) => i + 1).join(', ')
  const found = await rows.ask(
    `SELECT ${columns.join(', ')}, COUNT(DISTINCT patient) AS patients FROM ${rows.table} WHERE ${ofClinic(rows)} GROUP BY ${by} ORDER BY ${by}`,
  )
  const codes = new Map<string, number>()
  const codeOf = (name: string): number => {
    const code = codes.get(name) ?? codes.size
    codes.set(name, code)
    return code
  }
  return found.map((one) => {
    const { block, side, kind, exit_at, entry_at, patients } = one
    const names = [tableNumber(block!, side!, kind!, exit_at!)]
    if (entry_at! > 0) names.push(tableNumber(block!, side!, countKinds.entered, entry_at!))
    for (const { f } of shared) names.push(balanceNumber(f, side!, one[`part_${f}`]!))
    return { countedIn: names.map(codeOf), patients: patients! }
  })
}

function partCase(f: number, parts: readonly (readonly number[])[]): string {
  const cases = parts.flatMap((levels, part) => levels.map((level) => `WHEN ${level} THEN ${part}`))
  return `CASE balance_${f} ${cases.join(' ')} END`
}

/** Rows that are alike in what a model of the group alone sees. */
export async function modelClassesOf(rows: EngineRows, plan: SitePlan): Promise<readonly ModelClass[]> {
  const found = await rows.ask(
    `SELECT ${blockCase(plan.grouping)} AS block, side, CASE WHEN status = 1 THEN 1 ELSE 0 END AS event, exit_interval, entry_interval, COUNT(*) AS restorations FROM ${rows.table} WHERE ${ofClinic(rows)} GROUP BY 1, 2, 3, 4, 5 ORDER BY 1, 2, 3, 4, 5`,
  )
  const classes = new Map<string, ModelClass>()
  for (const { block, side, event, exit_interval, entry_interval, restorations } of found) {
    const ends = plan.ends[block!]!
    const exit = coarseInterval(ends, exit_interval!)
    const entry = entry_interval === 0 ? 0 : coarseInterval(ends, entry_interval!)
    const key = `${block} ${side} ${event} ${exit} ${entry}`
    const sum = (classes.get(key)?.restorations ?? 0) + restorations!
    classes.set(key, {
      block: block!,
      covariates: [side!],
      event: event === 1,
      exit,
      entry,
      restorations: sum,
    })
  }
  return [...classes.values()]
}
