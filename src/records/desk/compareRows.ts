import type { LinkedName, VersionRow } from './versionRows.js'

/** Rows of one restoration in two versions, told apart. */
export interface ComparedRows {
  /** The same row in both, changed or not, in the order of the later. */
  readonly pairs: readonly { readonly earlier: VersionRow; readonly later: VersionRow }[]
  readonly onlyEarlier: readonly VersionRow[]
  readonly onlyLater: readonly VersionRow[]
}

/** The finding of a visit that is an event; undefined for a tightening and for a visit without one. */
export function eventOf(row: VersionRow): string | undefined {
  const finding = row.get('finding')
  return finding === undefined || finding === '' || finding === 'none' ? undefined : finding
}

/** Ways in which a row of one version is told again in the other, the closest first; undefined: not in this way. */
const likenesses: Readonly<Record<LinkedName, readonly ((row: VersionRow) => string | undefined)[]>> = {
  visits: [
    allOf,
    (row) => cells(row, 'days_since_delivery', 'screw_position', 'finding'),
    (row) => cells(row, 'days_since_delivery', 'screw_position'),
    // A corrected date: the same event on another day is never a second one.
    (row) => (eventOf(row) === undefined ? undefined : cells(row, 'screw_position', 'finding')),
  ],
  tightenings: [
    allOf,
    (row) => cells(row, 'days_since_delivery', 'context', 'screw_position', 'sequence'),
    (row) => cells(row, 'context', 'screw_position', 'sequence'),
  ],
}

/** Compares the rows of one restoration, by day and by what they say. */
export function compareRows(
  name: LinkedName,
  earlier: readonly VersionRow[],
  later: readonly VersionRow[],
): ComparedRows {
  const open = new Set(earlier)
  const partner = new Map<VersionRow, VersionRow>()
  for (const likeness of likenesses[name]) {
    const waiting = new Map<string, VersionRow[]>()
    for (const row of open) {
      const key = likeness(row)
      if (key !== undefined) waiting.set(key, [...(waiting.get(key) ?? []), row])
    }
    for (const row of later) {
      if (partner.has(row)) continue
      const key = likeness(row)
      const found = key === undefined ? undefined : waiting.get(key)?.shift()
      if (found === undefined) continue
      partner.set(row, found)
      open.delete(found)
    }
  }
  return {
    pairs: later.filter((row) => partner.has(row)).map((row) => ({ earlier: partner.get(row)!, later: row })),
    onlyEarlier: earlier.filter((row) => open.has(row)),
    onlyLater: later.filter((row) => !partner.has(row)),
  }
}

/** Everything that a row says, but not which restoration it is of: its key may have changed. */
function allOf(row: VersionRow): string {
  return [...row]
    .filter(([field, value]) => field !== 'restoration_id' && value !== '')
    .map(([field, value]) => `${field}=${value}`)
    .join('\u0000')
}

function cells(row: VersionRow, ...fields: readonly string[]): string {
  return fields.map((field) => row.get(field) ?? '').join('\u0000')
}
