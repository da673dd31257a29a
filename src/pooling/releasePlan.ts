import { DisclosureError } from '../core/errors.js'
import { classesOf } from './countSource.js'
import { classesWithinReach } from './disclosure.js'
import type { Protocol } from './protocol.js'
import { changedByTooFew } from './releaseChanges.js'
import { type ReleasedRow, type ReleaseRecord, releasedRows } from './releases.js'
import type { SitePlan } from './sitePlan.js'
import type { SiteRows } from './siteRows.js'

/**
 * The finest of a few coarser plans by which a new release, set against every earlier one, changes no number by fewer
 * patients than the threshold: the plan as it is; the ends that all releases share; then fewer and fewer of them, from
 * the last one back.
 *
 * @throws DisclosureError `release-too-close` where even one interval would show too few
 */
export function planAfterReleases(
  rows: SiteRows,
  protocol: Protocol,
  plan: SitePlan,
  earlier: readonly ReleaseRecord[],
  salt: string,
): SitePlan {
  for (const candidate of coarserPlans(plan, protocol, earlier)) {
    if (mayFollow(rows, protocol, candidate, earlier, salt)) return candidate
  }
  throw tooClose(protocol.threshold)
}

/** A release that would show what changed in too few patients. */
export function tooClose(threshold: number): DisclosureError {
  return new DisclosureError({
    code: 'release-too-close',
    problem: `set against an earlier release, this one would show what changed in fewer than ${threshold} patients.`,
    expected: `a release in which every count has changed by no patient or by at least ${threshold}.`,
    mend: 'leave the earlier release in use until more patients have been added or have had the event.',
  })
}

function coarserPlans(
  plan: SitePlan,
  protocol: Protocol,
  earlier: readonly ReleaseRecord[],
): readonly SitePlan[] {
  const endDays = earlier.map(({ rows }) => new Set(rows.map(({ endDay }) => endDay)))
  const isShared = (end: number): boolean => endDays.every((days) => days.has(protocol.gridDays[end]!))
  const kept = (ends: readonly number[], keep: (end: number, i: number) => boolean): readonly number[] =>
    ends.filter((end, i) => i === ends.length - 1 || keep(end, i))
  const common = { ...plan, ends: plan.ends.map((ends) => kept(ends, isShared)) }
  const longest = Math.max(...common.ends.map((ends) => ends.length))
  const fewer = lengthsBelow(longest).map((length) => ({
    ...plan,
    ends: common.ends.map((ends) => kept(ends, (_end, at) => at < length)),
  }))
  return [plan, common, ...fewer]
}

/** How many ends are tried: one fewer each time, or a third fewer where there are many, so that it ends soon. */
function lengthsBelow(longest: number): readonly number[] {
  const lengths: number[] = []
  const next = (length: number): number => (longest > 12 ? Math.floor((2 * length) / 3) : length - 1)
  for (let length = longest; length > 0; ) {
    length = next(length)
    lengths.push(length)
  }
  return lengths
}

function mayFollow(
  rows: SiteRows,
  protocol: Protocol,
  plan: SitePlan,
  earlier: readonly ReleaseRecord[],
  salt: string,
): boolean {
  const now = releasedRows(rows, protocol, plan, [], () => [], salt)
  return isApart(now, earlier, protocol.threshold)
}

/** Whether a release, set against the earlier ones, shows no change by fewer patients than the threshold. */
export function isApart(
  now: readonly ReleasedRow[],
  earlier: readonly ReleaseRecord[],
  threshold: number,
): boolean {
  if (earlier.length === 0) return true
  if (earlier.some(({ rows }) => changedByTooFew(rows, now, threshold))) return false
  return reachedAcross([...earlier.map(({ rows }) => rows), now], threshold).length === 0
}

/** Classes of rows that subtraction across releases would bring within reach. */
export function reachedAcross(
  releases: readonly (readonly ReleasedRow[])[],
  threshold: number,
): readonly number[] {
  const numbers = new Map<string, string[]>()
  const patients = new Map<string, string>()
  releases.forEach((rows, r) => {
    for (const one of rows) {
      const own = numbers.get(one.row) ?? []
      own.push(...one.numbers.map((name) => `${r} ${name}`))
      numbers.set(one.row, own)
      patients.set(one.row, one.patient)
    }
  })
  const keys = [...numbers.keys()]
  const codes = new Map<string, number>()
  const patient = keys.map((key) => {
    const name = patients.get(key)!
    const known = codes.get(name) ?? codes.size
    codes.set(name, known)
    return known
  })
  return classesWithinReach(
    classesOf(keys.length, patient, (row) => numbers.get(keys[row]!)!),
    threshold,
  )
}
