import { coarsestNeeded } from './coarsening.js'
import { tableNumber } from './countSource.js'
import { exitInterval, type FineCounts, fineCounts } from './fineCounts.js'
import { coarseInterval } from './griddedRows.js'
import type { Protocol } from './protocol.js'
import type { SitePlan } from './sitePlan.js'
import type { SiteRows } from './siteRows.js'

/** The plan by which the model counts, or why a site has none. */
export type ModelPlan = { readonly plan: SitePlan } | { readonly withheld: string }

/**
 * Whatever the coefficients of a round, score and information depend on the rows only through the counts of each
 * pattern of covariates by group, kind and interval. Where each of these counts has none or at least the threshold of
 * patients, no choice of coefficients can bring out fewer. The model keeps the ends of the table, or fewer of them, and gives up
 * the strata within the clinic if it has to.
 */
export function planModel(rows: SiteRows, protocol: Protocol, plan: SitePlan): ModelPlan {
  if (plan.grouping.mergeGroups) {
    return { withheld: 'one of the groups has too few patients to stand apart' }
  }
  if (protocol.model.covariates.length === 0) return { plan }
  const patterns = patternsOf(rows)
  for (const candidate of [plan, withoutStrata(plan)]) {
    const counts = patternCounts(rows, protocol, candidate, patterns)
    const ends = candidate.ends.map((own, b) =>
      coarsestNeeded(counts, b, protocol.threshold, (end) => own.includes(end)),
    )
    if (ends.includes(undefined)) continue
    return { plan: { ...candidate, ends: ends as readonly (readonly number[])[] } }
  }
  return { withheld: 'some pattern of the covariates has too few patients behind a count' }
}

/** All strata of the clinic in one block, on the ends that all of them have. */
function withoutStrata(plan: SitePlan): SitePlan {
  const used = plan.ends.filter((ends) => ends.length > 0)
  const common = (used[0] ?? []).filter((end) => used.every((ends) => ends.includes(end)))
  const last = Math.max(...used.map((ends) => ends[ends.length - 1]!))
  return {
    grouping: { ...plan.grouping, blocks: 1, blockOf: plan.grouping.blockOf.map(() => 0) },
    ends: [[...common.filter((end) => end < last), last]],
  }
}

/** Number of the pattern of group and covariates of each row. */
function patternsOf(rows: SiteRows): { readonly codes: Int32Array; readonly count: number } {
  const seen = new Map<string, number>()
  const codes = Int32Array.from({ length: rows.n }, (_one, row) => {
    const key = `${rows.group[row]} ${rows.covariates.map((column) => column[row]).join(' ')}`
    const known = seen.get(key) ?? seen.size
    seen.set(key, known)
    return known
  })
  return { codes, count: seen.size }
}

/** Counts by pattern: each pattern is counted as if it were a pair of groups of its own, then laid side by side. */
function patternCounts(
  rows: SiteRows,
  protocol: Protocol,
  plan: SitePlan,
  patterns: ReturnType<typeof patternsOf>,
): FineCounts {
  // The model tells the endpoint from all else: competing events leave its risk sets as censorings do.
  const single = { ...plan.grouping, mergeGroups: true, foldCompeting: true }
  const each = Array.from({ length: patterns.count }, (_one, pattern) =>
    fineCounts(
      rowsOf(rows, (row) => patterns.codes[row] === pattern),
      protocol,
      single,
    ),
  )
  const { blocks } = plan.grouping
  const side = (column: 'rows' | 'patients' | 'exitDays' | 'entryDays' | 'mostOfOne'): Float64Array => {
    const width = each[0]![column].length / blocks
    const joined = new Float64Array(width * blocks * patterns.count)
    for (let b = 0; b < blocks; b++) {
      each.forEach((one, p) => {
        joined.set(one[column].subarray(b * width, (b + 1) * width), (b * patterns.count + p) * width)
      })
    }
    return joined
  }
  return {
    blocks,
    groups: patterns.count,
    intervals: protocol.gridDays.length,
    rows: side('rows'),
    patients: side('patients'),
    exitDays: side('exitDays'),
    entryDays: side('entryDays'),
    mostOfOne: side('mostOfOne'),
  }
}

/** The rows that satisfy a condition. */
export function rowsOf(rows: SiteRows, wanted: (row: number) => boolean): SiteRows {
  const kept = Array.from({ length: rows.n }, (_one, row) => row).filter(wanted)
  const bytes = (column: Uint8Array): Uint8Array => Uint8Array.from(kept, (row) => column[row]!)
  return {
    clinic: rows.clinic,
    n: kept.length,
    timeDays: Float64Array.from(kept, (row) => rows.timeDays[row]!),
    entryDays: Float64Array.from(kept, (row) => rows.entryDays[row]!),
    status: bytes(rows.status),
    group: bytes(rows.group),
    stratum: bytes(rows.stratum),
    patient: Int32Array.from(kept, (row) => rows.patient[row]!),
    balance: rows.balance.map(bytes),
    covariates: rows.covariates.map(bytes),
    key: kept.map((row) => rows.key[row]!),
    patientKey: kept.map((row) => rows.patientKey[row]!),
  }
}

/** Names of the counts by pattern that the model brings out; none where they are those of the table. */
export function modelNumbers(
  rows: SiteRows,
  protocol: Protocol,
  model: ModelPlan,
): (row: number) => readonly string[] {
  if ('withheld' in model || protocol.model.covariates.length === 0) return () => []
  const patterns = patternsOf(rows)
  const { plan } = model
  return (row) => {
    const block = plan.grouping.blockOf[rows.stratum[row]!]!
    const fine = exitInterval(protocol.gridDays, rows.timeDays[row]!)
    const interval = coarseInterval(plan.ends[block]!, fine)
    return [`model ${tableNumber(block, patterns.codes[row]!, rows.status[row] === 1 ? 1 : 0, interval)}`]
  }
}
