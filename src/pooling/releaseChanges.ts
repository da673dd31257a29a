import type { ReleasedRow } from './releases.js'

/** A restoration in two releases; undefined in the one that it is not in. */
interface Pair {
  readonly was: ReleasedRow | undefined
  readonly is: ReleasedRow | undefined
}

/** Chooses restorations, such as those of one group and one block. */
type Chosen = (one: ReleasedRow) => boolean

/**
 * Whether something that changed between two releases, and that a difference of shared sums would show, rests on fewer
 * patients than the threshold. Looked at are all sums that both releases can give: of each group and of all; of each way
 * of leaving, of all but the endpoint and of all; of each union of strata that both show; exits and days at risk between
 * any two days on which both grids end; each union of levels of a field of the balance that both show; and patients.
 */
export function changedByTooFew(
  earlier: readonly ReleasedRow[],
  now: readonly ReleasedRow[],
  threshold: number,
): boolean {
  const few = fewIn(pairsOf(earlier, now), threshold)
  const both = [...earlier, ...now]
  const groups = chosenBy(both, ({ group }) => group)
  const strata = unionsOf(both.map(({ stratum, block }) => ({ level: stratum, part: block }))).map(
    (union): Chosen =>
      ({ stratum }) =>
        union.has(stratum),
  )
  const places = groups.flatMap((group) =>
    [everybody, ...strata].map(
      (inStratum): Chosen =>
        (one) =>
          group(one) && inStratum(one),
    ),
  )
  const endpoints = new Set(both.map(({ kind }) => kind).filter((kind) => !notEndpoints.includes(kind)))
  const kinds = [...chosenBy(both, ({ kind }) => kind), (({ kind }) => !endpoints.has(kind)) satisfies Chosen]
  const spans = spansOf(earlier, now)
  return (
    patientsChanged(earlier, now, threshold) ||
    places.some(
      (place) =>
        spans.some(([from, to]) => few((one) => (place(one) ? timeWithin(one, from, to) : 0))) ||
        kinds.some((kind) =>
          spans.some(([from, to]) =>
            few((one) => (place(one) && kind(one) && one.endDay > from && one.endDay <= to ? 1 : 0)),
          ),
        ),
    ) ||
    fieldsOf(earlier, now).some((field) => {
      const levels = both.flatMap((one) => one.levels[field] ?? [])
      return unionsOf(levels).some((union) =>
        groups.some((group) =>
          few((one) => (group(one) && union.has(one.levels[field]?.level ?? '') ? 1 : 0)),
        ),
      )
    })
  )
}

const notEndpoints = ['censored', 'competing']
const everybody: Chosen = () => true

/** One choice for each value, and one of all. */
function chosenBy(rows: readonly ReleasedRow[], read: (one: ReleasedRow) => string): readonly Chosen[] {
  const values = [...new Set(rows.map(read))]
  return [
    everybody,
    ...values.map(
      (value): Chosen =>
        (one) =>
          read(one) === value,
    ),
  ]
}

/** Restorations that are not the same in both. */
function pairsOf(earlier: readonly ReleasedRow[], now: readonly ReleasedRow[]): readonly Pair[] {
  const before = new Map(earlier.map((one) => [one.row, one]))
  const pairs: Pair[] = now.map((is) => ({ was: before.get(is.row), is }))
  const after = new Set(now.map(({ row }) => row))
  for (const was of earlier) if (!after.has(was.row)) pairs.push({ was, is: undefined })
  return pairs.filter(({ was, is }) => was === undefined || is === undefined || !same(was, is))
}

function same(was: ReleasedRow, is: ReleasedRow): boolean {
  const keys = ['patient', 'group', 'kind', 'stratum', 'endDay', 'fromDay', 'toDay'] as const
  if (keys.some((key) => was[key] !== is[key])) return false
  return Object.entries(was.levels).every(
    ([field, { level }]) => (is.levels[field]?.level ?? level) === level,
  )
}

/** Whether a sum has changed by somebody, and by fewer patients than the threshold. */
function fewIn(pairs: readonly Pair[], threshold: number): (read: (one: ReleasedRow) => number) => boolean {
  return (read) => {
    const patients = new Set<string>()
    for (const { was, is } of pairs) {
      if ((was === undefined ? 0 : read(was)) === (is === undefined ? 0 : read(is))) continue
      patients.add((is ?? was)!.patient)
      if (patients.size >= threshold) return false
    }
    return patients.size > 0
  }
}

/** Spans between days on which both grids end, from before delivery, and to the end of follow-up. */
function spansOf(
  earlier: readonly ReleasedRow[],
  now: readonly ReleasedRow[],
): readonly (readonly [number, number])[] {
  const ends = new Set(earlier.map(({ endDay }) => endDay))
  const days = [...new Set(now.map(({ endDay }) => endDay))].filter((day) => ends.has(day))
  const bounds = [-1, ...days.sort((left, right) => left - right), Number.POSITIVE_INFINITY]
  return bounds.flatMap((from, i) => bounds.slice(i + 1).map((to) => [from, to] as const))
}

function timeWithin({ fromDay, toDay }: ReleasedRow, from: number, to: number): number {
  return Math.max(0, Math.min(toDay, to) - Math.max(fromDay, from))
}

/** Smallest unions of levels that both releases can be put together to. */
function unionsOf(
  levels: readonly { readonly level: string; readonly part: readonly string[] }[],
): readonly ReadonlySet<string>[] {
  const unions: Set<string>[] = []
  const parts = new Map(levels.map(({ part }) => [part.join('|'), part]))
  for (const part of parts.values()) {
    const touching = unions.filter((union) => part.some((level) => union.has(level)))
    const joined = new Set([...part, ...touching.flatMap((union) => [...union])])
    for (const union of touching) unions.splice(unions.indexOf(union), 1)
    unions.push(joined)
  }
  return unions
}

/** Fields of which both releases show the balance. */
function fieldsOf(earlier: readonly ReleasedRow[], now: readonly ReleasedRow[]): readonly string[] {
  const [before] = earlier
  const [after] = now
  if (before === undefined || after === undefined) return []
  return Object.keys(before.levels).filter((field) => field in after.levels)
}

/** Whether the number of patients tells of a few who came or went. */
function patientsChanged(
  earlier: readonly ReleasedRow[],
  now: readonly ReleasedRow[],
  threshold: number,
): boolean {
  const [before, after] = [earlier, now].map((rows) => new Set(rows.map(({ patient }) => patient)))
  const came = [...after!].filter((patient) => !before!.has(patient)).length
  const went = [...before!].filter((patient) => !after!.has(patient)).length
  return came + went > 0 && came + went < threshold
}
