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
  const pairs = pairsOf(earlier, now)
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
  const bounds = boundsOf(earlier, now)
  const limit = { threshold, enough: enoughRows(pairs, threshold) }
  return (
    patientsChanged(earlier, now, threshold) ||
    places.some((place) => {
      const here = chosenPairs(pairs, place)
      return (
        anySpanFew(here, bounds, daysChanged, limit) ||
        kinds.some((kind) => anySpanFew(chosenPairs(here, kind), bounds, exitsChanged, limit))
      )
    }) ||
    fieldsOf(earlier, now).some((field) => {
      const levels = both.flatMap((one) => one.levels[field] ?? [])
      return unionsOf(levels).some((union) =>
        groups.some((group) => {
          const holds: Chosen = (one) => group(one) && union.has(one.levels[field]?.level ?? '')
          const changed = chosenPairs(pairs, holds).filter(
            ({ was, is }) => (was === undefined) !== (is === undefined),
          )
          return isFew(changed, threshold)
        }),
      )
    })
  )
}

/** Threshold in patients, and how many restorations are certain to be of as many. */
interface Limit {
  readonly threshold: number
  readonly enough: number
}

function enoughRows(pairs: readonly Pair[], threshold: number): number {
  const many = new Map<string, number>()
  for (const pair of pairs) many.set(patientOf(pair), (many.get(patientOf(pair)) ?? 0) + 1)
  const most = [...many.values()].reduce((largest, count) => Math.max(largest, count), 1)
  return (threshold - 1) * most + 1
}

function patientOf({ was, is }: Pair): string {
  return (is ?? was)!.patient
}

/** Pairs as a choice sees them: a restoration that it does not choose is not there. */
function chosenPairs(pairs: readonly Pair[], chosen: Chosen): readonly Pair[] {
  return pairs.flatMap(({ was, is }) => {
    const [before, after] = [was, is].map((one) => (one !== undefined && chosen(one) ? one : undefined))
    return before === undefined && after === undefined ? [] : [{ was: before, is: after }]
  })
}

function isFew(pairs: readonly Pair[], threshold: number): boolean {
  const patients = new Set<string>()
  for (const pair of pairs) {
    patients.add(patientOf(pair))
    if (patients.size >= threshold) return false
  }
  return patients.size > 0
}

/**
 * Whether a sum over some span of days has changed by somebody and by fewer patients than the threshold. For each first
 * bound, changed restorations are added as the last one moves on, each at the first bound at which it counts; one that
 * counts no more further on is counted anew.
 */
function anySpanFew(
  pairs: readonly Pair[],
  bounds: readonly number[],
  changes: (pair: Pair, bounds: readonly number[]) => Changes,
  { threshold, enough }: Limit,
): boolean {
  const all = pairs.map((pair) => changes(pair, bounds))
  const last = bounds.length - 1
  for (let from = 0; from < last; from++) {
    const difference = new Int32Array(last + 2)
    for (const change of all) {
      for (const [low, high] of change.lasts(from)) {
        difference[low]! += 1
        difference[high]! -= 1
      }
    }
    let count = 0
    for (let to = from + 1; to <= last; to++) {
      count += difference[to]!
      if (count === 0 || count >= enough) continue
      if (
        isFew(
          pairs.filter((_pair, p) => all[p]!.exact(from, to)),
          threshold,
        )
      )
        return true
    }
  }
  return false
}

/** When a pair changes a sum between two bounds. */
interface Changes {
  /** For a first bound, the ranges of last bounds, up to but without their end, between which it does. */
  lasts(from: number): readonly (readonly [number, number])[]
  exact(from: number, to: number): boolean
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

/** Days on which both grids end, before them a time before delivery, after them the end of follow-up. */
function boundsOf(earlier: readonly ReleasedRow[], now: readonly ReleasedRow[]): readonly number[] {
  const ends = new Set(earlier.map(({ endDay }) => endDay))
  const days = [...new Set(now.map(({ endDay }) => endDay))].filter((day) => ends.has(day))
  return [-1, ...days.sort((left, right) => left - right), Number.POSITIVE_INFINITY]
}

/** First bound on or after a day. */
function boundAt(bounds: readonly number[], day: number): number {
  return bounds.findIndex((bound) => bound >= day)
}

/** An exit counts between two bounds if it comes after the first and not after the last: it counts in one release only. */
function exitsChanged({ was, is }: Pair, bounds: readonly number[]): Changes {
  const [low, high] = [was, is]
    .map((one) => (one === undefined ? Number.POSITIVE_INFINITY : boundAt(bounds, one.endDay)))
    .sort((left, right) => left - right) as [number, number]
  const end = bounds.length
  const lasts = (from: number): readonly (readonly [number, number])[] => {
    const counted = [low, high].filter((at) => at > from && at < end)
    if (counted.length === 0) return []
    return [[counted[0]!, counted[1] ?? end]]
  }
  return { lasts, exact: (from, to) => lasts(from).some(([first, past]) => to >= first && to < past) }
}

/** Days at risk between two bounds change if the days that are in one release only reach between them. */
function daysChanged({ was, is }: Pair, bounds: readonly number[]): Changes {
  const end = bounds.length
  const stretches = daysInOne(was, is).map(([first, past]) => {
    // Interval of the first day, and of the last: bounds that lie above them.
    const low = bounds.findIndex((bound) => bound > first)
    return [low, boundAt(bounds, past)] as const
  })
  const lasts = (from: number): readonly (readonly [number, number])[] => {
    const open = stretches.filter(([, high]) => high > from).map(([low]) => Math.max(low, from + 1))
    return open.length === 0 ? [] : [[Math.min(...open), end]]
  }
  return { lasts, exact: (from, to) => lasts(from).some(([first]) => to >= first) }
}

/** Stretches of days at risk in one of two releases only. */
function daysInOne(
  was: ReleasedRow | undefined,
  is: ReleasedRow | undefined,
): readonly (readonly [number, number])[] {
  const [one, other] = [was, is].map((row) => (row === undefined ? [0, 0] : [row.fromDay, row.toDay]))
  const [a, b] = one as [number, number]
  const [c, d] = other as [number, number]
  const apart = Math.max(a, c) >= Math.min(b, d)
  const stretches = apart
    ? [
        [a, b],
        [c, d],
      ]
    : [
        [Math.min(a, c), Math.max(a, c)],
        [Math.min(b, d), Math.max(b, d)],
      ]
  return stretches.filter(([first, past]) => past! > first!) as unknown as readonly (readonly [
    number,
    number,
  ])[]
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
