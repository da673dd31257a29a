import { type ErrorDetail, RecordError } from '../core/errors.js'
import { stableJson } from '../core/plain.js'
import type { AgreedProtocol } from './protocol.js'
import { mergedGroup } from './sharedBlocks.js'
import { groupNames } from './siteRows.js'
import type { SharedBlock, SiteSummary } from './summarySchema.js'

/** Clinic 2 before clinic 10, the same on every machine. */
const byName = new Intl.Collator('en', { numeric: true })

/** A summary that is not used, and why. */
export interface RefusedSummary {
  readonly clinic: string
  readonly release: number
  readonly error: RecordError
}

/** Summaries that are pooled, those replaced by a later release of the same clinic, and those refused. */
export interface CheckedSummaries {
  readonly accepted: readonly SiteSummary[]
  readonly replaced: readonly { readonly clinic: string; readonly release: number; readonly by: number }[]
  readonly refused: readonly RefusedSummary[]
}

/**
 * Checks summaries against the protocol, against each other, and against what can be: the same protocol in the same
 * version, each clinic once, no table under two names, counts that add up and keep to the threshold.
 */
export function checkSummaries(summaries: readonly SiteSummary[], agreed: AgreedProtocol): CheckedSummaries {
  const refused: RefusedSummary[] = []
  const refuse = (one: SiteSummary, detail: ErrorDetail): void => {
    const error = new RecordError(detail, { file: `summary of ${one.clinic}, release ${one.release}` })
    refused.push({ clinic: one.clinic, release: one.release, error })
  }
  const usable: SiteSummary[] = []
  for (const one of summaries) {
    const fault = protocolFault(one, agreed) ?? implausible(one, agreed) ?? repeated(one, usable)
    if (fault === undefined) usable.push(one)
    else refuse(one, fault)
  }
  const latest = new Map<string, SiteSummary>()
  for (const one of usable) {
    const known = latest.get(one.clinic)
    if (known === undefined || known.release < one.release) latest.set(one.clinic, one)
  }
  const accepted = [...latest.values()].sort((left, right) => byName.compare(left.clinic, right.clinic))
  const replaced = usable
    .filter((one) => latest.get(one.clinic) !== one)
    .map(({ clinic, release }) => ({ clinic, release, by: latest.get(clinic)!.release }))
  return { accepted, replaced, refused }
}

function protocolFault(one: SiteSummary, { protocol, hash }: AgreedProtocol): ErrorDetail | undefined {
  if (one.protocol.hash === hash) return undefined
  const outdated = one.protocol.name === protocol.name && one.protocol.version !== protocol.version
  return {
    code: outdated ? 'outdated-protocol' : 'other-protocol',
    problem: outdated
      ? `it was made by version ${one.protocol.version} of the protocol, and the group uses version ${protocol.version}.`
      : 'it was made by another protocol.',
    expected: 'the protocol file of the group, unchanged.',
    mend: 'ask the site to share again with the protocol file that the group uses.',
  }
}

function repeated(one: SiteSummary, earlier: readonly SiteSummary[]): ErrorDetail | undefined {
  const same = earlier.find(({ clinic, release }) => clinic === one.clinic && release === one.release)
  if (same !== undefined) {
    const equal = same.checksum === one.checksum
    return {
      code: equal ? 'duplicate-summary' : 'conflicting-summary',
      problem: equal
        ? 'the same summary was given twice.'
        : 'two different summaries carry the same clinic and release.',
      expected: 'each clinic and release once.',
      mend: equal ? 'leave one of them out.' : 'ask the site which one holds.',
    }
  }
  const twin = earlier.find(
    ({ clinic, blocks }) => clinic !== one.clinic && stableJson(blocks) === stableJson(one.blocks),
  )
  if (twin === undefined || one.restorations === 0) return undefined
  return {
    code: 'same-table-twice',
    problem: `its tables equal those of ${twin.clinic}.`,
    expected: 'each clinic once, under one name.',
    mend: 'ask both sites whether they shared the same records.',
  }
}

/** What cannot be true of any clinic, or was not made by the rules of the protocol. */
function implausible(one: SiteSummary, agreed: AgreedProtocol): ErrorDetail | undefined {
  const what = countFault(one, agreed) ?? modelFault(one)
  if (what === undefined) return undefined
  return {
    code: 'implausible-summary',
    problem: `${what}.`,
    expected: 'counts that add up, on the grid of the protocol, each none or at least the threshold.',
    mend: 'ask the site to share again; do not edit the file.',
  }
}

function countFault(one: SiteSummary, { protocol }: AgreedProtocol): string | undefined {
  if (one.threshold !== protocol.threshold) return 'its threshold is not that of the protocol'
  let restorations = 0
  for (const block of one.blocks) {
    const ends = block.intervalEndsDays
    if (!ends.every((day, i) => protocol.gridDays.includes(day) && (i === 0 || day > ends[i - 1]!))) {
      return 'its intervals do not end on the days of the protocol'
    }
    const names = block.groups.map(({ group }) => group)
    if (names.join() !== mergedGroup && names.join() !== groupNames(protocol).join()) {
      return 'its groups are not those of the protocol'
    }
    for (const table of block.groups) {
      const fault = tableFault(table, ends, protocol.threshold)
      if (fault !== undefined) return fault
      restorations += exitsOf(table)
    }
  }
  if (restorations !== one.restorations) return 'its restorations do not add up'
  if (
    typeof one.patients === 'number' &&
    (one.patients > restorations || one.patients < protocol.threshold)
  ) {
    return 'its number of patients cannot be'
  }
  return balanceFault(one)
}

function exitsOf(table: SharedBlock['groups'][number]): number {
  return [...table.endpoint, ...table.competing, ...table.censored].reduce((sum, count) => sum + count, 0)
}

function tableFault(
  table: SharedBlock['groups'][number],
  ends: readonly number[],
  threshold: number,
): string | undefined {
  const counts = [table.atRisk, table.endpoint, table.competing, table.censored, table.entered]
  if ([...counts, table.timeAtRiskDays].some((column) => column.length !== ends.length))
    return 'a column has another length than the grid'
  if (counts.flat().some((count) => count > 0 && count < threshold)) return 'a count lies below the threshold'
  let later = 0
  for (let i = ends.length - 1; i >= 0; i--) {
    const exits = table.endpoint[i]! + table.competing[i]! + table.censored[i]!
    later += exits
    if (table.atRisk[i] !== later) return 'numbers at risk do not follow from those who leave'
    const length = ends[i]! - (i === 0 ? 0 : ends[i - 1]!)
    if (table.timeAtRiskDays[i]! > later * length) return 'time at risk is longer than the intervals allow'
    const least = (later - exits - table.entered[i]!) * length
    if (table.timeAtRiskDays[i]! < least) return 'time at risk is shorter than the intervals allow'
    later -= table.entered[i]!
  }
  if (later < 0) return 'more come under observation than leave it'
  return undefined
}

function balanceFault(one: SiteSummary): string | undefined {
  const sizes = one.blocks[0]!.groups.map((_table, g) =>
    one.blocks.reduce((sum, block) => sum + exitsOf(block.groups[g]!), 0),
  )
  for (const field of one.balance) {
    if (!('levels' in field)) continue
    const sums = sizes.map((_size, g) =>
      field.levels.reduce((sum, level) => sum + (level.restorations[g] ?? 0), 0),
    )
    if (sums.join() !== sizes.join()) return `the levels of ${field.field} do not add up`
  }
  return undefined
}

function modelFault({ model }: SiteSummary): string | undefined {
  if (model.state === 'withheld') return undefined
  const size = model.names.length
  const square = (matrix: readonly (readonly number[])[]): boolean =>
    matrix.length === size && matrix.every((row) => row.length === size)
  const { score, information } = model.atStart
  if (score.length !== size || !square(information) || !square(model.outerProductsAtStart)) {
    return 'its part of the model has another size than its names'
  }
  if (information.some((row, i) => row[i]! < 0)) return 'its information is negative'
  // |score| of an indicator is at most the number of events, and its information a quarter of that.
  if (score.some((one) => Math.abs(one) > model.events)) return 'its score is larger than its events allow'
  if (information.some((row, i) => row[i]! > model.events / 4 + 1e-9)) {
    return 'its information is larger than its events allow'
  }
  return undefined
}
