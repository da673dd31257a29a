import { RecordError } from '../../core/errors.js'
import type { Version, VersionEntry, VersionRow } from './versionRows.js'

/** A restoration that is in both versions: its key in each. */
export interface MatchedKeys {
  readonly earlier: string
  readonly later: string
}

/** What of two versions belongs together. */
export interface MatchedVersions {
  readonly pairs: readonly MatchedKeys[]
  /** Keys of what only one of them has. */
  readonly gone: readonly string[]
  readonly added: readonly string[]
}

/** What does not change about a restoration, whatever it is called. */
const lasting = ['sex', 'implant_diameter_mm', 'implant_length_mm', 'connection', 'implant_placement_day']

/**
 * Finds the restorations that are in both versions: by key where the day of delivery and the position agree, else by
 * what they are (delivery, position, and something recorded in both), so that changed keys are recognised; what is left
 * with one key in both is the same restoration with something corrected.
 *
 * @throws RecordError `versions-do-not-match` where no restoration is in both
 * @throws RecordError `keys-not-told-apart` where a key stands for one restoration earlier and for another one later
 */
export function matchVersions(earlier: Version, later: Version): MatchedVersions {
  const open = { earlier: new Set(earlier.entries.keys()), later: new Set(later.entries.keys()) }
  const pairs: MatchedKeys[] = []
  const take = (before: string, now: string): void => {
    open.earlier.delete(before)
    open.later.delete(now)
    pairs.push({ earlier: before, later: now })
  }
  const inBoth = [...open.earlier].filter((key) => open.later.has(key))
  for (const key of inBoth) {
    if (agrees(earlier.entries.get(key)!, later.entries.get(key)!)) take(key, key)
  }
  for (const { earlier: before, later: now } of matchedByContent(earlier, later, open)) take(before, now)
  for (const key of inBoth) {
    if (!open.earlier.has(key) || !open.later.has(key)) continue
    if (isCorrected(earlier.entries.get(key)!, later.entries.get(key)!)) take(key, key)
  }
  if (pairs.length === 0 && earlier.entries.size > 0 && later.entries.size > 0)
    throw doNotMatch('no restoration is in both')
  const clashing = [...open.earlier].filter((key) => later.entries.has(key))
  if (clashing.length > 0) throw notToldApart(clashing.length)
  const place = new Map([...earlier.entries.keys()].map((key, index) => [key, index]))
  pairs.sort((left, right) => place.get(left.earlier)! - place.get(right.earlier)!)
  return { pairs, gone: [...open.earlier], added: [...open.later] }
}

function delivered(row: VersionRow): string {
  return row.get('delivery_date') ?? row.get('delivery_year') ?? ''
}

function placed(row: VersionRow): string {
  return row.get('tooth_position') || (row.get('region') ?? '')
}

function agrees({ row: before }: VersionEntry, { row: now }: VersionEntry): boolean {
  return delivered(before) === delivered(now) && isCompatible(placed(before), placed(now))
}

function isCorrected({ row: before }: VersionEntry, { row: now }: VersionEntry): boolean {
  if (delivered(before) === delivered(now)) return true
  return placed(before) === placed(now) && before.get('patient_id') === now.get('patient_id')
}

function isCompatible(before: string, now: string): boolean {
  return before === '' || now === '' || before === now
}

type OpenKeys = Readonly<Record<'earlier' | 'later', ReadonlySet<string>>>

function matchedByContent(earlier: Version, later: Version, open: OpenKeys): readonly MatchedKeys[] {
  const groups = new Map<string, { readonly before: string[]; readonly now: string[] }>()
  const groupOf = ({ row }: VersionEntry) => {
    const key = `${delivered(row)} ${placed(row)}`
    if (!groups.has(key)) groups.set(key, { before: [], now: [] })
    return groups.get(key)!
  }
  for (const key of open.earlier) groupOf(earlier.entries.get(key)!).before.push(key)
  for (const key of open.later) groupOf(later.entries.get(key)!).now.push(key)
  const found: MatchedKeys[] = []
  for (const { before, now } of groups.values()) {
    if (before.length > 0 && now.length > 0) found.push(...matchedInGroup(before, now, earlier, later))
  }
  return found
}

/** The pairs of a group that have more in common with each other than with anything else of the group. */
function matchedInGroup(
  before: readonly string[],
  now: readonly string[],
  earlier: Version,
  later: Version,
): readonly MatchedKeys[] {
  const scores = before.map((old) =>
    now.map((new_) => likeness(earlier.entries.get(old)!, later.entries.get(new_)!)),
  )
  return before.flatMap((old, i) => {
    const best = Math.max(...scores[i]!)
    const at = scores[i]!.indexOf(best)
    const isOnly =
      scores[i]!.filter((score) => score === best).length === 1 &&
      scores.filter((row) => row[at]! >= best).length === 1
    return best > 0 && isOnly ? [{ earlier: old, later: now[at]! }] : []
  })
}

/** How much two restorations of one delivery and position have in common; 0 where they are not the same. */
function likeness(before: VersionEntry, now: VersionEntry): number {
  if (lasting.some((field) => !isCompatible(before.row.get(field) ?? '', now.row.get(field) ?? ''))) return 0
  const shared = sharedDays(before, now)
  const recorded = before.linked.visits.length + before.linked.tightenings.length
  const samePatient = before.row.get('patient_id') === now.row.get('patient_id') ? 1 : 0
  return recorded === 0 ? 1 + samePatient : shared + (shared > 0 ? samePatient : 0)
}

function sharedDays(before: VersionEntry, now: VersionEntry): number {
  const contents = (entry: VersionEntry): readonly string[] => [
    ...entry.linked.visits.map((row) => `v ${row.get('days_since_delivery')} ${row.get('finding')}`),
    ...entry.linked.tightenings.map(
      (row) => `t ${row.get('days_since_delivery')} ${row.get('sequence')} ${row.get('target_torque_ncm')}`,
    ),
  ]
  const known = new Set(contents(now))
  return contents(before).filter((one) => known.has(one)).length
}

/** Two data sets that are not two versions of one. */
export function doNotMatch(what: string): RecordError {
  return new RecordError({
    code: 'versions-do-not-match',
    problem: `the two data sets cannot be joined: ${what}.`,
    expected:
      'two exports of the same practice with restorations in common, or two shareable forms of one key file.',
    mend: 'give exports of the same practice; make the shareable form of each year with the same key file.',
  })
}

function notToldApart(count: number): RecordError {
  return new RecordError({
    code: 'keys-not-told-apart',
    problem: `${count === 1 ? 'one restoration_id stands' : `${count} values of restoration_id stand`} for one restoration in the earlier export and for another one in the later.`,
    expected: 'a restoration_id that means the same restoration in both, or one that the content leads back.',
    mend: 'give the restorations of one of the exports back the keys that they have in the other, in a copy.',
  })
}
