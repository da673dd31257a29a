import { type GriddedRows, griddedRows } from '../../pooling/griddedRows.js'
import type { Protocol } from '../../pooling/protocol.js'
import type { SiteRows } from '../../pooling/siteRows.js'
import type { MadeSummary } from '../../pooling/siteSummary.js'

/** A clinic with what it shared. */
export interface SharedClinic {
  readonly rows: SiteRows
  readonly made: MadeSummary
}

/** What a summary shows of one restoration, read from the summary and the rows and not from the counting code. */
interface Shown {
  readonly patient: string
  readonly group: string
  readonly kind: number
  readonly block: string
  readonly start: number
  readonly end: number
  readonly levels: readonly (string | undefined)[]
}

/** Numbers of patients behind every count of a summary that is not 0. */
export function patientsBehind(clinic: SharedClinic, protocol: Protocol): readonly number[] {
  const behind = new Map<string, Set<string>>()
  const add = (key: string, patient: string): void => {
    behind.set(key, (behind.get(key) ?? new Set()).add(patient))
  }
  const { summary } = clinic.made
  const ends = new Map(
    summary.blocks.map(({ levels, intervalEndsDays }) => [levels.join(), intervalEndsDays]),
  )
  for (const { patient, group, kind, block, start, end, levels } of shownBy(clinic, protocol).values()) {
    const place = `${block} ${group}`
    add(`${place} ${kind} ${end}`, patient)
    if (start > 0) add(`${place} entered ${start}`, patient)
    for (const day of ends.get(block)!) if (start < day && end >= day) add(`${place} at risk ${day}`, patient)
    levels.forEach((level, f) => {
      if (level !== undefined) add(`${f} ${group} ${level}`, patient)
    })
  }
  return [...behind.values()].map((patients) => patients.size)
}

/**
 * Numbers of patients behind every difference, not 0, between a sum of one release and the same sum of the next: of one
 * block or all, one group or both, one way of leaving or all, between any two ends that both have; and of every level of
 * the balance that both show.
 */
export function patientsBehindChanges(
  first: SharedClinic,
  second: SharedClinic,
  protocol: Protocol,
): readonly number[] {
  const [was, is] = [shownBy(first, protocol), shownBy(second, protocol)]
  const common = <T>(read: (one: Shown) => T): readonly T[] => {
    const [own, other] = [was, is].map((shown) => new Set([...shown.values()].map(read)))
    return [...own!].filter((value) => other!.has(value))
  }
  const changed = [...new Set([...was.keys(), ...is.keys()])]
    .map((key) => [was.get(key), is.get(key)] as const)
    .filter(([one, other]) => JSON.stringify(one) !== JSON.stringify(other))
  const sizes: number[] = []
  const differ = (holds: (one: Shown) => boolean): void => {
    const patients = new Set<string>()
    for (const [one, other] of changed) {
      if ((one !== undefined && holds(one)) === (other !== undefined && holds(other))) continue
      patients.add((one ?? other)!.patient)
    }
    if (patients.size > 0) sizes.push(patients.size)
  }
  const ends = [...common(({ end }) => end)].sort((left, right) => left - right)
  const bounds = [-1, ...ends, Number.POSITIVE_INFINITY]
  const spans = bounds.flatMap((from, i) => bounds.slice(i + 1).map((to) => [from, to] as const))
  const groups = [undefined, ...common(({ group }) => group)]
  for (const block of [undefined, ...common((one) => one.block)]) {
    for (const group of groups) {
      for (const kind of [undefined, 0, 1, 2]) {
        for (const [from, to] of spans) {
          differ(
            (one) =>
              (block === undefined || one.block === block) &&
              (group === undefined || one.group === group) &&
              (kind === undefined || one.kind === kind) &&
              one.end > from &&
              one.end <= to,
          )
        }
      }
    }
  }
  protocol.balance.forEach((_field, f) => {
    for (const level of common((one) => one.levels[f])) {
      if (level === undefined) continue
      for (const group of groups)
        differ((one) => one.levels[f] === level && (group === undefined || one.group === group))
    }
  })
  return sizes
}

function shownBy({ rows, made }: SharedClinic, protocol: Protocol): ReadonlyMap<string, Shown> {
  const gridded = griddedRows(rows, protocol, made.plan)
  return new Map(rows.key.map((key, row) => [key, shownOf(rows, made, protocol, gridded, row)]))
}

function shownOf(
  rows: SiteRows,
  { summary }: MadeSummary,
  protocol: Protocol,
  gridded: GriddedRows,
  row: number,
): Shown {
  const block = summary.blocks[gridded.block[row]!]!
  return {
    patient: rows.patientKey[row]!,
    group: block.groups[gridded.group[row]!]!.group,
    kind: gridded.status[row]!,
    block: block.levels.join(),
    start: gridded.entryDays[row]!,
    end: gridded.timeDays[row]!,
    levels: summary.balance.map((field, f) => {
      if (!('levels' in field)) return undefined
      const own = [...protocol.balance[f]!.levels, 'unknown'][rows.balance[f]![row]!]!
      return field.levels.find(({ levels }) => levels.includes(own))!.levels.join()
    }),
  }
}
