import { createHmac } from 'node:crypto'
import type { LevelGroups } from './balance.js'
import { sharedNumbers } from './countSource.js'
import { griddedRows } from './griddedRows.js'
import type { Protocol } from './protocol.js'
import type { SitePlan } from './sitePlan.js'
import type { SiteRows } from './siteRows.js'

/** What the practice notes of each restoration that went into a release; it stays in the practice. */
export interface ReleasedRow {
  /** Keyed hash of the restoration and of its patient. */
  readonly row: string
  readonly patient: string
  readonly numbers: readonly string[]
  readonly place: string
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
  const hash = (text: string): string => createHmac('sha256', salt).update(text).digest('hex').slice(0, 32)
  return rows.key.map((key, row) => ({
    row: hash(`restoration ${key}`),
    patient: hash(`patient ${rows.patientKey[row]!}`),
    numbers: [...sharedNumbers(rows, protocol, plan, balance, row), ...further(row)],
    place: `${gridded.group[row]} ${gridded.status[row]}`,
    endDay: gridded.timeDays[row]!,
    fromDay: rows.entryDays[row]!,
    toDay: rows.timeDays[row]!,
  }))
}

/**
 * Whether something that changed between two releases, and that a difference of sums would show, rests on fewer
 * patients than the threshold: exits by group and kind up to every day on which both grids end, and time at risk
 * between such days.
 */
export function changedByTooFew(
  earlier: readonly ReleasedRow[],
  now: readonly ReleasedRow[],
  threshold: number,
): boolean {
  const before = new Map(earlier.map((one) => [one.row, one]))
  const after = new Map(now.map((one) => [one.row, one]))
  const rows = [...new Set([...before.keys(), ...after.keys()])]
  const few = (changed: (was: ReleasedRow | undefined, is: ReleasedRow | undefined) => boolean): boolean => {
    const patients = new Set<string>()
    for (const row of rows) {
      const [was, is] = [before.get(row), after.get(row)]
      if (changed(was, is)) patients.add((was ?? is)!.patient)
    }
    return patients.size > 0 && patients.size < threshold
  }
  const places = [...new Set([...earlier, ...now].map(({ place }) => place))]
  const ends = new Set(earlier.map(({ endDay }) => endDay))
  const days = [...new Set(now.map(({ endDay }) => endDay))].filter((day) => ends.has(day))
  const within = (one: ReleasedRow | undefined, place: string, day: number): boolean =>
    one !== undefined && one.place === place && one.endDay <= day
  const groups = [...new Set(places.map((place) => place.split(' ')[0]!))]
  const bounds = [0, ...days].sort((left, right) => left - right)
  const spans = bounds.flatMap((from, i) => bounds.slice(i + 1).map((to) => [from, to] as const))
  const everywhere = [...spans, [0, Number.POSITIVE_INFINITY] as const]
  return (
    groups.some((group) =>
      everywhere.some(([from, to]) =>
        few((was, is) => timeWithin(was, group, from, to) !== timeWithin(is, group, from, to)),
      ),
    ) ||
    places.some((place) =>
      [...days, Number.POSITIVE_INFINITY].some((day) =>
        few((was, is) => within(was, place, day) !== within(is, place, day)),
      ),
    )
  )
}

/** Days at risk of a restoration between two days, 0 where it is not in the group. */
function timeWithin(one: ReleasedRow | undefined, group: string, from: number, to: number): number {
  if (one === undefined || one.place.split(' ')[0] !== group) return 0
  return Math.max(0, Math.min(one.toDay, to) - Math.max(one.fromDay, from))
}
